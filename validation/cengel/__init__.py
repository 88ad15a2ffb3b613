"""Çengel, Heat Transfer: a shaft and plates."""
