"""Sizes, grades, descriptions, units and part numbers by their cells, where no heading explains."""

from __future__ import annotations

from collections.abc import Sequence

from tallyhook.messages import say, to_say
from tallyhook.recognising import thresholds
from tallyhook.recognising.cells import ColumnCells
from tallyhook.recognising.evidence import (
    ColumnEvidence,
    Columns,
    TableEvidence,
    having,
    replaced,
    shown_among,
)

__all__ = ["others_by_cells"]


def others_by_cells(columns: Columns, table: TableEvidence) -> Columns:
    """Judge columns that no heading explains by their cells; of two sizes or grades neither."""
    headed = table.heading.row is not None
    unexplained = [
        c
        for c in columns
        if c.role == "ignore"
        and not (c.why or c.named)
        and not (headed and c.reading.text and c.reading.roles)
    ]
    for judged in (_sizes, _grades, _words, *((_units, _part) if not headed else ())):
        found = judged(unexplained, columns, table)
        columns = replaced(columns, *found)
        taken = {c.column for c in found}
        unexplained = [c for c in unexplained if c.column not in taken]
    named, unnamed = say("nothing says what it is"), _NO_HEADING
    return replaced(
        columns, *(c.doubted(named if c.reading.text else say(unnamed)) for c in unexplained)
    )


_NO_HEADING = to_say("no heading, and its cells do not say what it is")


def _sizes(
    found: Sequence[ColumnEvidence], columns: Columns, table: TableEvidence
) -> list[ColumnEvidence]:
    sizes = [c for c in found if _are_sizes(c.cells)]
    if having(columns, "size") or not sizes:
        return []
    if not _all_same(sizes, table):
        return _doubted(sizes, "size", columns)
    why = say("its cells are sizes")
    units = [c.reading.unit if c.reading.unit in ("mm", "in", "cm") else None for c in sizes]
    return [c.decided("size", why, unit=unit) for c, unit in zip(sizes, units, strict=True)]


def _grades(
    found: Sequence[ColumnEvidence], columns: Columns, table: TableEvidence
) -> list[ColumnEvidence]:
    grades = [c for c in found if _are_grades(c.cells)]
    if having(columns, "grade") or not grades:
        return []
    if not _all_same(grades, table):
        return _doubted(grades, "grade", columns)
    return [c.decided("grade", say("its cells are grades")) for c in grades]


def _all_same(found: Sequence[ColumnEvidence], table: TableEvidence) -> bool:
    return all(table.sample[c.column].equals(table.sample[found[0].column]) for c in found)


def _doubted(found: Sequence[ColumnEvidence], role: str, columns: Columns) -> list[ColumnEvidence]:
    both = say(" and ").join(shown_among(c, columns) for c in found)
    why = say("in doubt: {headings} could each be the {role}", headings=both, role=role)
    return [c.doubted(why) for c in found]


def _words(
    found: Sequence[ColumnEvidence], columns: Columns, table: TableEvidence
) -> list[ColumnEvidence]:
    del columns, table
    why = say("its cells are words")
    return [
        c.decided("description", why)
        for c in found
        if c.cells.words >= thresholds.WORD_CELLS
        and c.cells.number < thresholds.NUMBERS_AMONG_WORDS
    ]


def _units(
    found: Sequence[ColumnEvidence], columns: Columns, table: TableEvidence
) -> list[ColumnEvidence]:
    del columns, table
    why = say("its cells are units")
    return [c.decided("unit", why) for c in found if c.cells.load_units >= thresholds.UNIT_CELLS]


def _part(
    found: Sequence[ColumnEvidence], columns: Columns, table: TableEvidence
) -> list[ColumnEvidence]:
    """Take of several columns of codes the one whose codes differ most."""
    codes = [c for c in found if _are_codes(c.cells)]
    if having(columns, "part") or not codes:
        return []
    # of two that differ as much the same one, wherever it stands
    part = max(codes, key=lambda c: (c.cells.distinct, table.values(c)))
    return [part.decided("part", say("its cells are codes, each another"))]


def _are_sizes(cells: ColumnCells) -> bool:
    return (
        cells.size >= thresholds.SIZE_CELLS
        and cells.size_marked >= thresholds.SIZE_MARKS
        and cells.load < thresholds.LOADS_AMONG_SIZES
    )


def _are_grades(cells: ColumnCells) -> bool:
    several = (
        cells.distinct >= thresholds.GRADES_DISTINCT and cells.filled >= thresholds.GRADES_FILLED
    )
    large = cells.smallest >= thresholds.LEAST_GRADE_NUMBER
    marked = cells.grade_marked >= thresholds.GRADE_MARKS
    return cells.grade >= thresholds.GRADE_CELLS and (marked or (several and large))


def _are_codes(cells: ColumnCells) -> bool:
    most = min(cells.filled, thresholds.DISTINCT_CELLS)
    return cells.code >= thresholds.CODE_CELLS and cells.distinct >= thresholds.CODES_DIFFER * most
