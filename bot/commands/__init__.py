"""The commands of the club: a row for each, and the reading of a line."""
