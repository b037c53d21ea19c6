"""One desk for a homeowner electrifying an old house: the house, the sums and the papers together."""

__version__ = "0.1.0"
