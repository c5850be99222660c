"""Formulae: pure functions and tables, numbers only."""
