"""Which finger: the conventions as data, and how they are read."""
