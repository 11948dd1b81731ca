"""A package, because one of the tests' own needs installs a package named `tests` too."""
