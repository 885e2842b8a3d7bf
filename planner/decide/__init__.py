"""Triage, placement, hookup and borrow order: the only room that solves."""
