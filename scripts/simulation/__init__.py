"""Simulated cameras and lamps: what the accuracy figures rest on."""
