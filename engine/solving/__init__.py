"""What to do at a position: next step, hint, path, and how hard a puzzle is."""
