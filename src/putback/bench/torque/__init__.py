"""Tightening: torque and preload, by friction and by nut factor."""
