"""Tests, benchmarks and what draws the pictures; a package, because one of the tests' own needs installs a `tests` too."""
