"""Puzzles at hand: making them in processes of their own, and keeping the stock filled."""
