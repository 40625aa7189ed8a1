"""What scripts/bench.py measures, a table a file."""
