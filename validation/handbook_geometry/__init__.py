"""Spherical caps and cylinders of any handbook."""
