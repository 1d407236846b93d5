"""Whether angles are to the horizontal or to the vertical, by the run of the ratings."""

from __future__ import annotations

import itertools
import re
from collections.abc import Iterable
from dataclasses import replace

from tallyhook.messages import say
from tallyhook.recognising.evidence import (
    ColumnEvidence,
    Columns,
    TableEvidence,
    having,
    replaced,
)
from tallyhook.recognising.rough import rough_number

__all__ = ["aim_of_angles"]

_AIMS = (" to horizontal", " to vertical")


_AIMS = (" to horizontal", " to vertical")


def aim_of_angles(columns: Columns, table: TableEvidence) -> Columns:
    """Give angles the line they are measured to: to the horizontal, a larger one carries more."""
    groups: dict[tuple[object, ...], list[ColumnEvidence]] = {}
    for column in having(columns, "wll"):
        if "angle" in column.gives and not column.gives["angle"].endswith(_AIMS):
            rest = sorted((k, v) for k, v in column.gives.items() if k != "angle")
            groups.setdefault((*rest, ("unit", str(column.unit))), []).append(column)
    votes = sum(_votes(group, table) for group in groups.values())
    if votes == 0:
        return columns
    aim = _AIMS[0] if votes > 0 else _AIMS[1]
    if votes > 0:
        why = say("angle to horizontal by the run of the ratings")
    else:
        why = say("angle to vertical by the run of the ratings")
    aimed = [_aimed(c, aim, why) for c in itertools.chain(*groups.values())]
    return replaced(columns, *aimed)


def _aimed(column: ColumnEvidence, aim: str, why: str) -> ColumnEvidence:
    angle = column.gives["angle"] + aim
    return replace(column, gives={**column.gives, "angle": angle}).added(angle, why)


def _votes(group: Iterable[ColumnEvidence], table: TableEvidence) -> int:
    """Count the rows in which the larger angle carries more, minus the others."""
    ordered = sorted(group, key=lambda c: int(re.split(r"\D", c.gives["angle"])[-1]))
    votes = 0
    for low, high in itertools.pairwise(ordered):
        numbers = zip(
            map(rough_number, table.values(low)), map(rough_number, table.values(high)), strict=True
        )
        votes += sum((1 if b > a else -1) for a, b in numbers if a and b and a != b)
    return votes
