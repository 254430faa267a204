"""The day's problem, a route's clock, the independent check, and why a visit did not fit."""
