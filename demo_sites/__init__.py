"""The invented county: a generator and the files that it wrote. Nothing in it is real."""
