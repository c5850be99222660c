"""Recognising: parts, roles, rungs and grounds."""
