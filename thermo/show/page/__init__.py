"""The bench page: one HTML file that opens from disk, with a clock."""
