"""Connecting: wall ends, chains, pipe networks."""
