"""Floor 0: angles, lengths, clocks and uncertain numbers. NumPy only."""
