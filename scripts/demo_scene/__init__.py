"""Invented scenes of healed cosmetic tattoos, rendered from reflectance spectra."""
