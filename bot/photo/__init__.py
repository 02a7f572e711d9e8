"""A photo of a paper grid becomes a board: what is written on it, and what to look at again.

`told.py` holds what the rest of the bot takes; everything else here needs the extra `photo`, and is
only ever loaded where photos are read, in a process of its own.
"""
