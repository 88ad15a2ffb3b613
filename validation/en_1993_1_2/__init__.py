"""EN 1993-1-2:2005: carbon steel and stainless steel in a fire."""
