"""What ties two groups of parts, the cheapest cut, and the walk round it."""
