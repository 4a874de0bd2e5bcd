"""What marks say about a student: how likely the next box is right, for each skill and key."""
