"""The platforms: the messages that they share, the room's interface, and a folder for each."""
