"""A reading becomes one page to send. Numbers are rounded here, nowhere else."""
