"""Do the bands hold what they say, for torches and hands of a wider model than their own."""
