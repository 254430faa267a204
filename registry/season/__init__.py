"""The season: which week of a year each visit falls into; pure, and without dates."""
