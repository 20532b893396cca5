"""The door to files: what is written whole or not at all, and read back only when it is sound."""
