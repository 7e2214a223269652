"""What a vehicle is made of: parts, joints, runs, standings, goals, and the facts between them."""
