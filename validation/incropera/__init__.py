"""Incropera & DeWitt, Fundamentals of Heat and Mass Transfer: examples and problems."""
