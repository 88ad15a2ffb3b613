"""Carslaw & Jaeger, Conduction of Heat in Solids."""
