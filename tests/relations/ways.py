"""The relations: ways to say a list again in which nothing may change that should not.

Each way takes a case, its table and a `Random`, and gives the parts that the list is checked as
(one, or several that are joined). What may legitimately differ stands beside each way, with its
reason; a way gives None where it does not apply to a list.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from random import Random

from relations.carriers import CARRIERS, WINDOWS, csv_text
from relations.shops import Case, Manner, draw_manner
from relations.tables import Line, Table, written
from relations.words import (
    GRADES_EUROPEAN,
    GRADES_US,
    HEADING_FORMS,
    HEADINGS,
    NUMBERS,
    SIZES_INCH,
    SIZES_MM,
    TEMPTING,
    UNITS,
    UNRELATED,
)

__all__ = ["WAYS", "Part", "Way"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Part:
    """A table and what carries it."""

    table: Table
    carrier: str = "csv"


Make = Callable[[Case, Table, Random], list[Part] | None]


@dataclass(frozen=True, slots=True, kw_only=True)
class Way:
    """One relation.

    `may_differ` are the fields of an outcome that may, each with its reason; "scheme" is the scheme
    whose rating of the same thing is expected. `loads_within` is the
    share by which loads may: tables print pounds and kilograms, each rounded by itself.
    """

    name: str
    make: Make
    may_differ: dict[str, str]
    loads_within: float = 0.0


WAYS: dict[str, Way] = {}


def _way(name: str, *, loads_within: float = 0.0, **may_differ: str) -> Callable[[Make], Make]:
    def register(make: Make) -> Make:
        WAYS[name] = Way(name=name, make=make, may_differ=may_differ, loads_within=loads_within)
        return make

    return register


# --- the table is moved about


@_way("rows in another order")
def _rows(case: Case, table: Table, random: Random) -> list[Part]:
    blocks: list[list[Line]] = [[]]
    for line in table.body:
        if line.thing is None:
            blocks.append([line])
        else:
            blocks[-1].append(line)
    for block in blocks:
        head = block[:1] if block and block[0].thing is None else []
        rest = block[len(head) :]
        random.shuffle(rest)
        block[:] = head + rest
    first, others = blocks[0], blocks[1:]
    random.shuffle(others)
    return [Part(table=table.with_lines([*first, *(line for b in others for line in b)]))]


@_way("columns in another order")
def _columns(case: Case, table: Table, random: Random) -> list[Part] | None:
    if case.manner.grade_place == "section":
        return None  # the title of a section stands in the first column
    order = list(range(len(table.roles)))
    random.shuffle(order)
    return [Part(table=_with_columns(table, order))]


def _with_columns(table: Table, order: list[int]) -> Table:
    lines = tuple(replace(line, cells=tuple(line.cells[n] for n in order)) for line in table.lines)
    return replace(table, roles=tuple(table.roles[n] for n in order), lines=lines)


@_way("unrelated columns beside")
def _unrelated(case: Case, table: Table, random: Random) -> list[Part]:
    return _with_more(case, table, random, UNRELATED)


@_way("tempting columns beside")
def _tempting(case: Case, table: Table, random: Random) -> list[Part]:
    return _with_more(case, table, random, TEMPTING)


def _with_more(
    case: Case, table: Table, random: Random, more: tuple[tuple[str, tuple[str, ...]], ...]
) -> list[Part]:
    for heading, cells in random.sample(more, random.randint(1, 3)):
        first = 1 if case.manner.grade_place == "section" else 0
        at = random.randint(first, len(table.roles))
        lines = []
        for n, line in enumerate(table.lines):
            cell = random.choice(cells) if line.thing is not None else ""
            cell = heading if n == table.heading else cell
            lines.append(replace(line, cells=(*line.cells[:at], cell, *line.cells[at:])))
        roles = (*table.roles[:at], "unrelated", *table.roles[at:])
        table = replace(table, roles=roles, lines=tuple(lines))
    return [Part(table=table)]


@_way("blank rows between")
def _blank_rows(case: Case, table: Table, random: Random) -> list[Part]:
    width = len(table.roles)
    lines: list[Line] = []
    for line in table.body:
        lines += [Line(cells=("",) * width)] * (random.random() < 0.15)
        lines.append(line)
    lines += [Line(cells=("",) * width)] * random.randint(0, 3)
    return [Part(table=table.with_lines(lines))]


@_way("blank columns and trailing separators")
def _blank_columns(case: Case, table: Table, random: Random) -> list[Part]:
    more = random.randint(1, 4)
    at = random.choice((0, len(table.roles), len(table.roles), random.randint(0, len(table.roles))))
    lines = tuple(
        replace(line, cells=(*line.cells[:at], *("",) * more, *line.cells[at:]))
        for line in table.lines
    )
    roles = (*table.roles[:at], *("blank",) * more, *table.roles[at:])
    return [Part(table=replace(table, roles=roles, lines=lines))]


@_way("trailing separators on some lines")
def _ragged(case: Case, table: Table, random: Random) -> list[Part]:
    lines = tuple(
        replace(line, cells=(*line.cells, *("",) * random.randint(0, 2))) for line in table.lines
    )
    return [Part(table=replace(table, lines=lines))]


@_way("title lines above")
def _titles(case: Case, table: Table, random: Random) -> list[Part]:
    width = len(table.roles)
    titles = ("Harrow & Pike Rigging (invented shop)", "Stock list, March", "", "List 7")
    above = [
        Line(cells=(random.choice(titles), *("",) * (width - 1)))
        for _ in range(random.randint(1, 3))
    ]
    return [
        Part(table=replace(table, lines=(*above, *table.lines), heading=table.heading + len(above)))
    ]


_OF_A_PART = "a finding about rows that share a mistake is weighed by how many rows share it"


_NEAREST = "a wrong load is held against the scheme that the list agrees with, or the nearest"


@_way("the list in two", causes=_OF_A_PART, scheme=_NEAREST)
def _split(case: Case, table: Table, random: Random) -> list[Part] | None:
    body = table.body
    if len(body) < 6:
        return None
    at = random.randint(3, len(body) - 3)
    first, second = body[:at], body[at:]
    titles = [line for line in first if line.thing is None]
    if titles and second[0].thing is not None:
        second = [titles[-1], *second]  # whoever splits a list takes the title along
    return [Part(table=table.with_lines(part)) for part in (first, second)]


@_way("every text in capitals")
def _capitals(case: Case, table: Table, random: Random) -> list[Part]:
    return [Part(table=_each_cell(table, str.upper))]


@_way("every text in small letters")
def _small(case: Case, table: Table, random: Random) -> list[Part]:
    return [Part(table=_each_cell(table, str.lower))]


@_way("blanks around cells")
def _blanks(case: Case, table: Table, random: Random) -> list[Part]:
    around = ("", "", " ", "  ", "\u00a0", "\t")

    def change(text: str) -> str:
        return random.choice(around) + text + random.choice(around)

    return [Part(table=_each_cell(table, change))]


def _each_cell(table: Table, change: Callable[[str], str]) -> Table:
    lines = tuple(replace(line, cells=tuple(map(change, line.cells))) for line in table.lines)
    return replace(table, lines=lines)


# --- another file


def _is_of(text: str, encoding: str) -> bool:
    try:
        text.encode(encoding)
    except UnicodeEncodeError:
        return False
    return True


def _pandas_changes(case: Case, table: Table) -> bool:
    """Whether pandas itself takes 7.100 for 7.1, or an error of a spreadsheet for no cell."""
    dots = "." in NUMBERS[case.manner.numbers][0]
    return dots or any("#N/A" in line.cells for line in table.lines)


def _carried(carrier: str) -> Make:
    def make(case: Case, table: Table, random: Random) -> list[Part] | None:
        if carrier == "frame as pandas reads the file" and _pandas_changes(case, table):
            return None
        if carrier == WINDOWS and not _is_of(csv_text(table), "cp1252"):
            return None
        return [Part(table=table, carrier=carrier)]

    return make


for _name in CARRIERS:
    if _name != "csv":
        _way(_name)(_carried(_name))


# --- another manner


def _rewritten(case: Case, **changes: object) -> list[Part]:
    manner: Manner = replace(case.manner, **changes)  # type: ignore[arg-type]
    return [Part(table=written(replace(case, manner=manner)))]


@_way("other headings of the language")
def _headings(case: Case, table: Table, random: Random) -> list[Part]:
    names = HEADINGS[case.manner.language]
    return _rewritten(case, headings={role: random.choice(each) for role, each in names.items()})


@_way("headings of another language")
def _other_language(case: Case, table: Table, random: Random) -> list[Part]:
    names = HEADINGS[random.choice(tuple(HEADINGS))]
    return _rewritten(case, headings={role: random.choice(each) for role, each in names.items()})


@_way("the unit of a heading in another form")
def _heading_form(case: Case, table: Table, random: Random) -> list[Part]:
    return _rewritten(
        case,
        heading_form=random.choice(HEADING_FORMS),
        unit_word=random.choice(UNITS[case.manner.unit]),
    )


@_way("the unit in another place")
def _unit_place(case: Case, table: Table, random: Random) -> list[Part]:
    place = random.choice([p for p in ("heading", "column", "cell") if p != case.manner.unit_place])
    columns = [role for role in case.manner.columns if role != "unit"]
    if place == "column":
        columns.insert(columns.index("wll") + 1, "unit")
    return _rewritten(case, unit_place=place, columns=tuple(columns))


@_way("numbers with other separators")
def _numbers(case: Case, table: Table, random: Random) -> list[Part]:
    return _rewritten(case, numbers=random.choice(tuple(NUMBERS)))


@_way("another spelling of the size")
def _size(case: Case, table: Table, random: Random) -> list[Part]:
    return _rewritten(case, size_form=random.choice(SIZES_INCH if case.manner.inches else SIZES_MM))


@_way("another spelling of the grade")
def _grade(case: Case, table: Table, random: Random) -> list[Part]:
    american = case.things[0].scheme == "us-chain"
    return _rewritten(case, grade_form=random.choice(GRADES_US if american else GRADES_EUROPEAN))


@_way(
    "pounds for kilograms",
    loads_within=0.025,
    scheme="a load in kilograms may claim a European rating, one in pounds is compared with both",
    causes="a slip of the hand is found by the digits, and in the other unit they are others",
)
def _unit(case: Case, table: Table, random: Random) -> list[Part]:
    units = {"lb": ("kg",), "kg": ("lb", "t"), "t": ("kg", "lb")}[case.manner.unit]
    unit = random.choice(units)
    return _rewritten(case, unit=unit, unit_word=random.choice(UNITS[unit]))


@_way(
    "millimetres for inches",
    loads_within=0.025,
    scheme="a size in millimetres may be of a European chain too, whose ratings are others",
    causes="the same",
)
def _size_unit(case: Case, table: Table, random: Random) -> list[Part] | None:
    if not case.manner.inches:
        return None
    return _rewritten(case, inches=False, size_form=random.choice(SIZES_MM))


@_way(
    "the manner of another shop",
    loads_within=0.025,
    causes="a slip of the hand is found by the digits, and in the other unit they are others",
    scheme="a size in millimetres may be of a European chain too, whose ratings are others",
)
def _shop(case: Case, table: Table, random: Random) -> list[Part] | None:
    manner = draw_manner(random, case.things[0].scheme)
    # what a breaking force says of a row is said by both shops, or by none
    columns = [role for role in manner.columns if role != "breaking"]
    columns += ["breaking"] * ("breaking" in case.manner.columns)
    manner = replace(manner, columns=tuple(columns))
    # a cell that cannot be read is one of a column: both shops have it, or none does
    unread = {role for thing in case.things for role, _ in thing.unread}
    if unread & (set(manner.columns) ^ set(case.manner.columns)):
        return None
    if manner.grade_place == "section":
        return None  # its rows would have to be sorted
    return [Part(table=written(replace(case, manner=manner)))]
