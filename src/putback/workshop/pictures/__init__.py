"""Photos, sounds and the drawing: kept, found again, and what is in no picture."""
