"""brazeclock: how a drilled ball, its rod and the gap between them heat under a hand torch."""

__version__ = "0.1.0"
