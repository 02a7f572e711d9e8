"""The club in Discord, by discord.py."""
