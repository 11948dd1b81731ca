"""Reports in a child's and in a teacher's words, and the texts themselves."""
