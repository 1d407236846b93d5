"""What is known of a table and of each of its columns while recognition goes on.

A step takes the columns and the table and gives the columns anew, so that each can be read, and
tested, by itself. Every decision is kept on its column with its reason.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace

import polars as pl

from tallyhook.errors import StockListError
from tallyhook.messages import say
from tallyhook.model.layout import Decision, column_letter
from tallyhook.model.sheet import Sheet
from tallyhook.recognising import thresholds
from tallyhook.recognising.cells import ColumnCells, describe_cells
from tallyhook.recognising.habits import Habits, habits_of
from tallyhook.recognising.heading_rows import Heading, filled_of
from tallyhook.recognising.headings import Reading
from tallyhook.recognising.rows import is_item_above
from tallyhook.recognising.tables import Table

__all__ = [
    "ColumnEvidence",
    "Columns",
    "Step",
    "TableEvidence",
    "column_named",
    "columns_headed",
    "columns_sought",
    "evidence_of",
    "having",
    "headings_of",
    "how_to_name",
    "letter_of",
    "name_of",
    "replaced",
    "sample_of",
    "shown_among",
]


@dataclass(frozen=True, slots=True, kw_only=True)
class ColumnEvidence:
    """A column, what its heading and cells say, and what was decided so far.

    Attributes
    ----------
    column : str
        Its name in the frame, ``c3``.
    heading : str
        The heading as written; "column D" without one.
    reading : Reading
        The heading, read.
    cells : ColumnCells
        What the cells are by their form.
    role, unit, unit_column, gives
        As for `tallyhook.model.layout.Column`.
    named : bool
        Whether the user or a profile said what it is.
    refused_role : str or None
        As for `tallyhook.model.layout.Column`.
    serves : str or None
        The role of the columns that a column of units belongs to, where its heading says it.
    decisions : tuple of Decision
        What was decided, in the order it was.
    """

    column: str
    heading: str
    reading: Reading
    cells: ColumnCells
    role: str = "ignore"
    unit: str | None = None
    unit_column: str | None = None
    gives: Mapping[str, str] = field(default_factory=dict)
    named: bool = False
    refused_role: str | None = None
    serves: str | None = None
    decisions: tuple[Decision, ...] = ()

    @property
    def why(self) -> str:
        """The reasons of the last decision on its role and of what was added to it; "" for none."""
        clauses: list[str] = []
        for decision in self.decisions:
            clauses = [*clauses, decision.why] if decision.adds else [decision.why]
        return ", ".join(clauses)

    def decided(
        self,
        role: str,
        why: str,
        *,
        unit: str | None = None,
        gives: Mapping[str, str] | None = None,
        named: bool | None = None,
    ) -> ColumnEvidence:
        """Give the column with its role decided anew; what it gives stays unless it is given."""
        return replace(
            self,
            role=role,
            refused_role=None,
            unit=unit,
            gives=self.gives if gives is None else dict(gives),
            named=self.named if named is None else named,
            decisions=(*self.decisions, Decision(what=role, why=why)),
        )

    def refused(self, why: str) -> ColumnEvidence:
        """Give the column as one that is not read."""
        return self.decided("ignore", why, gives={})

    def doubted(self, why: str) -> ColumnEvidence:
        """Give the column, not read so far, with the reason for that."""
        return replace(self, decisions=(*self.decisions, Decision(what=self.role, why=why)))

    def with_unit(self, unit: str, why: str) -> ColumnEvidence:
        """Give the column with a unit for its bare numbers."""
        return replace(
            self, unit=unit, decisions=(*self.decisions, Decision(what=unit, why=why, adds=True))
        )

    def with_unit_column(self, other: ColumnEvidence, why: str) -> ColumnEvidence:
        """Give the column with another one that holds its units."""
        added = Decision(what=other.column, why=why, adds=True)
        return replace(self, unit_column=other.column, decisions=(*self.decisions, added))

    def added(self, what: str, why: str) -> ColumnEvidence:
        """Give the column with a further finding that leaves its role."""
        return replace(self, decisions=(*self.decisions, Decision(what=what, why=why, adds=True)))


Columns = tuple[ColumnEvidence, ...]
"""The columns of a table from left to right."""


@dataclass(frozen=True, slots=True, kw_only=True)
class TableEvidence:
    """A table as the steps see it.

    Attributes
    ----------
    sheet, frame, heading
        The sheet, the rows of the table and its heading.
    sample : frame
        Rows below the heading from which the cells are described.
    habits : Habits
        What its rows have in common.
    titles : tuple of str
        The rows above the heading, one text each.
    language : str
        The language of most headings.
    overrides : mapping of role to heading
        What the user said.
    profile : sequence of mappings
        What a profile says: ``heading``, ``role`` and perhaps ``unit``.
    """

    sheet: Sheet
    frame: pl.DataFrame = field(repr=False)
    heading: Heading
    sample: pl.DataFrame = field(repr=False)
    habits: Habits
    titles: tuple[str, ...] = ()
    language: str = "en"
    overrides: Mapping[str, str] = field(default_factory=dict)
    profile: Sequence[Mapping[str, str]] = ()

    def values(self, column: ColumnEvidence) -> list[str]:
        """Give the cells of a column of the sample."""
        return [str(v) for v in self.sample[column.column].to_list()]

    def filled_values(self, column: ColumnEvidence) -> list[str]:
        """Give the cells of a column of the sample that hold something."""
        return [v for v in self.values(column) if v.strip()]


Step = Callable[[Columns, TableEvidence], Columns]
"""One pass over the columns of a table."""


def evidence_of(
    table: Table,
    *,
    overrides: Mapping[str, str],
    profile: Sequence[Mapping[str, str]],
) -> tuple[Columns, TableEvidence]:
    """Describe a table and its columns; nothing is decided yet."""
    sheet, frame, heading = table.sheet, table.frame, table.heading
    below = frame.filter(pl.col("row") > heading.last)
    if sheet.hidden:
        below = below.filter(~pl.col("row").is_in(list(sheet.hidden)))
    sample = sample_of(below)
    found = (_described(c, sample, heading) for c in frame.columns if c != "row")
    columns = tuple(c for c in found if c is not None)
    return columns, TableEvidence(
        sheet=sheet,
        frame=frame,
        heading=heading,
        sample=sample,
        habits=habits_of(frame),
        titles=_titles(frame, heading),
        language=_language(columns),
        overrides=overrides,
        profile=profile,
    )


def sample_of(frame: pl.DataFrame) -> pl.DataFrame:
    """Give the rows at the top, and as many taken evenly from the rest."""
    rows = thresholds.SAMPLE_ROWS
    if frame.height <= 2 * rows:
        return frame
    step = max(1, (frame.height - rows) // rows)
    return pl.concat([frame.head(rows), frame.slice(rows).gather_every(step)])


def _described(column: str, sample: pl.DataFrame, heading: Heading) -> ColumnEvidence | None:
    """Describe a column; None for one with neither heading nor cells."""
    text = heading.texts.get(column, "")
    cells = describe_cells(sample[column].to_list(), text)
    if not text and not cells.filled:
        return None
    reading = heading.readings.get(column) or Reading(text="")
    shown = text or say("column {letter}", letter=column_letter(column))
    return ColumnEvidence(column=column, heading=shown, reading=reading, cells=cells)


def _titles(frame: pl.DataFrame, heading: Heading) -> tuple[str, ...]:
    """Give the rows above the heading that say something, as one text each."""
    if heading.row is None:
        return ()
    found = []
    for record in frame.filter(pl.col("row") < heading.first).iter_rows(named=True):
        cells = filled_of(record)
        if cells and not is_item_above(cells):
            found.append(" ".join(dict.fromkeys(cells.values())))
    return tuple(found)


def _language(columns: Columns) -> str:
    votes: Counter[str] = Counter()
    for column in columns:
        languages = set(column.reading.roles) - {"any"}
        for language in languages:
            votes[language] += 1.0 / len(languages)  # type: ignore[assignment]
    return votes.most_common(1)[0][0] if votes else "en"


# ---- columns by role and by name


def having(columns: Iterable[ColumnEvidence], *roles: str) -> list[ColumnEvidence]:
    """Give the columns of some roles, from left to right."""
    return [c for c in columns if c.role in roles]


def replaced(columns: Columns, *changed: ColumnEvidence) -> Columns:
    """Give the columns with some of them changed."""
    by_name = {c.column: c for c in changed}
    return tuple(by_name.get(c.column, c) for c in columns)


def headings_of(columns: Columns) -> str:
    """Give all headings, for a message."""
    return ", ".join(f"'{c.heading}'" for c in columns)


def columns_headed(columns: Columns, name: str) -> list[ColumnEvidence]:
    """Find the columns with a heading."""
    wanted = _one_space(name)
    return [c for c in columns if _one_space(c.heading) == wanted]


def columns_sought(columns: Columns, name: str) -> list[ColumnEvidence]:
    """Find the columns with a heading, else the one with the letter a spreadsheet shows."""
    wanted = _one_space(name)
    return columns_headed(columns, name) or [
        c for c in columns if wanted in (letter_of(c).casefold(), _place_of(c).casefold())
    ]


def _one_space(text: str) -> str:
    return re.sub(r"\s+", " ", text).strip().casefold()


def letter_of(column: ColumnEvidence) -> str:
    """Give the letter a spreadsheet shows for a column."""
    return column_letter(column.column)


def _place_of(column: ColumnEvidence) -> str:
    return say("column {letter}", letter=letter_of(column))


def column_named(
    columns: Columns, name: str, table: TableEvidence, role: str | None = None
) -> ColumnEvidence:
    """Find a column that the user, or a profile, names.

    Raises
    ------
    StockListError
        There is none, or several are headed so.
    """
    found = columns_sought(columns, name)
    if len(found) == 1:
        return found[0]
    if found:
        letters = say(" and ").join(letter_of(c) for c in found)
        option = how_to_name(**{role or "wll": name_of(found[0], columns)})
        raise StockListError(
            say("the columns {letters} are all headed '{name}'", letters=letters, name=name),
            where=table.sheet.where,
            next_step=say("name one by its letter, such as {option}", option=option),
        )
    raise StockListError(
        say("no column is headed '{name}'", name=name),
        where=table.sheet.where,
        next_step=say("the headings are {headings}", headings=headings_of(columns)),
    )


_NO_OPTION = re.compile(r"""[;"'$`\\!]|^\s|\s$""")
"""What a heading cannot hold where a shell, or the list of names, is to give it on unchanged."""


def name_of(column: ColumnEvidence, columns: Columns) -> str:
    """Give the name by which a user can name a column: its heading, or its letter."""
    alone = len(columns_headed(columns, column.heading)) == 1
    if alone and not _NO_OPTION.search(column.heading):
        return column.heading
    letter = letter_of(column)
    return _place_of(column) if columns_headed(columns, letter) else letter


def shown_among(column: ColumnEvidence, columns: Columns) -> str:
    """Give the heading of a column for a message, with its letter where another has it, too."""
    if len(columns_headed(columns, column.heading)) == 1:
        return f"'{column.heading}'"
    return say("'{heading}' in column {letter}", heading=column.heading, letter=letter_of(column))


def how_to_name(**wanted: str) -> str:
    """Write how a column is named, on the command line and in Python."""
    options = " ".join(f'--column {role}="{heading}"' for role, heading in wanted.items())
    named = ", ".join(f'"{role}": "{heading}"' for role, heading in wanted.items())
    return say("{options} (in Python {named})", options=options, named=f"columns={{{named}}}")
