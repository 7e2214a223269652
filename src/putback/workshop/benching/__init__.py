"""The bench as people use it: what is typed, what is shown, and what is kept in the logbook."""
