"""Cooling, ice, batteries and sun: pure functions of numbers and arrays."""
