"""What a command found, as JSON values."""
