"""The Healed Colour Almanac: healed cosmetic-tattoo colour, measured and followed through time."""

__version__ = "0.1.0"
