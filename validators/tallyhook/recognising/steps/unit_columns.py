"""A column of units belongs to the loads or sizes that need it, wherever it stands."""

from __future__ import annotations

import itertools
from collections.abc import Iterable, Iterator, Mapping, Sequence
from statistics import median

from tallyhook.errors import StockListError
from tallyhook.messages import say
from tallyhook.model.layout import FORCES
from tallyhook.recognising import thresholds
from tallyhook.recognising.evidence import (
    ColumnEvidence,
    Columns,
    TableEvidence,
    having,
    replaced,
)
from tallyhook.recognising.rough import rough_number
from tallyhook.recognising.unit_words import measures_load, unit_of
from tallyhook.units import CANONICAL, factor

__all__ = ["holds_load_units", "neighbour_with_units", "unit_columns"]

_LOAD, _LENGTH = "load", "length"

_BY_THE_RATING: Mapping[str, tuple[float, float]] = {
    "breaking": (thresholds.LEAST_FORCE_RATIO, thresholds.MOST_FORCE_RATIO),
    "proof": (thresholds.LEAST_PROOF_RATIO, thresholds.MOST_PROOF_RATIO),
}


def unit_columns(columns: Columns, table: TableEvidence) -> Columns:
    """Give each column of units to the columns of loads or sizes that it belongs to.

    Raises
    ------
    StockListError
        A column that the user named holds no units, or no column needs them.
    """
    found = [c for c in columns if _is_candidate(c)]
    kinds = {c.column: _measured(c) for c in found}
    refused = [
        c.refused(say("its cells are units of sale"))
        for c in found
        if kinds[c.column] is None and c.role == "unit" and not c.named
    ]
    columns = replaced(columns, *refused)
    for kind in (_LOAD, _LENGTH):
        columns = _given_out([c for c in found if kinds[c.column] == kind], kind, columns, table)
    _refuse_idle(columns, table)
    return columns


def _is_candidate(column: ColumnEvidence) -> bool:
    """Whether a column is one of units, or could be one and has no heading that says otherwise."""
    if column.role == "unit":
        return True
    unexplained = column.role == "ignore" and not column.named and not column.reading.ignored
    return unexplained and column.cells.unit >= thresholds.UNIT_COLUMN


def _measured(column: ColumnEvidence) -> str | None:
    """Give what the units of a column measure, ``load`` or ``length``; None for units of sale."""
    cells = column.cells
    lengths = sum(n for u, n in (cells.units or {}).items() if _is_length(u))
    shares = {_LOAD: cells.load_units, _LENGTH: lengths / max(1, cells.filled)}
    most = max(shares, key=lambda kind: shares[kind])
    if column.named:
        return most if shares[most] else None
    least = thresholds.NAMED_UNIT_COLUMN if column.serves else thresholds.LOAD_UNIT_COLUMN
    return most if shares[most] >= least else None


def _is_length(unit: str) -> bool:
    return CANONICAL.get(unit, ("", ""))[1] == "length"


# ---- whose units they are


def _given_out(
    found: Sequence[ColumnEvidence], kind: str, columns: Columns, table: TableEvidence
) -> Columns:
    """Give out the columns of units of one kind: by their headings, then to what is left."""
    for column in found:
        if column.serves:
            rivals = [c for c in found if c.serves == column.serves]
            owners = _needing(columns, column.serves, named=column.named)
            if all(_same_cells(c, column, table) for c in rivals):
                columns = _with_units(columns, column, owners)
    left = [c for c in found if not c.serves]
    open_roles = [r for r in _roles_of(kind) if _needing(columns, r)]
    chosen = _chosen(left, open_roles, columns, table)
    for role, column in chosen.items():
        columns = _with_units(columns, column, _needing(columns, role, named=column.named))
    taken = {c.column for c in chosen.values()} | {c.column for c in found if c.serves}
    idle = [c for c in left if c.column not in taken]
    return replaced(columns, *(_left_over(c, idle, open_roles) for c in idle if c.role == "unit"))


def _roles_of(kind: str) -> tuple[str, ...]:
    return FORCES if kind == _LOAD else ("size",)


def _chosen(
    found: Sequence[ColumnEvidence], roles: Sequence[str], columns: Columns, table: TableEvidence
) -> dict[str, ColumnEvidence]:
    """Choose for each role without units the column that holds them; nothing when in doubt."""
    named = [c for c in found if c.named]
    if named and not roles:
        roles = ["size" if _measured(named[0]) == _LENGTH else "wll"]
    found = named or found
    if not found or not roles:
        return {}
    if len(found) == 1 or all(_same_cells(c, found[0], table) for c in found):
        # one unit for all, or the unit of the rating where a force beside it could have another
        return {roles[0]: found[0]} if len(found) == 1 else dict.fromkeys(roles, found[0])
    ways = [
        dict(zip(roles, way, strict=True))
        for way in itertools.permutations(found, min(len(found), len(roles)))
        if len(way) == len(roles)
    ]
    fitting = [way for way in ways if _fits(way, columns, table)] if len(roles) > 1 else []
    return fitting[0] if len(fitting) == 1 else {}


