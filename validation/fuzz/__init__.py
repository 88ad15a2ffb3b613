"""Drawn inputs over all commands: cases over the whole range of every key, and spoilt ones."""
