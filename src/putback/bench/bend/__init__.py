"""Pipe bending: points to length, rotation and angle and back, clashes, and a drawing."""
