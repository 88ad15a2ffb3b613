"""One nonlinear braze by finite elements, apart from the tool's own mesh and march."""
