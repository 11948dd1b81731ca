"""Which trace stands for which stroke, run which way: ink explained by a formation."""
