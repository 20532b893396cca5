"""Benches of speed and accuracy, run on demand."""
