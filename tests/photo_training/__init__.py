"""How the network that reads cells is made: what its samples are drawn from, and its training.

`python -m tests.photo_training` makes it again; `assets/photo/README.txt` says from what.
"""
