"""One function for each thing that a user can ask for; commands and pages call nothing else."""
