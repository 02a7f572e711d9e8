"""The club in Matrix, by matrix-nio: encrypted rooms, private rooms for answers."""
