"""Ball on a rod in a one-sided flux, by two solutions made for this project."""
