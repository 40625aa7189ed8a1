"""Is it real, which way, how fast: cycles, change against noise, trends, flags, families."""
