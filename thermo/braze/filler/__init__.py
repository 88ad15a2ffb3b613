"""Filler: how much and cut how, its own heat, its way through the gap, what became of it."""
