"""Small seeded changes to the code, and whether the tests notice them."""
