"""How it is drawn: an exercise as an abjad score, through LilyPond, to a snippet."""
