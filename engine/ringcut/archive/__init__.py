"""Logs as they come: spreadsheets of contractors, YAML and JSON Lines, one or a million."""
