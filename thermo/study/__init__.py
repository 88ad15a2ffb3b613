"""Questions over many brazes: comparing strategies, ball sizes and rods."""
