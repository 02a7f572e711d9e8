"""Exact search: solving, and counting solutions."""
