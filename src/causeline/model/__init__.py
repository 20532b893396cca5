"""Floor 1: the frozen records that rooms hand to each other. Checked once, when they are made."""
