"""What is taken out of a photo and what stays; Pillow, a library that is not ours, is the judge."""

import io
import struct
import zlib
from datetime import UTC, datetime
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from PIL import ExifTags

from registry.errors import RangeError
from registry.field.pictures.clean import MOST_BYTES, clean_photo
from registry.field.pictures.png import written
from registry.field.pictures.sizes import LONGEST_PX
from tests.unit.field.pictures.shots import (
    PLANTED,
    WIDE,
    exif,
    jpeg_segment,
    opened,
    picture,
    same_pixels,
    shot,
    with_segments,
)

KINDS = {"JPEG": "image/jpeg", "PNG": "image/png", "WEBP": "image/webp"}
XMP = b"http://ns.adobe.com/xap/1.0/\0<x>" + PLANTED + b"</x>"
OPTIONS: dict[str, tuple[str, dict[str, Any]]] = {
    "a usual JPEG": ("JPEG", {"comment": PLANTED, "icc_profile": PLANTED * 20}),
    "a progressive JPEG": ("JPEG", {"progressive": True}),
    "a JPEG with restarts": ("JPEG", {"restart_marker_rows": 1}),
    "a PNG": ("PNG", {"icc_profile": PLANTED * 20}),
    "a lossy WebP": ("WEBP", {"icc_profile": PLANTED * 20, "xmp": PLANTED}),
    "a lossless WebP": ("WEBP", {"lossless": True, "xmp": PLANTED}),
}


@pytest.mark.parametrize("orientation", range(1, 9))
@pytest.mark.parametrize("name", OPTIONS)
def test_only_how_it_is_held_stays_and_the_picture_is_the_same(name: str, orientation: int) -> None:
    kind, options = OPTIONS[name]
    sent = shot(kind, exif=exif(orientation), **options)
    assert PLANTED in sent
    clean = clean_photo(sent)
    assert clean.media_type == KINDS[kind]
    assert PLANTED not in clean.body
    assert same_pixels(clean.body, sent)
    told = opened(clean.body).getexif()
    assert dict(told) == ({} if orientation == 1 else {ExifTags.Base.Orientation: orientation})
    assert not told.get_ifd(ExifTags.IFD.GPSInfo)
    assert not told.get_ifd(ExifTags.IFD.Exif)
    upright = WIDE if orientation < 5 else WIDE[::-1]
    assert (clean.width_px, clean.height_px) == upright


@pytest.mark.parametrize("name", OPTIONS)
def test_a_clean_photo_stays_as_it_is_to_the_last_byte(name: str) -> None:
    kind, options = OPTIONS[name]
    once = clean_photo(shot(kind, exif=exif(6), **options)).body
    assert clean_photo(once).body == once


@pytest.mark.parametrize(
    ("offset", "taken"),
    [
        ("", datetime(2026, 6, 15, 14, 5)),  # noqa: DTZ001 - the camera's local time
        ("-07:00", datetime(2026, 6, 15, 21, 5, tzinfo=UTC)),
    ],
)
@pytest.mark.parametrize("kind", KINDS)
def test_the_moment_is_read_before_it_is_taken_out(kind: str, offset: str, taken: datetime) -> None:
    assert clean_photo(shot(kind, exif=exif(offset=offset))).taken == taken


@pytest.mark.parametrize("order", ["<", ">"])
def test_an_exif_block_written_by_hand_is_read_in_both_orders(order: str) -> None:
    """TIFF 6.0, section 2: 8 bytes of head, then entries of 12; CIPA DC-008, tables 4 and 7."""

    def entry(tag: int, kind: int, count: int, value: int) -> bytes:
        short = (
            struct.pack(order + "HH", value, 0) if kind == 3 else struct.pack(order + "L", value)
        )
        return struct.pack(order + "HHL", tag, kind, count) + short

    def entries(*all_of_them: bytes) -> bytes:
        return struct.pack(order + "H", len(all_of_them)) + b"".join(all_of_them) + bytes(4)

    head = (b"II*\0" if order == "<" else b"MM\0*") + struct.pack(order + "L", 8)
    first = entries(entry(0x0112, 3, 1, 8), entry(0x8769, 4, 1, 38))
    inner = entries(entry(0x9003, 2, 20, 56))
    block = head + first + inner + b"2024:02:29 23:59:59\0"
    sent = with_segments(shot(), jpeg_segment(0xE1, b"Exif\0\0" + block))
    clean = clean_photo(sent)
    assert clean.taken == datetime(2024, 2, 29, 23, 59, 59)  # noqa: DTZ001 - the camera's local time
    assert opened(clean.body).getexif()[ExifTags.Base.Orientation] == 8


