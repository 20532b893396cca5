"""Films swings by the hundred and keeps what the package sees of them: tapes."""
