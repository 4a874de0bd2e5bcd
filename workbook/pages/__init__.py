"""Where it stands: page text, page design, assembly."""
