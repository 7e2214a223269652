"""Balance: where the weight lies, what carries it, and how far it is from tipping."""
