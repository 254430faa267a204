"""Road engines: an imported network answered by OSRM, by Dijkstra, or a straight line."""
