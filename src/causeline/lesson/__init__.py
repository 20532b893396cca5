"""The one thing to change, and the practice for it (so far: the step of its checkpoint)."""
