"""Who may come in, on which device, and how they are let in."""
