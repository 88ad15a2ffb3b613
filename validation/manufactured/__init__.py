"""Method of manufactured solutions, and the order of cut cells."""
