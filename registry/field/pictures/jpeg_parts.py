"""Whether the tables, the frame and the scans of a JPEG are what a reader can unfold.

Sizes and limits by ITU-T T.81, annex B: the frame by table B.2, scans by B.3, tables by B.4 and
B.5; codes by annex C.
"""

import struct
from dataclasses import dataclass, field

from registry.errors import RangeError

PROGRESSIVE = 0xC2
BITS = 8
"""Bits of a sample; pages show no others."""
COMPONENTS = (1, 3, 4)
"""Grey; luminance and two colours; four inks."""
MOST_CODES = 256
LEAST_BITS_A_BLOCK = 2
"""Two codes of at least one bit: the mean of a block, and the end of the rest."""
WRONG = "The photo is damaged: it is no JPEG that can be unfolded. Take or send it again."


@dataclass(slots=True)
class Parts:
    """What is known of a JPEG so far; ``sides`` are the samples across and down, by component."""

    is_progressive: bool = False
    size_px: tuple[int, int] = (0, 0)
    sides: dict[int, tuple[int, int]] = field(default_factory=dict)
    steps_of: dict[int, int] = field(default_factory=dict)
    steps: set[int] = field(default_factory=set)
    codes: set[int] = field(default_factory=set)


def read_steps(parts: Parts, payload: bytes) -> None:
    """Note tables of quantisation steps (B.2.4.1).

    Raises
    ------
    RangeError
        If a table is none.
    """
    at = 0
    while at < len(payload):
        precision, number = payload[at] >> 4, payload[at] & 15
        at += 1 + 64 * (precision + 1)
        _need(precision <= 1 and number <= 3 and at <= len(payload))
        parts.steps.add(number)


def read_codes(parts: Parts, payload: bytes) -> None:
    """Note tables of codes (B.2.4.2); no more codes of a length than there can be (annex C).

    Raises
    ------
    RangeError
        If a table is none.
    """
    at = 0
    while at < len(payload):
        _need(payload[at] >> 4 <= 1 and payload[at] & 15 <= 3 and at + 17 <= len(payload))
        counts = payload[at + 1 : at + 17]
        taken = sum(count << (16 - length) for length, count in enumerate(counts, start=1))
        _need(sum(counts) <= MOST_CODES and taken <= 1 << 16)
        parts.codes.add(payload[at])
        at += 17 + sum(counts)
        _need(at <= len(payload))


def read_frame(parts: Parts, marker: int, payload: bytes) -> None:
    """Note the frame (B.2.2).

    Raises
    ------
    RangeError
        If it is not one of eight bits and one, three or four components.
    """
    _need(len(payload) >= 6)
    bits, height_px, width_px, count = struct.unpack_from(">BHHB", payload)
    _need(bits == BITS and count in COMPONENTS and len(payload) == 6 + 3 * count)
    for at in range(6, len(payload), 3):
        number, sides, steps = payload[at : at + 3]
        across, down = sides >> 4, sides & 15
        _need(1 <= across <= 4 and 1 <= down <= 4 and steps <= 3 and number not in parts.sides)
        parts.sides[number], parts.steps_of[number] = (across, down), steps
    parts.size_px = width_px, height_px
    parts.is_progressive = marker == PROGRESSIVE


def read_scan(parts: Parts, head: bytes, coded: bytes) -> None:
    """Hold a scan to its frame and its tables, and its length to the blocks that it must hold.

    Raises
    ------
    RangeError
        If it names what is not there, or is too short for the picture.
    """
    count = head[0] if head else 0
    _need(1 <= count <= 4 and len(head) == 4 + 2 * count)
    named = [(head[at], head[at + 1]) for at in range(1, 1 + 2 * count, 2)]
    first, last = head[1 + 2 * count : 3 + 2 * count]
    _need(first <= last <= 63)
    for number, tables in named:
        _need(number in parts.sides and parts.steps_of[number] in parts.steps)
        if not parts.is_progressive:
            _need({tables >> 4, 0x10 | tables & 15} <= parts.codes)
    if not parts.is_progressive:
        blocks = _blocks(parts, [number for number, _ in named])
        _need(8 * len(coded) >= LEAST_BITS_A_BLOCK * blocks)


def _blocks(parts: Parts, named: list[int]) -> int:
    """Return how many blocks of 8 × 8 samples a scan holds at least (A.2)."""
    width_px, height_px = parts.size_px
    most_across = max(across for across, _ in parts.sides.values())
    most_down = max(down for _, down in parts.sides.values())
    return sum(
        -(-width_px * across // (8 * most_across)) * -(-height_px * down // (8 * most_down))
        for across, down in (parts.sides[number] for number in named)
    )


def _need(holds: bool) -> None:
    if not holds:
        raise RangeError(WRONG)
