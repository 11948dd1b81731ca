"""Files that come and go: class lists, spreadsheets, a pupil's copy, ink files."""
