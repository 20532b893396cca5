"""Causeline reads a golfer's swing from a phone clip: moments, measures with their ±, and a page."""

__version__ = "0.1.0"
