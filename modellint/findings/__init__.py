"""Findings, their identity and the report they make up."""
