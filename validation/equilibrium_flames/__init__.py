"""Flame temperatures by chemical equilibrium."""
