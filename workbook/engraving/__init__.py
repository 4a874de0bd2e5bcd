"""Engraving: from an exercise by way of an abjad score and LilyPond to a snippet."""
