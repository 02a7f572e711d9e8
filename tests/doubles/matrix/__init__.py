"""A real homeserver on loopback for the Matrix tests, and members with real clients."""
