"""What of an item could not be read, was ambiguous, or contradicts its description."""

from __future__ import annotations

import json
import re
from collections.abc import Iterable
from dataclasses import dataclass, field
from typing import NamedTuple

from tallyhook.messages import say
from tallyhook.model.layout import ROLES, Column
from tallyhook.texts.dates import date_told

__all__ = ["Cell", "Clause", "Notes", "clauses_of"]

_BETWEEN = re.compile(rf"; (?=(?:{'|'.join((*ROLES, 'pair', 'shortening'))}): )")
"""Between two clauses; a cell that is quoted in one may hold a semicolon of its own."""


class Cell(NamedTuple):
    """A filled cell of a recognised column that could not be read."""

    role: str
    column: str
    text: str


class Clause(NamedTuple):
    """One thing that is noted of a field."""

    field: str
    why: str
    contradiction: tuple[str, str] | None = None
    """What the description says and what the column of the field says, where they differ."""
    cell: Cell | None = None
    """The cell that could not be read, whatever else says what it should have said."""


@dataclass(slots=True, kw_only=True)
class Notes:
    """The notes on one item, in the order in which they were met."""

    clauses: list[Clause] = field(default_factory=list)

    def add(self, name: str, why: str) -> None:
        """Note why a field could not be read."""
        self.clauses.append(Clause(name, why))

    def unread_cell(self, name: str, why: str, column: Column, text: str) -> None:
        """Note a filled cell of a field's column that could not be read.

        A row that holds one agrees with nothing, whatever other cell could stand in for it.
        """
        why = date_told(text) or why
        self.clauses.append(Clause(name, why, cell=Cell(column.role, column.heading, text)))

    def has_cell(self, column: Column, text: str) -> bool:
        """Whether a cell has been noted as unread."""
        return any(c.cell == Cell(column.role, column.heading, text) for c in self.clauses)

    def take(self, described: Iterable[tuple[str, str]], name: str) -> None:
        """Take over what the reading of a description noted of a field."""
        self.clauses += (Clause(*each) for each in described if each[0] == name)

    def contradicts(self, name: str, *, described: object, column: object) -> None:
        """Note that the description says something else than the column of a field."""
        why = say(
            "description says {described} and the column says {column}",
            described=described,
            column=column,
        )
        self.clauses.append(Clause(name, why, (str(described), str(column))))

    def settle(self, name: str) -> None:
        """Drop what was ambiguous of a field and is not any more; a contradiction stays.

        So does a cell that could not be read.
        """
        self.clauses = [c for c in self.clauses if c.field != name or c.contradiction or c.cell]

    def unread(self) -> str | None:
        """Give the notes as the text of an item's ``unread``, one clause a field."""
        return "; ".join(dict.fromkeys(f"{c.field}: {c.why}" for c in self.clauses)) or None

    def contradictions(self) -> str | None:
        """Give what the description says otherwise than a column, as JSON.

        Its shape is `tallyhook.model.items.CONTRADICTIONS`.
        """
        found = [
            {"field": c.field, "described": c.contradiction[0], "column": c.contradiction[1]}
            for c in self.clauses
            if c.contradiction
        ]
        return json.dumps(found, ensure_ascii=False) if found else None

    def unread_cells(self) -> str | None:
        """Give the filled cells of recognised columns that could not be read, as JSON.

        Its shape is `tallyhook.model.items.UNREAD_CELLS`.
        """
        whys: dict[Cell, str] = {}
        for clause in self.clauses:
            if clause.cell:
                whys.setdefault(clause.cell, clause.why)  # a cell is told once
        found = [
            {"role": cell.role, "column": cell.column, "cell": cell.text, "why": why}
            for cell, why in whys.items()
        ]
        return json.dumps(found, ensure_ascii=False) if found else None


def clauses_of(unread: str) -> list[tuple[str, str]]:
    """Split the text of an item's ``unread`` into the field and the reason of each clause.

    Examples
    --------
    >>> clauses_of("size: 'see; drawing' is no size; grade: 'x' is no grade mark")
    [('size', "'see; drawing' is no size"), ('grade', "'x' is no grade mark")]
    """
    parted = (clause.partition(": ") for clause in _BETWEEN.split(unread))
    return [(name, why) for name, _, why in parted]
