"""The readers of one list: what its columns and habits say of every text, each text read once."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cache
from typing import Any, TypeVar

from tallyhook.interpreting.habits import size_habits, system_of
from tallyhook.model.layout import Column, Layout
from tallyhook.texts.cells import plain_cell
from tallyhook.texts.description import Description, describe
from tallyhook.texts.grades import Grade, read_grade
from tallyhook.texts.load_cells import LoadCell, read_load
from tallyhook.texts.scan import Context, Scan
from tallyhook.texts.sizes import SizeReading, read_size
from tallyhook.texts.units import AMBIGUOUS_TON, unit_at
from tallyhook.texts.words import Words, read_words
from tallyhook.vocabulary.lexicon import rows
from tallyhook.vocabulary.tokens import words_of

__all__ = ["NO_DESCRIPTION", "NO_SIZE", "Cells", "Reader"]

Cells = Mapping[str, Sequence[tuple[Column, str]]]
"""The filled cells of a row by the role of their columns."""

T = TypeVar("T")

NO_DESCRIPTION, NO_SIZE = Description(), SizeReading()

_SHORTEST_INSIDE = 5  # letters: "chn" inside another word names no chain


@dataclass(slots=True)
class Reader:
    """The readers of one list, each distinct text of which is read once.

    `size_system` is the system that the list's sizes are in, `inches` whether a size column holds
    inch fractions, `contexts` those of columns with a decimal mark of their own, `sized_by_chain`
    whether a heading says that the sizes are those of chain.
    """

    layout: Layout
    context: Context
    size_system: str | None
    inches: dict[str, bool]
    contexts: Mapping[str, Context]
    sized_by_chain: bool
    seen: dict[tuple[Any, ...], Any] = field(default_factory=dict)

    @classmethod
    def of(cls, layout: Layout) -> Reader:
        """Make the readers of a list; its habits are taken from the rows of the layout's body."""
        sizes = layout.having("size")
        fractions, millimetres = size_habits(layout, sizes)
        inch_list, metric_list = any(fractions.values()), any(millimetres.values())
        system = system_of(layout, inch_list, metric_list)
        size_system = {(True, False): "us", (False, True): "metric"}.get((inch_list, metric_list))
        context = Context(decimal=layout.decimal, system=system)
        return cls(
            layout=layout,
            context=context,
            size_system=size_system or (system if not sizes else None),
            inches=fractions,
            contexts={
                c.column: replace(context, decimal=c.decimal) for c in layout.columns if c.decimal
            },
            sized_by_chain=any(_names_chain(c.heading) for c in sizes),
        )

    def once(self, role: str, read: Callable[..., T], text: str, *more: str, **how: Any) -> T:
        """Read a text unless the same text was read in this role in the same way before."""
        key = (role, text, more, tuple(how.values()))
        if key not in self.seen:
            self.seen[key] = read(text, *more, **how)
        found: T = self.seen[key]
        return found

    def cells(self, record: Mapping[str, str]) -> Cells:
        """Give the filled cells of a row by role."""
        found: dict[str, list[tuple[Column, str]]] = {}
        for column in self.layout.columns:
            if text := plain_cell(record.get(column.column, "")):
                found.setdefault(column.role, []).append((column, text))
        return found

    def description(self, text: str | None) -> Description:
        """Read what a description, a section heading or the name of a sheet says."""
        if not text:
            return NO_DESCRIPTION
        return self.once("description", describe, text, context=self.context)

    def words(self, text: str) -> Words:
        """Read the words of a cell."""
        return self.once("words", read_words, text, context=self.context)

    def grade(self, text: str, context: Context) -> Grade:
        """Read a cell of a grade column."""
        return self.once("grade", read_grade, text, context=context)

    def sizes(self, cells: Sequence[tuple[Column, str]]) -> list[SizeReading]:
        """Read the size cells of a row."""
        readings = []
        for column, text in cells:
            unit = column.unit if column.unit in ("mm", "in") else None
            inches = self.inches.get(column.column, False)
            context = self._context_of(column)
            readings.append(
                self.once("size", read_size, text, unit=unit, inches=inches, context=context)
            )
        return readings

    def given_sizes(self, texts: Sequence[str]) -> list[SizeReading]:
        """Read the sizes that the headings of matrix columns give."""
        return [self.once("size", read_size, text, context=self.context) for text in texts]

    def load(self, column: Column, record: Mapping[str, str]) -> LoadCell:
        """Read the cell of a row in a column of loads or forces."""
        text = plain_cell(record.get(column.column, ""))
        unit = column.unit
        if column.unit_column:
            unit = self.unit(record.get(column.unit_column, "")) or unit
        if unit == AMBIGUOUS_TON and self.context.system == "metric":
            unit = "t"  # sizes in millimetres settle which ton it is
        return self.once("load", read_load, text, unit=unit, context=self._context_of(column))

    def unit(self, text: str) -> str | None:
        """Read a cell that holds the unit of the loads beside it."""
        return self.once("unit", _unit_of, plain_cell(text))

    def first_heading(self, role: str) -> str | None:
        """Give the heading of the first column of a role."""
        return next((c.heading for c in self.layout.having(role)), None)

    def _context_of(self, column: Column) -> Context:
        return self.contexts.get(column.column, self.context)


@cache
def _chain_words() -> frozenset[str]:
    """The single words that name chain."""
    names = (words_of(str(row["word"])) for row in rows("kind-words") if row["slug"] == "chain")
    return frozenset(words[0] for words in names if len(words) == 1)


def _names_chain(heading: str) -> bool:
    """Whether a heading speaks of chain, as a word of its own or inside one: "Kettennenndicke"."""
    return any(
        word == chain or (len(chain) >= _SHORTEST_INSIDE and chain in word)
        for word in words_of(heading)
        for chain in _chain_words()
    )


def _unit_of(text: str) -> str | None:
    """Read a cell that holds the unit of the loads beside it."""
    scan = Scan(text.strip(), Context(system="metric" if text.strip() == "T" else None))
    read = unit_at(scan, 0) if scan.tokens else None
    return read[0] if read and read[1] == len(scan.tokens) else None
