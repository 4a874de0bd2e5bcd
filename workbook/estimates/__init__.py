"""What marks say of a student: how likely the next box is right, for each skill and key."""
