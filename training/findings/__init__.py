"""What the findings' tables of expected values and of reading's errors were fitted with."""
