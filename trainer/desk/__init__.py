"""The teacher's pages, one a module, served from this machine to this machine."""
