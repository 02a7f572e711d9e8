"""The club in a page served on this machine alone, by aiohttp."""
