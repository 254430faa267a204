"""Records as JSON bodies of a row, and back; used where a record is kept whole."""

from typing import Any, cast

from pydantic import TypeAdapter

_ADAPTERS: dict[type, TypeAdapter[Any]] = {}


def _adapter(kind: type) -> TypeAdapter[Any]:
    if kind not in _ADAPTERS:
        _ADAPTERS[kind] = TypeAdapter(kind)
    return _ADAPTERS[kind]


def to_body(record: object) -> dict[str, Any]:
    """Return a record as plain JSON values."""
    return cast("dict[str, Any]", _adapter(type(record)).dump_python(record, mode="json"))


def from_body[R](kind: type[R], body: dict[str, Any]) -> R:
    """Return the record that ``to_body`` made a body of."""
    return cast("R", _adapter(kind).validate_python(body))
