"""Weight: masses and how surely they are known, where they lie, and what holds them."""
