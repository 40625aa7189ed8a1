"""Which way a colour would have to go, in words and numbers."""
