"""The unit of ratings that carry none: as named, as a line beside says, or by a second column."""

from __future__ import annotations

from collections.abc import Sequence

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
from tallyhook.recognising.lines import unit_around
from tallyhook.recognising.rough import rough_number, share_near
from tallyhook.recognising.steps.by_name import names_unit
from tallyhook.recognising.unit_words import measures_load, unit_of
from tallyhook.units import factor

__all__ = ["units_around"]


def units_around(columns: Columns, table: TableEvidence) -> Columns:
    """Give loads without a unit the one that was named, or that a line beside the table says."""
    bare = [c for c in having(columns, *FORCES) if _lacks_unit(c)]
    if not bare:
        return columns
    named = table.overrides.get("unit", "")
    unit = unit_of(named) if named and names_unit(columns, named) else None
    if unit and measures_load(unit):
        why = say("in {unit} as named", unit=unit)
        return replaced(columns, *(c.with_unit(unit, why) for c in bare))
    ratings = having(bare, "wll")
    unit = unit_around(columns, table)
    if unit:
        why = say("in {unit} as a line beside the table says", unit=unit)
        return replaced(columns, *(c.with_unit(unit, why) for c in ratings))
    pair = [c for c in ratings if not c.gives]
    return replaced(columns, *_pounds_and_kilograms(pair, table)) if len(pair) == 2 else columns


def _lacks_unit(column: ColumnEvidence) -> bool:
    return (
        column.unit is None
        and column.unit_column is None
        and column.cells.load < thresholds.OWN_UNITS
        and len(set(column.reading.units)) < 2
    )


def _pounds_and_kilograms(
    pair: Sequence[ColumnEvidence], table: TableEvidence
) -> list[ColumnEvidence]:
    """Find by their ratio which of two columns of one rating is in pounds."""
    first, second = ([rough_number(v) for v in table.values(c)] for c in pair)
    ratios = [a / b for a, b in zip(first, second, strict=True) if a and b]
    if len(ratios) < thresholds.POUND_RATIO_ROWS:
        return []
    pounds = factor("kg", "lb")
    found: list[ColumnEvidence] = []
    for ratio, units in ((pounds, ("lb", "kg")), (1 / pounds, ("kg", "lb"))):
        if share_near(ratios, ratio) >= thresholds.POUND_RATIO_SHARE:
            found = [
                c.with_unit(u, say("in {unit} since the two columns differ by 2.2", unit=u))
                for c, u in zip(pair, units, strict=True)
            ]
    return found
