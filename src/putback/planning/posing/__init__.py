"""Posing: vehicle, state and goal as things to do, and what each of them asks for."""
