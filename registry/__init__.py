"""The core of Riserway: onsite systems, what is due, and the routes that service it."""

__version__ = "0.1.0"
