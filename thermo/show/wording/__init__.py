"""How things are said: numbers, times, causes, cautions, in words alike everywhere."""
