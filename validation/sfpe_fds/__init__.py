"""Verification cases of fire engineering: SFPE guide, HEATING, both as kept openly with FDS."""
