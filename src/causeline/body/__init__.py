"""The room that cleans landmark tracks."""

from causeline.body.refine import refine_body

__all__ = ["refine_body"]
