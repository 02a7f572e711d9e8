"""What the club does, whatever the platform: acts in, decisions, replies as facts."""
