"""What the Matrix tests run against: a real homeserver on loopback, and members with real clients."""
