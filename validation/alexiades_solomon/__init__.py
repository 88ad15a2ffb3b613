"""Melting in front of a hot wall: Alexiades & Solomon, Carslaw & Jaeger."""
