"""The pages: one view module a screen, thin over the use cases of the workshop."""
