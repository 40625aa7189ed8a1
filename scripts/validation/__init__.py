"""Simulated studios with known rates, and what the almanac makes of them."""
