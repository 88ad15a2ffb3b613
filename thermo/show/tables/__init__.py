"""What studies found, as tables and sentences."""
