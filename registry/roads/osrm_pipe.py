"""Messages between the planner and the process that owns OSRM: JSON and arrays, behind lengths."""

import json
import struct
from typing import IO, Any

import numpy as np
import numpy.typing as npt

LENGTH = struct.Struct(">Q")

type Arrays = dict[str, npt.NDArray[np.float64]]


def send(stream: IO[bytes], head: dict[str, Any], arrays: Arrays) -> None:
    """Write one message: ``head`` and arrays of float64."""
    shapes = {name: array.shape for name, array in arrays.items()}
    _write(stream, json.dumps({"head": head, "shapes": shapes}).encode())
    for array in arrays.values():
        _write(stream, np.ascontiguousarray(array, np.float64).tobytes())
    stream.flush()


def receive(stream: IO[bytes]) -> tuple[dict[str, Any], Arrays] | None:
    """Read one message; None where the other side has closed the stream, also amid a message."""
    document = _read(stream)
    if document is None:
        return None
    told = json.loads(document)
    arrays: Arrays = {}
    for name, shape in told["shapes"].items():
        content = _read(stream)
        if content is None:
            return None
        arrays[name] = np.frombuffer(content, np.float64).reshape(shape).copy()
    return told["head"], arrays


def _write(stream: IO[bytes], content: bytes) -> None:
    stream.write(LENGTH.pack(len(content)))
    stream.write(content)


def _read(stream: IO[bytes]) -> bytes | None:
    length = stream.read(LENGTH.size)
    if len(length) < LENGTH.size:
        return None
    (size,) = LENGTH.unpack(length)
    content = stream.read(size)
    return content if len(content) == size else None
