"""The texts of one item, read: its cells by role, and the descriptions that speak of it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from tallyhook.interpreting.reader import Cells, Reader
from tallyhook.model.layout import Column
from tallyhook.texts.description import Description
from tallyhook.texts.scan import Context
from tallyhook.texts.words import Words
from tallyhook.vocabulary.blanks import is_blank
from tallyhook.vocabulary.lexicon import rows

__all__ = ["ANY_KIND", "Row", "row_of"]

_WORD_ROLES = ("kind", "form", "connection", "material", "hitch", "scheme", "standard")
"""The columns whose cells are words."""

_SAY_THEIR_OWN = ("material", "hitch", "scheme", "standard")
"""Of these, the ones whose words say nothing of another field."""

ANY_KIND = ("mixed", "hook", "any-sling")
"""Beside these another word of a kind says more, and nothing else."""

_FIELDS = (
    "kind",
    "form",
    "connection",
    "material",
    "hitch",
    "scheme",
    "pair",
    "cradle",
    "latch",
    "swivel",
    "overhead",
    "shortening",
)
"""What words can say."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """One combination of texts of a list, as far as each text says something by itself.

    Attributes
    ----------
    record : mapping
        The cells by column name.
    cells : mapping
        The filled cells by role.
    gives : mapping
        What the heading of a matrix column says of the item.
    columns : sequence of Column
        The rating columns of the item.
    text, section, sheet : Description
        What the row's own description says, the section heading above it, the sheet's name.
    words : mapping
        What the cells of words say, by field.
    sized_by_chain : bool
        False where the words name a thing whose size is not that of a chain.
    """

    record: Mapping[str, str]
    cells: Cells
    gives: Mapping[str, str]
    columns: Sequence[Column]
    text: Description
    section: Description
    sheet: Description
    words: Mapping[str, str]
    sized_by_chain: bool

    def texts_of(self, role: str) -> list[str]:
        """Give the cells of a role, from left to right."""
        return [text for _, text in self.cells.get(role, ())]

    def filled(self, role: str) -> list[tuple[Column, str]]:
        """Give the cells of a role that say something, each with its column."""
        return [(column, text) for column, text in self.cells.get(role, ()) if not is_blank(text)]

    def given(self, role: str) -> list[str]:
        """Give what the heading of a matrix column says of a role, if it does."""
        return [self.gives[role]] if role in self.gives else []

    def grade_context(self, context: Context) -> Context:
        """Give the list's context, or that of the row where its sizes are in millimetres."""
        sizes = self.cells.get("size", ())
        if context.system is None and sizes and all("mm" in cell.lower() for _, cell in sizes):
            return replace(context, system="metric")
        return context


def row_of(
    reader: Reader,
    record: Mapping[str, str],
    gives: Mapping[str, str],
    columns: Sequence[Column],
) -> Row:
    """Read the texts of one combination, each by itself.

    Parameters
    ----------
    reader : Reader
        The readers of the list.
    record : mapping
        The cells by column name, and ``section``.
    gives, columns
        The group of rating columns that the item belongs to
        (`tallyhook.interpreting.distinct_texts.rating_groups`).
    """
    cells = reader.cells(record)
    described = " | ".join(text for _, text in cells.get("description", ()))
    read = [(role, reader.words(text)) for role in _WORD_ROLES for _, text in cells.get(role, ())]
    read += [(role, reader.words(gives[role])) for role in _WORD_ROLES if role in gives]
    return Row(
        record=record,
        cells=cells,
        gives=gives,
        columns=columns,
        text=reader.description(described),
        section=reader.description(record["section"]),
        sheet=reader.description(reader.layout.sheet.name),
        words=_fields_of(read) | _scheme_code(cells),
        sized_by_chain=all(words.sized_by_chain for role, words in read if role == "kind"),
    )


def _fields_of(read: Sequence[tuple[str, Words]]) -> dict[str, str]:
    """Give each field its words: those of its own column go before those of the others."""
    found: dict[str, str] = {}
    for name in _FIELDS:
        said = [(role, value) for role, words in read if (value := getattr(words, name))]
        own = [value for role, value in said if role == name]
        other = [value for role, value in said if role not in (name, *_SAY_THEIR_OWN)]
        by_standard = [value for _, value in said] if name == "scheme" else []
        values = own or by_standard or (other if len(set(other)) == 1 else [])
        if values:
            # of a kind and a kind in general ("hook", "mixed") it is the kind, in any order
            found[name] = next((v for v in values if v not in ANY_KIND), values[0])
    return found


def _scheme_code(cells: Cells) -> dict[str, str]:
    """Give the scheme that a cell names by its code."""
    codes = {str(row["scheme"]) for row in rows("schemes")}
    named = [text.casefold() for _, text in cells.get("scheme", ())]
    found = [name for name in named if name in codes]
    return {"scheme": found[-1]} if found else {}
