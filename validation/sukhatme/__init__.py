"""Sukhatme, A Textbook on Heat Transfer: a pin fin."""
