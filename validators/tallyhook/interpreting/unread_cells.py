"""The filled cells of recognised columns that no reader of a field tells by itself.

Those are the units beside a load, forms and connections that no word of the vocabulary names,
cells that are too long to be read, errors of a spreadsheet, and the cells of a column whose heading
says what it is and whose cells are something else, so that nothing of it is read.

The words of a kind, of a material and of a standard may be any: what they leave open the
description says, and a table is claimed by what was read. So they are not unread.
"""

from __future__ import annotations

import re
from dataclasses import replace

from tallyhook.interpreting.distinct_texts import idle_units
from tallyhook.interpreting.notes import Notes
from tallyhook.interpreting.reader import Reader
from tallyhook.interpreting.row import Row
from tallyhook.messages import say
from tallyhook.model.layout import FORCES
from tallyhook.texts.scan import LONGEST
from tallyhook.texts.units import AMBIGUOUS_TON
from tallyhook.texts.words import NO_WORDS
from tallyhook.vocabulary.blanks import is_blank

__all__ = ["note_unread_cells", "note_unread_units"]

_OF_THE_SHOP = ("part", "supplier")
"""What says nothing of the thing."""

_NAMED = ("form", "connection")
"""Where no word is known, nothing is: a hook of an unknown form is none that its chain rates."""

_ERROR = re.compile(r"#(?:[A-Z]{3,12}[!?]|N/A|DIV/0!|#+)")
"""The errors of spreadsheets, and a number that its column was too narrow for."""


def note_unread_cells(reader: Reader, row: Row, notes: Notes) -> None:
    """Note what could not be read and no other reader has noted."""
    _note_words(reader, row, notes)
    for column in reader.layout.columns:
        text = row.record.get(column.column, "").strip() if column.refused_role else ""
        if column.refused_role and not is_blank(text):
            headed = replace(column, role=column.refused_role)
            notes.unread_cell(column.refused_role, column.why, headed, text)


def note_unread_units(reader: Reader, row: Row, notes: Notes) -> None:
    """Note the units beside a load that could not be read, before the load that lacks one."""
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

    known = {column.unit for column in columns.values() if column.unit}
    for column in idle_units(reader.layout):
        text = row.record.get(column.column, "").strip()
        unit = reader.unit(text)
        # which ton a heading means, its cells may say
        other = known and AMBIGUOUS_TON not in known and unit not in known
        if not is_blank(text) and (unit is None or other):
            notes.unread_cell(
                "unit", say("'{cell}' is not the unit of a load here", cell=text), column, text
            )


def _note_words(reader: Reader, row: Row, notes: Notes) -> None:
    for role, cells in row.cells.items():
        for column, text in cells:
            why = _why_unread(reader, role, text)
            if why and not notes.has_cell(column, text):
                notes.unread_cell(role, why, column, text)


def _why_unread(reader: Reader, role: str, text: str) -> str | None:
    if role in _OF_THE_SHOP:
        return None
    if _ERROR.fullmatch(text):
        return say("'{cell}' is an error of a spreadsheet", cell=text)
    if role == "description":
        return None  # of a longer one it is told that its end was not read
    if len(text) > LONGEST:
        return say("only the first {longest} characters were read", longest=LONGEST)
    if role in _NAMED and not is_blank(text) and reader.words(text) == NO_WORDS:
        return say("'{cell}' names none that is known", cell=text)
    return None
