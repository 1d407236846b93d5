"""The filled cells of recognised columns that no reader of a field asks for by itself.

Those are the units beside a load, and the cells of a column whose heading says what it is and
whose cells are something else, so that nothing of it is read.
"""

from __future__ import annotations

from dataclasses import replace

from tallyhook.interpreting.notes import Notes
from tallyhook.interpreting.reader import Reader
from tallyhook.interpreting.row import Row
from tallyhook.messages import say
from tallyhook.model.layout import FORCES
from tallyhook.vocabulary.blanks import is_blank

__all__ = ["note_unread_cells"]


def note_unread_cells(reader: Reader, row: Row, notes: Notes) -> None:
    """Note the units that could not be read, and what stands in columns that were refused."""
    columns = {column.column: column for column in reader.layout.columns}
    forces = [c for role in FORCES[1:] for c, _ in row.cells.get(role, ())]
    for column in (*row.columns, *forces):
        beside = columns.get(column.unit_column or "")
        text = row.record.get(beside.column, "").strip() if beside is not None else ""
        if beside is None or is_blank(text) or reader.unit(text) is not None:
            continue
        if not is_blank(row.record.get(column.column, "")):
            why = say("'{cell}' is no unit of a load", cell=text)
            notes.unread_cell("unit", why, replace(beside, role="unit"), text)
    for column in columns.values():
        text = row.record.get(column.column, "").strip() if column.refused_role else ""
        if column.refused_role and not is_blank(text):
            headed = replace(column, role=column.refused_role)
            notes.unread_cell(column.refused_role, say("{why}", why=column.why), headed, text)
