"""The rating of an item, a second one beside it, and the forces and the design factor stated."""

from __future__ import annotations

from dataclasses import dataclass
from math import log

from tallyhook.interpreting.notes import Notes
from tallyhook.interpreting.reader import Reader
from tallyhook.interpreting.row import Row
from tallyhook.messages import say
from tallyhook.texts.numbers import read_number
from tallyhook.texts.quantities import Load, with_unit
from tallyhook.vocabulary.context import words_for
from tallyhook.vocabulary.tokens import fold

__all__ = [
    "TONS",
    "Force",
    "Rating",
    "design_factor_of_row",
    "force_of_row",
    "rating_of_row",
    "read_factor",
    "same_force",
]

_SAME_LOAD = 0.03  # share by which the same rating differs between the units tables print it in

TONS = ("short ton", "t")
"""What a bare ton can be."""

_LARGEST_FACTOR = 12.0  # no document asks for more; common practice, no source


@dataclass(slots=True, kw_only=True)
class Rating:
    """The rating of an item as written, and the heading it stands under; a second one likewise."""

    load: Load | None = None
    column: str | None = None
    second: Load | None = None
    second_column: str | None = None
    for_pair: bool = False

    @property
    def kg(self) -> float | None:
        """The rating in kilograms, if its unit is known."""
        return self.load.kg if self.load else None

    def take(self, load: Load, column: str | None) -> None:
        """Take a load for the rating, or beside the rating for the second one.

        Of several second ones it is the one furthest from the rating.
        """
        if self.load is None:
            self.load, self.column = load, column
            return
        if load.kg is None and self.load.kg and load.value > 0:
            # a bare ton is the ton that comes nearer: what is off even so is off in either ton
            load = min((with_unit(load, ton) for ton in TONS), key=self._distance)
        if self.second is None or self._distance(load) > self._distance(self.second):
            self.second, self.second_column = load, column

    def _distance(self, other: Load) -> float:
        """How far another load is from the rating, as a logarithm; 0 where one is not known."""
        return abs(log(other.kg / self.kg)) if self.kg and other.kg else 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Force:
    """A breaking or proof force [kN] as written, and the heading it stands under."""

    kn: float | None = None
    text: str | None = None
    column: str | None = None


def rating_of_row(reader: Reader, row: Row, notes: Notes) -> Rating:
    """Read the rating: the first filled column, a second one in another unit, or the words."""
    rating, text = Rating(), row.text
    unread = False
    for column in row.columns:
        cell = reader.load(column, row.record)
        if cell.note and cell.load is None:
            notes.unread_cell("wll", cell.note, column, row.record[column.column])
            unread = True
        elif cell.note:
            notes.add("wll", cell.note)
        rating.for_pair = rating.for_pair or bool(cell.pair)
        for load in (cell.load, cell.second):
            if load is not None and cell.load is not None:
                rating.take(load, column.heading)
    if rating.load is not None:
        _hold_against(rating, rating.load, text.wll, notes)
        return rating
    if text.wll is not None:
        # beside a load that could not be read it can contradict the ratings, and agree with none
        heading = reader.first_heading("description")
        for load in (text.wll, text.wll2):
            if load is not None:
                rating.take(load, heading)
    if not unread:
        notes.take(text.notes, "wll")
    return rating


def _hold_against(rating: Rating, load: Load, described: Load | None, notes: Notes) -> None:
    """Note where the description gives another rating than the columns."""
    if described is None or not _differ(load, described):
        return
    if rating.second is not None and not _differ(rating.second, described):
        return
    notes.contradicts("wll", described=described.text, column=load.text)


def _differ(first: Load, second: Load) -> bool:
    """Whether two loads differ by more than writing and conversion explain."""
    if first.unit == second.unit:
        return abs(first.value - second.value) > max(first.step, second.step) / 2
    if not first.kg or not second.kg:
        return False
    return abs(first.kg / second.kg - 1) > _SAME_LOAD


def force_of_row(reader: Reader, row: Row, notes: Notes, role: str) -> Force:
    """Read the breaking or the proof force: from its column, else from the description."""
    found: Force | None = None
    for column, text in row.cells.get(role, ()):
        cell = reader.load(column, row.record)
        load = cell.load if cell.load is not None and cell.load.kn is not None else None
        if cell.note and load is None:
            notes.unread_cell(role, cell.note, column, text)
        elif cell.note:
            notes.add(role, cell.note)
        if load is not None and found is None:
            found = Force(kn=load.kn, text=load.text, column=column.heading)
    if found is not None:
        return found
    described = row.text.breaking if role == "breaking" else row.text.proof
    if described is None:
        notes.take(row.text.notes, role)
        return Force()
    heading = reader.first_heading("description")
    return Force(kn=described.kn, text=described.text, column=heading)


def same_force(first: float, second: float) -> bool:
    """Whether two forces [kN] are one, printed in two units."""
    return abs(first / second - 1) <= _SAME_LOAD if second else first == second


def design_factor_of_row(reader: Reader, row: Row, notes: Notes) -> tuple[float | None, str | None]:
    """Read the design factor stated, and the heading that it stands under."""
    found: tuple[float, str] | None = None
    for column, cell in row.filled("design_factor"):
        value = reader.once("factor", read_factor, cell)
        if value is None:
            why = say("'{cell}' is no design factor", cell=cell)
            notes.unread_cell("design_factor", why, column, cell)
        elif found is None:
            found = value, column.heading
    if found is not None:
        return found
    for given in row.given("design_factor"):
        return read_factor(given), None
    return row.text.design_factor, None


def read_factor(cell: str) -> float | None:
    """Read "4", "4:1" or "4 to 1"."""
    head, colon, tail = cell.partition(":")
    words = cell.split()
    if not colon and len(words) == 3 and fold(words[1]) in words_for("range"):
        head, colon, tail = words
    number = read_number(head.strip())
    if number is None or number.inch or (colon and tail.strip() != "1"):
        return None
    return number.value if 1 < number.value <= _LARGEST_FACTOR else None
