"""One blueprint per page: each reads the request, calls services and shapes the answer."""
