"""Which finger plays which note: the conventions as data, and a search for the rest."""
