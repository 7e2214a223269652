"""Which version of Putback this is: apart, so that what writes it down need not know the rest."""

__version__ = "0.1.0"
