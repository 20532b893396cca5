"""The club in every frame: guesses of one frame, then one path through time."""
