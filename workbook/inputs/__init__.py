"""What a person typed: TOML with line numbers, words for messages."""
