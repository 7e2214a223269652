"""The story of the demonstration vehicle, told as its phones would have sent it."""
