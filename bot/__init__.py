"""The club bot: the club itself, its words and pictures, storage, platforms and command line."""
