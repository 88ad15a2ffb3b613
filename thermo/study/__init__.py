"""Questions beyond one braze: comparing strategies, rods and ball sizes; filler; what went wrong.

Each module is imported for itself, so that one question does not load the others.
"""
