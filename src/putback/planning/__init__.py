"""What to do next, in which order, and why: computed from vehicle, state and goal."""
