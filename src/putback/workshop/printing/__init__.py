"""What is printed: each document gathered from a vehicle's state and the plan on hand."""
