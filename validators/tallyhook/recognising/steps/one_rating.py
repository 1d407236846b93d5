"""No two columns claim to be the same rating."""

from __future__ import annotations

from tallyhook.errors import StockListError
from tallyhook.messages import say
from tallyhook.recognising import thresholds
from tallyhook.recognising.evidence import (
    ColumnEvidence,
    Columns,
    TableEvidence,
    having,
    how_to_name,
    name_of,
    replaced,
    shown_among,
)

__all__ = ["one_rating"]


def one_rating(columns: Columns, table: TableEvidence) -> Columns:
    """Keep one of several columns of the same rating, or all where they hold the same.

    Raises
    ------
    StockListError
        Nothing says which one it is.
    """
    groups: dict[tuple[object, ...], list[ColumnEvidence]] = {}
    for column in having(columns, "wll"):
        unit = column.unit or column.unit_column or _unit_of_cells(column)
        groups.setdefault((unit, *sorted(column.gives.items())), []).append(column)
    for group in groups.values():
        if len(group) == 1:
            continue
        keep = _chosen(group, table)
        if not keep:
            names = say(" and ").join(shown_among(c, columns) for c in group)
            option = how_to_name(wll=name_of(group[0], columns))
            raise StockListError(
                say("several columns could be the rated load: {headings}", headings=names),
                where=table.sheet.where,
                next_step=say("choose one with {option}", option=option),
            )
        why = say("the rated load is '{heading}'", heading=keep[0].heading)
        kept = [c.column for c in keep]
        columns = replaced(columns, *(c.refused(why) for c in group if c.column not in kept))
    return columns


def _chosen(group: list[ColumnEvidence], table: TableEvidence) -> list[ColumnEvidence]:
    """Choose the named columns, else the one headed so and nothing more, else all equals."""
    named = [c for c in group if c.named]
    whole = [c for c in group if c.reading.whole]
    if named or len(whole) == 1:
        return named or whole
    # where a row beyond the sample differs all the same, it is told as any second rating is
    cells = table.sample[group[0].column]
    same = all(table.sample[c.column].equals(cells) for c in group)
    return group if same else []


def _unit_of_cells(column: ColumnEvidence) -> str | None:
    units = column.cells.units or {}
    if not units or column.cells.load < thresholds.OWN_UNITS:
        return None
    return max(units, key=lambda u: units[u])
