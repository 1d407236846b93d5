"""How a sling is used: its legs, their angle, the hitch."""

from __future__ import annotations

import re
from dataclasses import dataclass

from tallyhook.interpreting.notes import Notes
from tallyhook.interpreting.reader import Reader
from tallyhook.interpreting.row import Row
from tallyhook.messages import say
from tallyhook.model.layout import Column
from tallyhook.texts.legs import Angle, read_angle, read_legs

__all__ = ["Legs", "angle_of_row", "hitch_of_row", "legs_of_row"]

_HITCHES = ("straight", "choke", "basket")

_FIGURES = re.compile(r"[\d°]+")


@dataclass(frozen=True, slots=True, kw_only=True)
class Legs:
    """The legs of a sling; `three_or_four` where the row says either, and the number is null."""

    legs: int | None
    three_or_four: bool


def legs_of_row(reader: Reader, row: Row, notes: Notes) -> Legs:
    """Read how many legs: from their column or the matrix heading, else from the words."""
    legs: int | None = None
    three_or_four = False
    written: list[tuple[Column | None, str]] = [*row.filled("legs")]
    written += [(None, given) for given in row.given("legs")]
    for column, cell in written:
        read = reader.once("legs", read_legs, cell, context=reader.context)
        three_or_four = three_or_four or read.three_or_four
        if read.legs is not None:
            legs = read.legs
        elif read.note and column is not None and not read.three_or_four:
            notes.unread_cell("legs", read.note, column, cell)
        elif read.note:
            notes.add("legs", read.note)
    described = row.text.legs
    if legs is not None and described is not None and legs != described:
        notes.contradicts("legs", described=described, column=legs)
    if legs is None and not three_or_four:
        legs = described or row.section.legs
    return Legs(legs=legs, three_or_four=three_or_four and legs is None)


def angle_of_row(reader: Reader, row: Row, notes: Notes, *, european: bool) -> Angle:
    """Read the angle; in European rows it counts from the vertical where nothing is said."""
    angle = Angle()
    # a heading such as "Angle to horizontal" says for its cells from which line they count
    written: list[tuple[Column | None, str]] = [*row.filled("angle")]
    written += [(None, given) for given in row.given("angle")]
    for column, cell in written:
        beside = _FIGURES.sub(" ", column.heading) if column is not None else ""
        angle = reader.once("angle", read_angle, cell, beside, context=reader.context)
        if column is not None and angle.unread:
            notes.unread_cell("angle", str(angle.note), column, cell)
        elif angle.note and not (angle.either and european):
            notes.add("angle", angle.note)
    if angle.unread or not written:
        said = row.text.angle_to_deg is not None or row.text.angle_either is not None
        source = row.text if said else row.section
        angle = Angle(
            from_deg=source.angle_from_deg,
            to_deg=source.angle_to_deg,
            either=source.angle_either,
        )
    if angle.either and (european or angle.either[0] == angle.either[1]):
        return Angle(to_deg=angle.either[0])  # EN 818-4: the angle to the vertical
    return angle


def hitch_of_row(row: Row, kind: str | None, notes: Notes) -> str | None:
    """Read the hitch that the rating is for; only slings have one."""
    for given in row.given("hitch"):
        if given in _HITCHES:
            return given
    for column, cell in row.filled("hitch"):
        if "hitch" not in row.words or "?" in cell:
            notes.unread_cell("hitch", say("'{cell}' is no hitch", cell=cell), column, cell)
    return (row.words.get("hitch") or row.text.hitch) if kind in ("sling", None) else None
