"""The water in a closed hole: how much of it is left, and the pressure of its steam."""
