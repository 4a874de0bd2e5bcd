"""What is true of notes: keys, scales, chords, progressions, registers."""
