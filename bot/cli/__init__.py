"""The command line: `ninebark COMMAND`."""
