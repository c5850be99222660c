"""Damaged models in numbers."""
