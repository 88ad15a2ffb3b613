"""NAFEMS, The Standard NAFEMS Benchmarks."""
