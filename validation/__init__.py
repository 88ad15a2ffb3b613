"""The tool against published numbers: rows of data by source, our own numbers, a report."""
