"""What is kept: pupils, plans and attempts, in either of two databases."""
