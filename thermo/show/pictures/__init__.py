"""Pictures: of one braze, and of studies."""
