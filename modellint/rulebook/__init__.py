"""Judging: rules loaded, validated, compiled and evaluated."""
