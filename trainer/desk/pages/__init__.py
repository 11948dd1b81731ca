"""The pages of the desk, one a module with its blueprint `page`: requests in, pages out."""
