"""Tools of a peer who does not trust the engine: plain sets, itertools, python-sat, exact-cover.

Nothing here may import the engine's search, techniques, solving or grading.
"""
