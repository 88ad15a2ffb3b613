"""Does a fit find invented torches again."""
