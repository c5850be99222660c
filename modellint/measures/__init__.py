"""Measuring: named values with evidence."""
