"""The page: an examination in the browser of this machine, and nowhere else."""
