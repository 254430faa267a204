"""Adapters of the solver port, and the search of our own."""
