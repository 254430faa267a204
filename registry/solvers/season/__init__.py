"""Annealing over the weeks of a year's visits, compiled."""
