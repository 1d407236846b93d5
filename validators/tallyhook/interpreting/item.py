"""One combination of texts of a list, put together into one item."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from tallyhook.interpreting.differing import without_differing
from tallyhook.interpreting.identity import (
    Identity,
    flag_of_row,
    grade_is_short,
    grade_of_row,
    identity_of_row,
    size_of_row,
    swivel_of_row,
)
from tallyhook.interpreting.notes import Notes
from tallyhook.interpreting.ratings import (
    Rating,
    design_factor_of_row,
    force_of_row,
    rating_of_row,
)
from tallyhook.interpreting.reader import Cells, Reader
from tallyhook.interpreting.row import Row, row_of
from tallyhook.interpreting.slinging import Legs, angle_of_row, hitch_of_row, legs_of_row
from tallyhook.interpreting.unread_cells import note_unread_cells, note_unread_units
from tallyhook.messages import say
from tallyhook.model.layout import Column
from tallyhook.texts.legs import Angle
from tallyhook.texts.quantities import with_unit
from tallyhook.texts.sizes import Size
from tallyhook.texts.units import AMBIGUOUS_TON

__all__ = ["Item", "item_of"]

_HOOKS = ("hook", "grab-hook", "sling")
"""The kinds that have a form and a connection."""


@dataclass(slots=True, kw_only=True)
class Item:
    """An item in the making: its fields but those of the rating, the rating, and the notes."""

    fields: dict[str, Any]
    rating: Rating
    pair: str | None
    notes: Notes

    @property
    def in_bare_tons(self) -> bool:
        """Whether nobody has said yet which ton the rating is in."""
        return self.rating.load is not None and self.rating.load.unit == AMBIGUOUS_TON

    def settle_ton(self, unit: str) -> None:
        """Take the rating in bare tons as one in a ton that the list has settled."""
        assert self.rating.load is not None
        self.rating.load = with_unit(self.rating.load, unit)
        if self.pair is None:
            self.notes.settle("wll")

    def record(self) -> dict[str, Any]:
        """Give the item as a record of `tallyhook.model.items.ITEM_COLUMNS`."""
        load, second = self.rating.load, self.rating.second
        single = self.pair is None  # of a pair nobody says what one of them may carry
        return self.fields | {
            "wll_kg": load.kg if load and single else None,
            "wll_value": load.value if load else None,
            "wll_unit": load.unit if load else None,
            "wll_step_kg": load.step_kg if load and single else None,
            "wll_text": load.text if load else None,
            "wll_column": self.rating.column,
            "wll2_kg": second.kg if second and single else None,
            "wll2_unit": second.unit if second else None,
            "wll2_text": second.text if second else None,
            "wll2_column": self.rating.second_column,
            "pair": self.pair,
            "unread": self.notes.unread(),
            "contradictions": self.notes.contradictions(),
            "unread_cells": self.notes.unread_cells(),
        }


def item_of(
    reader: Reader,
    record: Mapping[str, str],
    gives: Mapping[str, str],
    columns: Sequence[Column],
) -> Item:
    """Put together what one combination of texts says; parameters are those of `row_of`."""
    row, notes = row_of(reader, record, gives, columns), Notes()
    row = without_differing(reader, row, notes)
    note_unread_units(reader, row, notes)
    rating = rating_of_row(reader, row, notes)
    grade, scheme = grade_of_row(reader, row, notes)
    size = size_of_row(reader, row, notes, rating.kg)
    european = size is not None and not size.inch and grade_is_short(reader, row)
    legs = legs_of_row(reader, row, notes)
    angle = angle_of_row(reader, row, notes, european=european)
    identity = identity_of_row(reader, row, notes, grade=grade, legs=legs.legs)
    kind = identity.kind
    if kind == "other":
        grade = scheme = None
    size = _of_chain(reader, row, notes, kind, size)
    note_unread_cells(reader, row, notes)
    _note_what_stays_open(row, notes, identity, legs, angle)
    material = row.words.get("material") or row.text.material
    fields = {
        "item": _own_words(row.cells) or None,
        "grade": grade,
        "scheme": row.words.get("scheme") or scheme,
        "material": material if kind in ("hook", None) else None,
        "hitch": hitch_of_row(row, kind, notes),
        "swivel": swivel_of_row(reader, row, notes),
        "shortening": row.text.shortening or row.words.get("shortening"),
        **_identity_fields(identity),
        **_size_fields(size),
        **_sling_fields(legs, angle),
        **_force_fields(reader, row, notes),
    }
    pair = row.text.pair or row.words.get("pair") or ("yes" if rating.for_pair else None)
    _note_pair(rating, pair, notes)
    described = row.text.overhead or row.section.overhead
    fields["overhead"] = flag_of_row(reader, row, notes, "overhead", described)
    return Item(fields=fields, rating=rating, pair=pair, notes=notes)


def _of_chain(
    reader: Reader, row: Row, notes: Notes, kind: str | None, size: Size | None
) -> Size | None:
    """Keep a size only where the size of such a thing is that of a chain."""
    own_words = row.text.sized_by_chain and row.sized_by_chain
    if size is None or (kind != "other" and (own_words or reader.sized_by_chain)):
        return size
    if "size" in row.cells:
        why = say("'{size}' is no chain size of this kind of item", size=size.text)
        notes.add("size", why)
    return None


def _note_what_stays_open(
    row: Row, notes: Notes, identity: Identity, legs: Legs, angle: Angle
) -> None:
    """Take over what the description noted of fields that nothing else has filled."""
    filled = {
        "kind": identity.kind,
        "form": identity.form,
        "connection": identity.connection,
        "overhead": None,
        "angle": angle.to_deg,
        "legs": legs.legs,
        "description": None,
    }
    for name, value in filled.items():
        if value is None:
            notes.take(row.text.notes, name)


def _note_pair(rating: Rating, pair: str | None, notes: Notes) -> None:
    if rating.load is not None and pair == "yes" and not rating.for_pair:
        notes.add("wll", say("'{load}' is for a pair", load=rating.load.text))


def _identity_fields(identity: Identity) -> dict[str, Any]:
    of_hooks = identity.kind in _HOOKS or identity.kind is None
    return {
        "kind": identity.kind,
        "form": identity.form if of_hooks else None,
        "connection": identity.connection if of_hooks else None,
        "cradle": identity.cradle,
        "latch": identity.latch,
    }


def _size_fields(size: Size | None) -> dict[str, Any]:
    if size is None:
        return {}
    return {"size_mm": size.mm, "size_in": size.inch, "size_mm_to": size.mm_to}


def _sling_fields(legs: Legs, angle: Angle) -> dict[str, Any]:
    vertical, horizontal = angle.either or (None, None)
    return {
        "legs": legs.legs,
        "legs_range": "3-4" if legs.three_or_four else None,
        "angle_from_deg": angle.from_deg,
        "angle_to_deg": angle.to_deg,
        "angle_if_vertical_deg": vertical,
        "angle_if_horizontal_deg": horizontal,
    }


def _force_fields(reader: Reader, row: Row, notes: Notes) -> dict[str, Any]:
    breaking = force_of_row(reader, row, notes, "breaking")
    proof = force_of_row(reader, row, notes, "proof")
    factor, heading = design_factor_of_row(reader, row, notes)
    return {
        "breaking_kn": breaking.kn,
        "breaking_text": breaking.text,
        "breaking_column": breaking.column,
        "proof_kn": proof.kn,
        "proof_text": proof.text,
        "proof_column": proof.column,
        "design_factor": factor,
        "design_factor_column": heading,
    }


def _own_words(cells: Cells) -> str:
    """Give the row's own words: the description, else the cells that say what it is."""
    for roles in (("description",), ("kind", "connection", "form", "size", "grade", "legs")):
        texts = [text for role in roles for _, text in cells.get(role, ())]
        if texts:
            return ", ".join(dict.fromkeys(texts))
    return ""
