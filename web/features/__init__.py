"""OGC API – Features over the registry: documents, what an address asks, tokens, the pages."""
