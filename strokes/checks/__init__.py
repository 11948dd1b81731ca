"""How a letter was written: the checks, the trace under the pen, and the version of the checks."""
