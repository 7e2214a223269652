"""The only door to OR-Tools."""
