"""The card for the bench."""
