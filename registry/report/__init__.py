"""Records as text that other programs read; pure, nothing is written here."""
