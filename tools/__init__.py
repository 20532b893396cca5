"""What builds, fetches and writes for the project; run from its root."""
