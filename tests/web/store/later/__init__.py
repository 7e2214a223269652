"""The migrations of a version that is not there yet: today's, and one more."""
