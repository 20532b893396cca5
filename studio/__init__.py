"""Rendered golfers whose truth is known exactly. Never imported by the package."""
