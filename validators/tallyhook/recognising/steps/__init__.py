"""The steps of recognition, each from the columns of a table to the same columns, better known.

Their order matters: what is certain comes first, so that doubtful columns find less left to be.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Final

from tallyhook.recognising.evidence import ColumnEvidence, Columns, Step, TableEvidence
from tallyhook.recognising.steps.aim_of_angles import aim_of_angles
from tallyhook.recognising.steps.by_heading import by_heading
from tallyhook.recognising.steps.by_name import by_name
from tallyhook.recognising.steps.by_profile import by_profile
from tallyhook.recognising.steps.headed_load import headed_load
from tallyhook.recognising.steps.missing_description import missing_description
from tallyhook.recognising.steps.one_of_each import one_of_each
from tallyhook.recognising.steps.one_rating import one_rating
from tallyhook.recognising.steps.others_by_cells import others_by_cells
from tallyhook.recognising.steps.rating_by_cells import rating_by_cells
from tallyhook.recognising.steps.rating_required import rating_required
from tallyhook.recognising.steps.table_of_ratings import table_of_ratings
from tallyhook.recognising.steps.unit_columns import unit_columns
from tallyhook.recognising.steps.units_around import units_around

__all__ = ["STEPS", "after_all_steps"]

STEPS: Final[tuple[Step, ...]] = (
    by_heading,
    by_profile,
    by_name,
    table_of_ratings,
    headed_load,
    rating_by_cells,
    others_by_cells,
    missing_description,
    one_of_each,
    unit_columns,
    units_around,
    one_rating,
    aim_of_angles,
    rating_required,
)


def after_all_steps(columns: Columns, table: TableEvidence) -> Columns:
    """Take the columns of a table through all steps.

    Raises
    ------
    StockListError
        Two columns could be the rated load, none can, or a column was named that is not there.
    """
    for step in STEPS:
        before = {c.column: len(c.decisions) for c in columns}
        columns = tuple(_signed(c, before[c.column], step.__name__) for c in step(columns, table))
    return columns


def _signed(column: ColumnEvidence, known: int, step: str) -> ColumnEvidence:
    """Write the name of the step on each decision that it made."""
    if len(column.decisions) == known:
        return column
    new = (replace(d, step=step) for d in column.decisions[known:])
    return replace(column, decisions=(*column.decisions[:known], *new))
