"""The pages of the desk, one a module."""
