"""The rating by its cells alone: loads with units, far heavier than the goods weigh."""

from __future__ import annotations

from tallyhook.messages import say
from tallyhook.recognising import thresholds
from tallyhook.recognising.evidence import (
    ColumnEvidence,
    Columns,
    TableEvidence,
    having,
    replaced,
)
from tallyhook.recognising.rough import middle_kilograms, rough_kilograms
from tallyhook.recognising.steps.unit_columns import neighbour_with_units

__all__ = ["rating_by_cells"]


def rating_by_cells(columns: Columns, table: TableEvidence) -> Columns:
    """Find the rated load by its cells, when no heading names it."""
    if having(columns, "wll"):
        return columns
    found = [c for c in columns if _could_be_rating(c, table)]
    if len(found) == 1:
        return replaced(columns, _only_rating(found[0]))
    if len(found) == 2:
        return replaced(columns, *_of_two(found[0], found[1], table))
    if not found and table.heading.row is None:
        return _number_with_unit_beside(columns, table)
    return columns


def _could_be_rating(column: ColumnEvidence, table: TableEvidence) -> bool:
    return (
        column.role == "ignore"
        and not column.named
        and column.cells.load >= thresholds.RATING_CELLS
        and column.reading.role(table.language) in (None, "size", "load", "wll", "grade")
        and middle_kilograms(table.filled_values(column)) >= thresholds.LEAST_MIDDLE_RATING
    )


def _only_rating(column: ColumnEvidence) -> ColumnEvidence:
    if column.why:
        why = say("{before}; its cells are loads with a unit", before=column.why)
    else:
        why = say("its cells are loads with a unit")
    return column.decided("wll", why)


def _of_two(
    first: ColumnEvidence, second: ColumnEvidence, table: TableEvidence
) -> list[ColumnEvidence]:
    """Judge two columns of loads: one load in two units, a rating and its breaking force, or ?."""
    if _same_loads(table.filled_values(first), table.filled_values(second)):
        why = say("its cells are loads with a unit, the same load in two units")
        return [c.decided("wll", why, unit=c.unit) for c in (first, second)]
    middles = {c.column: middle_kilograms(table.filled_values(c)) for c in (first, second)}
    smaller, larger = sorted((first, second), key=lambda c: middles[c.column])
    ratio = middles[larger.column] / max(1e-9, middles[smaller.column])
    least, most = thresholds.LEAST_BREAKING_RATIO, thresholds.MOST_BREAKING_RATIO
    if table.heading.row is not None or not least <= ratio <= most:
        why = say("its cells are loads, as those of another column are")
        return [c.doubted(why) for c in (first, second)]
    rated = say(
        "its cells are loads, the other column holds {ratio:.1f} times as much", ratio=ratio
    )
    breaking = say("its cells are {ratio:.1f} times the rated load", ratio=ratio)
    return [
        smaller.decided("wll", rated, unit=smaller.unit),
        larger.decided("breaking", breaking, unit=larger.unit),
    ]


def _same_loads(first: list[str], second: list[str]) -> bool:
    """Whether two columns hold the same loads in two units, row by row."""
    if len(first) != len(second) or not first:
        return False
    pairs = zip(map(rough_kilograms, first), map(rough_kilograms, second), strict=True)
    same = sum(1 for a, b in pairs if a and b and abs(a / b - 1) < thresholds.SAME_LOAD)
    return same >= thresholds.SAME_LOAD_ROWS * len(first)


def _number_with_unit_beside(columns: Columns, table: TableEvidence) -> Columns:
    """Take the one column of bare numbers that are ratings by the units in the column beside it."""
    found = [
        (column, beside)
        for column in columns
        if column.role == "ignore"
        and column.cells.number >= thresholds.NUMBER_CELLS
        and (beside := neighbour_with_units(column, columns))
        and _middle_with(beside, column, table) >= thresholds.LEAST_MIDDLE_RATING
    ]
    if len(found) != 1:
        return columns
    ((column, beside),) = found
    why = say("its cells are numbers, with units of load in {heading}", heading=beside.heading)
    return replaced(columns, column.decided("wll", why, unit=column.unit))


def _middle_with(units: ColumnEvidence, column: ColumnEvidence, table: TableEvidence) -> float:
    cells = zip(table.values(column), table.values(units), strict=True)
    return middle_kilograms([f"{number} {unit}" for number, unit in cells])
