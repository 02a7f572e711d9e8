"""Where every concrete part is known, and put together."""
