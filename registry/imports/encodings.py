"""Finding out in which encoding a text file is written."""

import codecs
from dataclasses import dataclass
from pathlib import Path

from registry.errors import FileError

BLOCK = 1_000_000
SAMPLE = 400_000
COMMON = ["cp1252", "latin_1", "cp1250", "cp1251", "iso8859_15", "mac_roman", "cp850", "cp437"]
"""Encodings that spreadsheets of the last decades write; others have to be named."""

_BOMS = (
    (codecs.BOM_UTF8, "utf-8-sig"),
    (codecs.BOM_UTF32_LE, "utf-32"),
    (codecs.BOM_UTF32_BE, "utf-32"),
    (codecs.BOM_UTF16_LE, "utf-16"),
    (codecs.BOM_UTF16_BE, "utf-16"),
)


@dataclass(frozen=True, slots=True)
class Encoding:
    """An encoding, how it was found out, and about how many lines the file has."""

    name: str
    how: str
    lines: int


def encoding_of(path: Path, said: str | None = None) -> Encoding:
    """Find out the encoding of a text file.

    Bytes that do not fit are kept as lone surrogates, so that the rows that hold them can be named.

    Parameters
    ----------
    said
        What the user says; taken as it is.

    Raises
    ------
    FileError
        If the file is no text, or its encoding cannot be found out or does not exist.
    """
    start, lines, is_utf8, sample = _look(path)
    if said is not None:
        try:
            return Encoding(codecs.lookup(said).name, "as you say", lines)
        except LookupError as wrong:
            raise FileError(
                f"There is no encoding named {said}. Common ones: utf-8, cp1252."
            ) from wrong
    for mark, name in _BOMS:
        if start.startswith(mark):
            return Encoding(name, "its byte order mark says so", lines)
    if b"\0" in start:
        raise FileError(
            f"{path.name} holds bytes of value 0, so it is no text file in a common encoding. "
            "Save it as CSV in UTF-8, or name the encoding with --encoding."
        )
    if is_utf8:
        return Encoding("utf-8", "every byte fits", lines)
    if _mostly_utf8(sample):
        return Encoding("utf-8", "nearly every byte fits; other rows are named", lines)
    return Encoding(_guess(path, sample), "guessed by its letters; say --encoding if wrong", lines)


def _look(path: Path) -> tuple[bytes, int, bool, bytes]:
    """Return the first bytes, the number of lines, whether all is UTF-8, and a telling sample."""
    decoder = codecs.getincrementaldecoder("utf-8")()
    start, sample, lines, is_utf8 = b"", b"", 0, True
    with path.open("rb") as file:
        while block := file.read(BLOCK):
            start = start or block[:4096]
            lines += block.count(b"\n")
            if is_utf8:
                try:
                    decoder.decode(block)
                except UnicodeDecodeError as wrong:
                    is_utf8 = False
                    near = max(0, wrong.start - SAMPLE // 2)
                    sample = block[near : near + SAMPLE]
    if is_utf8:
        try:
            decoder.decode(b"", final=True)
        except UnicodeDecodeError:
            is_utf8, sample = False, start
    return start, lines, is_utf8, sample


def _mostly_utf8(sample: bytes) -> bool:
    text = sample.decode("utf-8", errors="surrogateescape")
    odd = sum("\udc80" <= one <= "\udcff" for one in text)
    return sum(one > "\x7f" for one in text) - odd > 4 * odd


def _guess(path: Path, sample: bytes) -> str:
    from charset_normalizer import from_bytes

    best = from_bytes(sample, cp_isolation=COMMON).best()
    if best is None:
        raise FileError(
            f"The encoding of {path.name} cannot be found out. Name it with --encoding, "
            "for example --encoding cp1252, or save the file as UTF-8."
        )
    if sample.decode(best.encoding, "replace") == sample.decode("cp1252", "replace"):
        return "cp1252"  # the commonest of several that give the same letters
    return best.encoding
