"""Clothes, hair and faces: parts to draw, cut from a body's own hulls."""
