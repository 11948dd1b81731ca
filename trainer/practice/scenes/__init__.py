"""The screens of the practice window, one a module; a scene returns the next scene."""
