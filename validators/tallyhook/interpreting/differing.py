"""Cells of one row that stand in two columns of one role and say different things.

Neither is taken, wherever the columns stand: the row agrees with nothing, and both are told.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from tallyhook.interpreting.notes import Notes
from tallyhook.interpreting.ratings import read_factor, same_force
from tallyhook.interpreting.reader import Reader
from tallyhook.interpreting.row import ANY_KIND, Row
from tallyhook.messages import say
from tallyhook.model.layout import Column
from tallyhook.texts.flags import read_flag, read_swivel
from tallyhook.texts.legs import read_angle, read_legs

__all__ = ["without_differing"]

_FORCES = ("breaking", "proof")
_FLAGS = ("latch", "cradle", "overhead")
_WORDS = ("kind", "form", "connection", "material", "hitch")
_ROLES = ("grade", "legs", "angle", *_FORCES, "design_factor", *_FLAGS, "swivel", *_WORDS)
"""What an item has one of. Sizes are merged (`tallyhook.texts.sizes.merge_sizes`), ratings are held
against each other by a rule."""


def without_differing(reader: Reader, row: Row, notes: Notes) -> Row:
    """Give a row without the cells that say different things of one role, each of them noted."""
    differing = {role: cells for role in _ROLES if (cells := _differing(reader, row, role))}
    if not differing:
        return row
    for role, cells in differing.items():
        shown = say(" and ").join(
            say("'{cell}' under '{heading}'", cell=text, heading=column.heading)
            for column, text in sorted(cells, key=lambda each: (each[0].heading, each[1]))
        )
        for column, text in cells:
            why = say("{cells} say different things of the {role}", cells=shown, role=role)
            notes.unread_cell(role, why, column, text)
    return replace(
        row,
        cells={role: cells for role, cells in row.cells.items() if role not in differing},
        words={name: word for name, word in row.words.items() if name not in differing},
    )


def _differing(reader: Reader, row: Row, role: str) -> Sequence[tuple[Column, str]]:
    """Give the filled cells of a role, where two of them say different things."""
    if len(row.cells.get(role, ())) < 2:
        return ()
    filled = row.filled(role)
    values = [_value(reader, row, role, column, text) for column, text in filled]
    known = [value for value in values if value is not None]
    return filled if any(not _same(role, value, known[0]) for value in known) else ()


def _same(role: str, value: object, other: object) -> bool:
    if role in _FORCES and isinstance(value, float) and isinstance(other, float):
        return same_force(value, other)
    return value == other


def _value(reader: Reader, row: Row, role: str, column: Column, text: str) -> object:
    """Read one cell as its role reads it; None where nothing can be read from it."""
    if role == "grade":
        return reader.grade(text, row.grade_context(reader.context)).grade
    if role in _FORCES:
        load = reader.load(column, row.record).load
        return load.kn if load else None
    if role == "legs":
        return reader.once("legs", read_legs, text, context=reader.context).legs
    if role == "angle":
        angle = reader.once("angle", read_angle, text, context=reader.context)
        return angle.to_deg if angle.to_deg is not None else angle.either
    if role in _FLAGS:
        return reader.once(role, read_flag, text, role)[0]
    if role == "swivel":
        return reader.once("swivel", read_swivel, text)[0]
    if role == "design_factor":
        return reader.once("factor", read_factor, text)
    word: str | None = getattr(reader.words(text), role)
    return None if role == "kind" and word in ANY_KIND else word
