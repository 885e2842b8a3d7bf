"""Replay and audit: independent arithmetic on a finished plan."""
