"""The plan that is followed, why it is so, what if; its jobs and what belongs beside it."""
