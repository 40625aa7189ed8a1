"""What a pigment's label says: constituents, Colour Index, family, age of bottles. Knows no table and no screen."""