def _fits(way: Mapping[str, ColumnEvidence], columns: Columns, table: TableEvidence) -> bool:
    """Whether forces are as much above the ratings as forces are, by the units of a choice."""
    if "wll" not in way:
        return False
    ratings = _in_kilograms(_needing(columns, "wll")[0], way["wll"], table)
    for role, units in way.items():
        if role == "wll":
            continue
        forces = _in_kilograms(_needing(columns, role)[0], units, table)
        ratios = [f / r for f, r in zip(forces, ratings, strict=True) if f and r]
        least, most = _BY_THE_RATING[role]
        if not ratios or not least <= median(ratios) <= most:
            return False
    return True


def _in_kilograms(
    column: ColumnEvidence, units: ColumnEvidence, table: TableEvidence
) -> list[float | None]:
    return [
        number * _worth(unit) if number and unit and measures_load(unit) else None
        for number, unit in zip(
            map(rough_number, table.values(column)),
            map(unit_of, table.values(units)),
            strict=True,
        )
    ]


def _worth(unit: str) -> float:
    return thresholds.ROUGH_TON if unit == "ton" else factor(unit, "kg")


def _same_cells(column: ColumnEvidence, other: ColumnEvidence, table: TableEvidence) -> bool:
    return table.sample[column.column].equals(table.sample[other.column])


def _needing(columns: Columns, role: str, *, named: bool = False) -> list[ColumnEvidence]:
    """Give the columns of a role whose numbers have no unit yet, or whose user says which."""
    return [
        c
        for c in having(columns, role)
        if (c.unit is None or named)
        and c.unit_column is None
        and (role == "size" or c.cells.load < thresholds.OWN_UNITS)
    ]


# ---- what is written on the columns


def _with_units(
    columns: Columns, column: ColumnEvidence, owners: Sequence[ColumnEvidence]
) -> Columns:
    """Write a column of units on itself and on the columns whose units it holds."""
    if not owners:
        return columns
    word, of = column.reading.word, _listed(owners)
    if column.named:
        why = say("named as unit, units of {headings}", headings=of)
    elif word:
        why = say("headed '{words}', units of {headings}", words=word, headings=of)
    else:
        why = say("its cells are the units of {headings}", headings=of)
    beside = say("unit in '{heading}'", heading=column.heading)
    return replaced(
        columns,
        column.decided("unit", why, unit=column.unit),
        *(owner.with_unit_column(column, beside) for owner in owners),
    )


def _left_over(
    column: ColumnEvidence, idle: Sequence[ColumnEvidence], roles: Sequence[str]
) -> ColumnEvidence:
    if column.named:
        return column
    if len(idle) > 1 and roles:
        return column.refused(
            say("in doubt: {headings} could each hold the units", headings=_listed(idle))
        )
    return column.refused(say("its cells are units, of no column that was recognised"))


def _listed(columns: Iterable[ColumnEvidence]) -> str:
    return say(" and ").join(f"'{c.heading}'" for c in columns)


def _refuse_idle(columns: Columns, table: TableEvidence) -> None:
    """Refuse a list in which a column of units that the user named has no use."""
    used = {c.unit_column for c in columns}
    for column in columns:
        if column.named and column.role == "unit" and column.column not in used:
            if _measured(column) is None:
                why = say("'{heading}' is named as unit and holds none", heading=column.heading)
            else:
                why = say(
                    "'{heading}' is named as unit, and no column lacks its units",
                    heading=column.heading,
                )
            raise StockListError(
                why,
                where=table.sheet.where,
                next_step=say("name the column that holds the units, or leave the unit out"),
            )


# ---- units beside a column


def holds_load_units(column: ColumnEvidence) -> bool:
    """Whether a column could hold the units of loads."""
    return _is_candidate(column) and _measured(column) == _LOAD


def neighbour_with_units(column: ColumnEvidence, columns: Columns) -> ColumnEvidence | None:
    """Find the column with units of load next to a column, first on its right."""
    return next((c for c in _beside(column, columns) if holds_load_units(c)), None)


def _beside(column: ColumnEvidence, columns: Columns) -> Iterator[ColumnEvidence]:
    place = [c.column for c in columns].index(column.column)
    for step in (1, -1):
        if 0 <= place + step < len(columns):
            yield columns[place + step]
