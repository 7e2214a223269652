"""Describing a vehicle by forms, checked in place; and what the logbook shows to be wrong."""
