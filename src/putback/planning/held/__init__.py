"""What holds what up, and what a step lets go."""
