"""From a photo file to one measurement: read, card, region, uncertainty, quality."""
