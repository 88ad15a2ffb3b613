"""ISO 10211, Annex A: reference cases for thermal bridges."""
