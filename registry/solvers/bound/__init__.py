"""How far a day's plan is from the best possible, and whether each route is in its best order."""
