"""The decorator of the search's compiled functions; see ``registry.compiled``."""

from registry.compiled import compiled

__all__ = ["compiled"]
