"""Quantities as people type and read them; the only door to pint."""