@pytest.mark.parametrize(
    "block", [b"", b"II*\0", b"II*\0\xff\xff\xff\xff", b"MM\0*" + b"\xff" * 90]
)
def test_a_damaged_exif_block_is_no_reason_to_refuse_a_photo(block: bytes) -> None:
    sent = with_segments(shot(), jpeg_segment(0xE1, b"Exif\0\0" + block))
    assert same_pixels(clean_photo(sent).body, shot())


def test_every_segment_that_a_picture_does_not_need_is_left_out() -> None:
    """ITU-T T.81, table B.1: APPn is E0 to EF, a comment FE."""
    extra = [jpeg_segment(marker, PLANTED) for marker in (*range(0xE0, 0xF0), 0xFE)]
    thumb = jpeg_segment(0xE0, b"JFIF\0\1\1\0\0\1\0\1\4\1" + PLANTED)
    xmp = jpeg_segment(0xE1, XMP)
    clean = clean_photo(with_segments(shot(), thumb, xmp, *extra)).body
    assert PLANTED not in clean
    assert same_pixels(clean, shot())


@pytest.mark.parametrize("kind", KINDS)
def test_what_follows_the_picture_is_cut_off(kind: str) -> None:
    """A file that is a photo to one reader and an archive or a page to another."""
    archive = b"PK\3\4" + PLANTED + b"<script>" + bytes(50)
    clean = clean_photo(shot(kind) + archive)
    assert clean.body == clean_photo(shot(kind)).body


@pytest.mark.parametrize(
    "sent",
    [
        b"",
        b"\xff\xd8",
        b"<html><script>alert(1)</script></html>",
        b"<svg xmlns='http://www.w3.org/2000/svg' onload='alert(1)'/>",
        b"GIF89a" + bytes(40),
        b"%PDF-1.7\n" + shot(),
        b"PK\3\4" + shot(),
        b"\0\0\0\x18ftypheic" + bytes(100),
        b"RIFF\x24\0\0\0WAVEfmt ",
    ],
    ids=["nothing", "a start", "a page", "a drawing", "a moving one", "a document before a photo",
         "an archive before a photo", "another kind", "a sound"],
)  # fmt: skip
def test_what_is_no_photo_is_refused_by_its_bytes(sent: bytes) -> None:
    with pytest.raises(RangeError, match="no photo"):
        clean_photo(sent)


def test_a_moving_picture_is_refused_or_stands_still() -> None:
    frames = [opened(shot("PNG")), opened(shot("PNG")).rotate(180)]
    moving = shot("WEBP", save_all=True, append_images=frames)
    with pytest.raises(RangeError, match="kind of WebP"):
        clean_photo(moving)
    still = clean_photo(shot("PNG", save_all=True, append_images=frames)).body
    assert getattr(opened(still), "n_frames", 1) == 1


def jpeg_of(width_px: int, height_px: int) -> bytes:
    """A small JPEG that claims to be of another size."""
    sent = bytearray(shot())
    at = sent.index(b"\xff\xc0") + 5
    sent[at : at + 4] = struct.pack(">HH", height_px, width_px)
    return bytes(sent)


def png_of(width_px: int, height_px: int) -> bytes:
    """A PNG that unfolds into a picture of a size: zeros, a thousand to one."""
    head = struct.pack(">LLBBBBB", width_px, height_px, 8, 2, 0, 0, 0)
    chunks = ((b"IHDR", head), (b"IDAT", zlib.compress(bytes(1000))), (b"IEND", b""))
    return b"\x89PNG\r\n\x1a\n" + b"".join(written(*one) for one in chunks)


@pytest.mark.parametrize(
    ("size_px", "said"),
    [
        ((LONGEST_PX + 1, 10), "A side has"),
        ((0, 10), "pixels|kind"),
        ((LONGEST_PX, LONGEST_PX), "Shrink it"),
        ((65_535, 65_535), "A side has"),
    ],
)
def test_a_picture_that_would_fill_the_memory_is_refused(
    size_px: tuple[int, int], said: str
) -> None:
    for sent in (jpeg_of(*size_px), png_of(*size_px)):
        with pytest.raises(RangeError, match=said):
            clean_photo(sent)


