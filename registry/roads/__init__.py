"""Road engines: an imported network answered by OSRM, by SciPy's Dijkstra, or a straight line."""
