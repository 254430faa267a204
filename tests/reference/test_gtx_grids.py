"""Grids of datum offsets against PROJ's own reading of the same file (``vgridshift``)."""

import struct
from pathlib import Path

import numpy as np
import pytest
from pyproj import Transformer

from registry.errors import FileError
from registry.flood.grids import grid_offset_ft
from registry.imports.offset_grid import read_offset_grid
from registry.records.places import LonLat
from registry.units import ft_from_m

ROWS, COLUMNS, SOUTH, WEST, STEP = 5, 7, 44.0, -141.0, 0.25


@pytest.fixture
def grid_file(tmp_path: Path) -> Path:
    metres = np.fromfunction(lambda i, j: 0.9 + 0.05 * i - 0.02 * j + 0.01 * i * j, (ROWS, COLUMNS))
    head = struct.pack(">4d2i", SOUTH, WEST, STEP, STEP, ROWS, COLUMNS)
    path = tmp_path / "offsets.gtx"
    path.write_bytes(head + metres.astype(">f4").tobytes())
    return path


@pytest.mark.parametrize(
    ("lon", "lat"), [(-141.0, 44.0), (-140.3, 44.31), (-139.61, 44.9), (-140.875, 44.125)]
)
def test_offsets_are_those_of_proj(grid_file: Path, lon: float, lat: float) -> None:
    shift = Transformer.from_pipeline(
        f"+proj=pipeline +step +proj=unitconvert +xy_in=deg +xy_out=rad "
        f"+step +proj=vgridshift +grids={grid_file} +multiplier=1 "
        f"+step +proj=unitconvert +xy_in=rad +xy_out=deg"
    )
    expected = ft_from_m(shift.transform(lon, lat, 0.0)[2])
    found = grid_offset_ft(read_offset_grid(grid_file), LonLat(lon, lat))
    assert found == pytest.approx(expected, abs=1e-5)


def test_outside_the_grid_nothing_is_said(grid_file: Path) -> None:
    assert grid_offset_ft(read_offset_grid(grid_file), LonLat(-120.0, 44.5)) is None


@pytest.mark.parametrize(
    "body", [b"", b"not a grid at all" * 9, struct.pack(">4d2i", 1, 1, 1, 1, 9, 9)]
)
def test_what_is_no_grid_ends_in_a_sentence(tmp_path: Path, body: bytes) -> None:
    path = tmp_path / "no.gtx"
    path.write_bytes(body)
    with pytest.raises(FileError, match=r"no\.gtx"):
        read_offset_grid(path)
