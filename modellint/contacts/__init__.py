"""Touching: pure geometry between boxes and axes; no roles."""
