"""Sizes, grades, descriptions, units and part numbers by their cells, where no heading explains."""

from __future__ import annotations

from tallyhook.messages import say
from tallyhook.recognising import thresholds
from tallyhook.recognising.cells import ColumnCells
from tallyhook.recognising.evidence import (
    ColumnEvidence,
    Columns,
    TableEvidence,
    having,
    replaced,
)

__all__ = ["others_by_cells"]


def others_by_cells(columns: Columns, table: TableEvidence) -> Columns:
    """Judge columns that no heading explains by their cells, from left to right."""
    headed = table.heading.row is not None
    for column in columns:
        if column.role != "ignore" or column.why or column.named:
            continue
        if headed and column.reading.text and column.reading.roles:
            continue
        columns = replaced(columns, _by_cells(column, columns, headed=headed))
    return columns


def _by_cells(column: ColumnEvidence, columns: Columns, *, headed: bool) -> ColumnEvidence:
    cells = column.cells
    if not having(columns, "size") and _are_sizes(cells):
        unit = column.reading.unit
        return column.decided(
            "size", say("its cells are sizes"), unit=unit if unit in ("mm", "in", "cm") else None
        )
    if not having(columns, "grade") and _are_grades(cells):
        return column.decided("grade", say("its cells are grades"))
    worded = cells.words >= thresholds.WORD_CELLS
    if worded and cells.number < thresholds.NUMBERS_AMONG_WORDS:
        return column.decided("description", say("its cells are words"))
    if not headed and cells.load_units >= thresholds.UNIT_CELLS:
        return column.decided("unit", say("its cells are units"))
    if not headed and not having(columns, "part") and _are_codes(cells):
        return column.decided("part", say("its cells are codes, each another"))
    if column.reading.text:
        return column.doubted(say("nothing says what it is"))
    return column.doubted(say("no heading, and its cells do not say what it is"))


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