def test_a_file_that_is_too_large_is_refused_with_its_size() -> None:
    with pytest.raises(RangeError, match=r"The photo has 3\.0 MB; up to 3 MB are kept\."):
        clean_photo(shot().ljust(MOST_BYTES + 1, b"\0"))


def test_a_second_frame_or_too_many_scans_are_refused() -> None:
    sent = shot()
    frame = sent.index(b"\xff\xc0")
    length = struct.unpack_from(">H", sent, frame + 2)[0] + 2
    again = sent[frame : frame + length]
    with pytest.raises(RangeError, match="kind of JPEG"):
        clean_photo(sent[:frame] + again + sent[frame:])
    scan = sent.index(b"\xff\xda")
    with pytest.raises(RangeError, match="kind of JPEG"):
        clean_photo(sent[:scan] + sent[scan:-2] * 101 + sent[-2:])


@pytest.mark.parametrize("name", OPTIONS)
def test_a_photo_that_is_cut_off_is_refused_wherever_it_ends(name: str) -> None:
    kind, options = OPTIONS[name]
    sent = clean_photo(shot(kind, exif=exif(6), **options)).body
    for end in range(len(sent)):
        with pytest.raises(RangeError):
            clean_photo(sent[:end])


def replaced(old: bytes, new: bytes) -> bytes:
    """A JPEG in which the first of some bytes are others."""
    assert old in shot()
    return shot().replace(old, new, 1)


LARGE = shot(size=(640, 480))
SCAN, LARGE_SCAN = (one.index(b"\xff\xda") for one in (shot(), LARGE))
LONGEST_CODES = b"\xff\xc4\0\x1f\0\0\1\5"


@pytest.mark.parametrize(
    "sent",
    [
        LARGE[: LARGE_SCAN + 14] + b"<script>alert(1)</script>" + LARGE[-2:],
        jpeg_of(4000, 3000),
        shot()[:2] + shot()[SCAN:],
        replaced(b"\xff\xc4", b"\xff\xfe"),
        replaced(b"\xff\xdb", b"\xff\xfe"),
        replaced(LONGEST_CODES, LONGEST_CODES[:-2] + b"\3\3"),
        replaced(b"\xff\xc0\0\x11\x08", b"\xff\xc0\0\x11\x0c"),
    ],
    ids=["words instead of a scan", "a size beyond its scan", "a scan without a frame",
         "no codes", "no steps", "more codes than there can be", "twelve bits"],
)  # fmt: skip
def test_a_jpeg_that_none_can_unfold_is_refused(sent: bytes) -> None:
    """ITU-T T.81, annexes A to C."""
    with pytest.raises(RangeError, match="photo is"):
        clean_photo(sent)


@pytest.mark.parametrize(
    "options", [{}, {"interlace": True}, {"bits": 4}], ids=["as it comes", "interlaced", "few bits"]
)
@pytest.mark.parametrize("mode", ["RGB", "RGBA", "L", "P", "1", "LA"])
def test_every_kind_of_png_is_unfolded_and_kept(mode: str, options: dict[str, Any]) -> None:
    out = io.BytesIO()
    picture((61, 47)).convert(mode).save(out, "PNG", **options)
    assert same_pixels(clean_photo(out.getvalue()).body, out.getvalue())


def test_a_png_that_unfolds_into_less_or_more_than_its_size_is_refused() -> None:
    """W3C Portable Network Graphics, third edition, section 10."""
    for side_px in (10, 5):
        with pytest.raises(RangeError, match="not whole"):
            clean_photo(png_of(side_px * 3, side_px))


@pytest.mark.parametrize("name", OPTIONS)
@given(data=st.data())
def test_a_damaged_photo_is_kept_or_refused_and_nothing_else(
    name: str, data: st.DataObject
) -> None:
    kind, options = OPTIONS[name]
    sent = bytearray(shot(kind, exif=exif(6), **options))
    for at in data.draw(st.lists(st.integers(0, len(sent) - 1), min_size=1, max_size=8)):
        sent[at] = data.draw(st.integers(0, 255))
    try:
        clean = clean_photo(bytes(sent))
    except RangeError:
        return
    assert len(clean.body) <= len(sent) + 64
