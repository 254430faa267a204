"""What is known of each stretch of a network beside its length: names, class, limits, node ids."""

import zipfile
from collections.abc import Sequence
from dataclasses import dataclass, fields
from pathlib import Path
from typing import Self

import numpy as np

from registry.errors import RoadError
from registry.records.roads import GRAVEL, PRIVATE, VehicleLimits
from registry.roads.arrays import Flags, Floats, Ints, Words
from registry.roads.road_facts import RoadFacts
from registry.units import KG_PER_T, LB_PER_KG

FILE = "stretches.npz"
TRUCK_LB = 3.5 * KG_PER_T * LB_PER_KG
"""A sign against trucks means those above 3.5 tonnes: OpenStreetMap wiki, "Key:hgv"."""


@dataclass(frozen=True, slots=True, eq=False)
class Stretches:
    """s stretches with p points of shape in all, as in the graph beside it, made of w ways.

    ``node_id`` (p,) are the file's own ids of the points, ``way`` (s,) the way of each stretch. All
    else has shape (w,): ``names`` and ``kind`` are numbers into ``said_names`` and ``said_kinds``.
    """

    node_id: Ints
    way: Ints
    names: Ints
    kind: Ints
    is_loose: Flags
    is_private: Flags
    signed_km_h: Floats
    weight_limit_lb: Floats
    height_limit_ft: Floats
    bars_trucks: Flags
    said_names: Words
    said_kinds: Words

    @classmethod
    def of(cls, facts: Sequence[RoadFacts], way: Ints, node_id: Ints) -> Self:
        """Return the table of some ways' facts, the way of each stretch, the id of each point."""
        said_names, names = np.unique([one.names for one in facts], return_inverse=True)
        said_kinds, kind = np.unique([one.kind for one in facts], return_inverse=True)
        return cls(
            node_id=node_id,
            way=way,
            names=names,
            kind=kind,
            is_loose=np.array([one.is_loose for one in facts], bool),
            is_private=np.array([one.is_private for one in facts], bool),
            signed_km_h=np.array([one.signed_km_h for one in facts], np.float64),
            weight_limit_lb=np.array([one.weight_limit_lb for one in facts], np.float64),
            height_limit_ft=np.array([one.height_limit_ft for one in facts], np.float64),
            bars_trucks=np.array([one.bars_trucks for one in facts], bool),
            said_names=said_names,
            said_kinds=said_kinds,
        )

    def save(self, folder: Path) -> None:
        """Write the table into a network's folder."""
        np.savez_compressed(
            folder / FILE, **{one.name: getattr(self, one.name) for one in fields(self)}
        )

    @classmethod
    def load(cls, folder: Path) -> Self:
        """Read the table of a network's folder.

        Raises
        ------
        RoadError
            If it is missing, as in a network of an older version, or damaged.
        """
        try:
            with (folder / FILE).open("rb") as stream, np.load(stream) as kept:
                return cls(**{one.name: kept[one.name] for one in fields(cls)})
        except FileNotFoundError as wrong:
            raise RoadError(
                "The road network was built before roads could be closed and speeds set. "
                "Import the roads again."
            ) from wrong
        except (OSError, EOFError, KeyError, ValueError, zipfile.BadZipFile) as wrong:
            raise RoadError(
                f"The road network in {folder} is damaged ({wrong}). Import the roads again."
            ) from wrong

    def named(self, name: str) -> Flags:
        """Return which stretches, (s,), belong to a road of a name or number; see ``as_name``."""
        known = np.array([name in said.split(";") for said in self.said_names.tolist()], bool)
        return np.asarray(known[self.names][self.way])

    def classes_of(self, stretch: int) -> tuple[str, ...]:
        """Return the words that a speed may be set by for a stretch: class, gravel, private."""
        way = int(self.way[stretch])
        words = [str(self.said_kinds[self.kind[way]])]
        words += [GRAVEL] if self.is_loose[way] else []
        return (*words, PRIVATE) if self.is_private[way] else tuple(words)

    def barred_to(self, limits: VehicleLimits) -> Flags:
        """Return which stretches, (s,), a truck may not take by their signs.

        A sign that says exactly the truck's weight or height lets it pass.
        """
        barred = np.zeros(len(self.names), bool)
        if limits.weight_lb is not None:
            barred |= self.weight_limit_lb < limits.weight_lb
            barred |= self.bars_trucks & (limits.weight_lb > TRUCK_LB)
        if limits.height_ft is not None:
            barred |= self.height_limit_ft < limits.height_ft
        return np.asarray(barred[self.way])
