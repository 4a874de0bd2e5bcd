"""What a person typed: TOML and CSV with line and row numbers, and the words of messages."""
