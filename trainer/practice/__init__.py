"""The practice window: pointer, pad, page, loop, session and screens."""
