"""The rows of a table that are its heading, joined to one heading a column and read once."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import polars as pl

from tallyhook.model.sheet import Sheet
from tallyhook.recognising import thresholds
from tallyhook.recognising.cells import holds_load, holds_size, is_number
from tallyhook.recognising.headings import Reading, join_readings, read_heading
from tallyhook.recognising.other_things import is_goods
from tallyhook.recognising.unit_words import unit_of

__all__ = ["Cells", "Heading", "filled_of", "find_heading", "is_amount", "repeats_heading"]

# roles of which a heading names one value: "Grade 80" below "Grade" is the first item
_VALUED = frozenset({"size", "grade", "connection", "form", "kind", "description", "part"})

Cells = dict[str, str]
"""The filled cells of a row by their column."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Heading:
    """The heading rows of a table and the heading of each column, read.

    `written` holds the cells of each of `rows` as they stand there.
    """

    row: int | None
    rows: tuple[int, ...]
    texts: Mapping[str, str]
    readings: Mapping[str, Reading]
    written: tuple[Mapping[str, str], ...]

    @property
    def first(self) -> int:
        """The first row of the heading; 0 without one."""
        return self.rows[0] if self.rows else 0

    @property
    def last(self) -> int:
        """The last row of the heading; -1 without one."""
        return self.rows[-1] if self.rows else -1


def filled_of(record: Mapping[str, object]) -> Cells:
    """Give the filled cells of a row of a frame."""
    return {c: str(v).strip() for c, v in record.items() if c != "row" and str(v).strip()}


def find_heading(sheet: Sheet, frame: pl.DataFrame) -> Heading:
    """Find the heading row and join a second heading row above or below it."""
    rows = frame.head(thresholds.HEADING_ROWS).iter_rows(named=True)
    top = [(int(r["row"]), filled_of(r)) for r in rows]
    top = [(row, cells) for row, cells in top if cells and row not in sheet.hidden]
    scores = _scores([cells for _, cells in top])
    best = max(scores, default=0.0)
    index = None
    if best >= 1:
        least = max(1.0, thresholds.HALF_THE_BEST * best)
        index = next(i for i, s in enumerate(scores) if s >= least)
    elif best > 0 and max((len(cells) for _, cells in top), default=0) <= 1:
        index = next(i for i, s in enumerate(scores) if s > 0)  # a list of single texts
    if index is None and sheet.heading_row is not None:
        index = next((i for i, (row, _) in enumerate(top) if row == sheet.heading_row), None)
    if index is None:
        return Heading(row=None, rows=(), texts={}, readings={}, written=())
    return _joined(sheet, top, index)


def repeats_heading(cells: Cells, heading: Heading) -> bool:
    """Whether a row repeats a row of the heading, cell by cell."""
    if len(cells) < min(2, len(heading.texts)):
        return False
    rows = [{c: t for c, t in row.items() if c in heading.texts} for row in heading.written]
    return any(
        cells.keys() == row.keys() and all(_same_text(cells[c], t) for c, t in row.items())
        for row in rows
    )


def _same_text(text: str, other: str) -> bool:
    return text.casefold().split() == other.casefold().split()


# ---- how much a row is like a heading


def _scores(rows: Sequence[Cells]) -> list[float]:
    """Score rows from the top until one is the heading, whatever stands below it."""
    most = max(map(len, rows), default=0)  # no row scores more than it has cells
    scores: list[float] = []
    for cells in rows:
        score, before = _score(cells), max(scores, default=0.0)
        scores.append(score)
        if (
            score >= max(1, thresholds.HALF_THE_BEST * most)
            and before < thresholds.HALF_THE_BEST * score
        ):
            break
    return scores


def _score(cells: Cells) -> float:
    """Give how much a row is like a heading; 0 when it cannot be one."""
    roles, gives, numbers, other = 0.0, 0, 0, 0
    found = set()
    readings = {c: read_heading(t) for c, t in cells.items()}
    loaded = {c for c, t in cells.items() if _loads_in(t, readings[c])}
    sure = [r for c, r in readings.items() if r.whole and c not in loaded and not is_goods(r.word)]
    mostly_headings = len(sure) >= max(1, thresholds.SURE_SHARE * len(cells))
    for column, text in cells.items():
        reading = readings[column]
        named = set(reading.roles.values())
        # an item, for all its words: "clevis hook, WLL 7,100 lb"; among headings "WLL 5 t" is one
        if (
            column in loaded
            and (not named or named - {"ignore"})
            and not (named and mostly_headings)
        ):
            return 0.0
        if is_amount(text, reading):
            return 0.0
        if named and len(text) <= thresholds.LONGEST_HEADING:
            surely = reading.whole or named & {"wll", "breaking", "proof"}
            roles += 1.0 if surely else thresholds.HALF_SURE
            found |= named
        elif reading.gives:
            gives += 1
            numbers += is_number(text)
        elif is_number(text) or (_has_digit(text) and holds_size(text) and not reading.units):
            numbers += 1
        else:
            other += 1
    numbered = numbers and not gives and roles < thresholds.NUMBERS_OUTVOTED
    if not found or numbered or roles + gives < other or found <= {"load", "unit"}:
        return 0.0
    if len(cells) == 1:
        return 0.5 if roles >= 1 else 0.0
    if roles < 2 and not (roles and gives >= 2) and not ("wll" in found and not numbers):
        return 0.0
    return roles + 0.5 * gives


def _loads_in(text: str, reading: Reading) -> list[str]:
    """Give the loads in a text; what a heading fixes is none."""
    # "G-30 lbs" holds a grade and a unit, "MBS 4:1 lb" a factor, "WLL @60 lb" an angle
    fixed = {reading.gives.get("grade"), *reading.gives.get("angle", "").split()}
    if "design_factor" in reading.gives:
        fixed.add("1")
    return [number for number, _ in holds_load(text) if number not in fixed]


def is_amount(text: str, reading: Reading) -> bool:
    """Whether a cell is a number too large for a heading: no grade, no angle and no year."""
    digits = re.sub(r"\D", "", text)
    large = len(digits) > 4 or (len(digits) == 4 and not digits.startswith(("19", "20")))
    return large and is_number(text) and not reading.gives


def _has_digit(text: str) -> bool:
    return any(c.isdigit() for c in text)


# ---- a heading of two or three rows


def _joined(sheet: Sheet, top: Sequence[tuple[int, Cells]], index: int) -> Heading:
    row, cells = top[index]
    upper: Cells = {}
    lower: Cells = {}
    taken = [row]
    below = top[index + 1] if index + 1 < len(top) else None
    above = top[index - 1] if index > 0 else None
    following = top[index + 2 : index + 2 + thresholds.ROWS_BELOW_HEADING]
    if below and below[0] == row + 1 and _completes(below[1], cells, following):
        upper, lower = _groups_of_columns(sheet, row, cells, below[1]), below[1]
        taken.append(below[0])
    else:
        lower = cells
    if above and above[0] == row - 1 and _heads_columns(sheet, above, cells):
        first = _groups_of_columns(sheet, above[0], above[1], cells)
        upper = {c: f"{first.get(c, '')} {upper.get(c, '')}".strip() for c in {*first, *upper}}
        taken.insert(0, above[0])
    columns = sorted({*upper, *lower}, key=lambda c: int(c[1:]))
    at = dict(top)
    readings = {c: join_readings(upper.get(c, ""), lower.get(c, "")) for c in columns}
    return Heading(
        row=row,
        rows=tuple(taken),
        texts={c: r.text for c, r in readings.items()},
        readings=readings,
        written=tuple(at[r] for r in taken),
    )


def _completes(cells: Cells, heading: Cells, following: Sequence[tuple[int, Cells]]) -> bool:
    """Whether the row below a heading completes it: units, angles, or the parts of a group."""
    named = 0
    if len(cells) == 1 and all(c in heading and not unit_of(t) for c, t in cells.items()):
        return False  # the heading of a group of rows
    for column, text in cells.items():
        reading = read_heading(text)
        if reading.gives and set(read_heading(heading.get(column, "")).roles.values()) & _VALUED:
            return False  # a value below its heading: the first item
        worded = (
            unit_of(text)
            or (reading.gives and not is_number(text))
            or (reading.roles and not holds_load(text) and reading.whole)
        )
        numbered = is_number(text) and reading.gives and column not in heading
        if worded or numbered or _angle_below(text, column, heading, cells):
            named += 1
        elif not re.fullmatch(r"[(\[]?[-–/ ]*[)\]]?", text):
            return False
    if not named:
        return False
    units = sum(unit_of(t) is not None for t in cells.values())
    grouped = any(c not in heading for c in cells)
    # one row of words under a heading can be an item ("Hook", "Alloy"): ask for units or groups,
    # and for rows below that look different
    gives = sum(bool(read_heading(t).gives) for t in cells.values())
    plain = units + gives + (grouped and len(cells) >= 2)
    same = sum(set(cells.values()) <= set(f[1].values()) for f in following)
    split = sum(
        not read_heading(heading[c]).roles and bool(read_heading(f"{heading[c]} {t}").roles)
        for c, t in cells.items()
        if c in heading
    )
    if split and same == 0 and named == len(cells):
        return True  # "Working" above "Load Limit"
    share = thresholds.UNIT_ROW_SHARE * len(cells)
    return plain >= 1 and same == 0 and units + gives + grouped * named >= share


def _angle_below(text: str, column: str, heading: Cells, cells: Cells) -> bool:
    """Whether a bare number below a leg count is the angle 0 of a chart of angles."""
    legs = "legs" in read_heading(heading.get(column, "")).gives
    return legs and text == "0" and any("angle" in read_heading(t).gives for t in cells.values())


def _heads_columns(sheet: Sheet, above: tuple[int, Cells], heading: Cells) -> bool:
    """Whether the row above a heading groups its columns."""
    row, cells = above
    if any(
        len(t) > thresholds.LONGEST_HEADING or (is_number(t) and not read_heading(t).gives)
        for t in cells.values()
    ):
        return False
    merged = {
        c for a, c, b, d in sheet.merged if a <= row <= b and d > c and d - c < len(heading) - 1
    }
    for column, text in cells.items():
        reading = read_heading(text)
        if not (reading.roles or reading.gives) and int(column[1:]) not in merged:
            return False
    first = min(int(c[1:]) for c in heading)
    if len(cells) == 1 and not merged:
        (only,) = cells
        # a single cell at the left edge is a title; elsewhere it heads what stands below it
        return int(only[1:]) > first and bool(
            read_heading(cells[only]).roles or read_heading(cells[only]).gives
        )
    return True


def _groups_of_columns(sheet: Sheet, row: int, upper: Cells, lower: Cells) -> Cells:
    """Give each column the group heading that stands above it."""
    groups: Cells = {}
    edges = {c: d for a, c, b, d in sheet.merged if a <= row <= b}
    columns = sorted({int(c[1:]) for c in (*upper, *lower)})
    current, limit = "", -1
    for number in columns:
        name = f"c{number}"
        if name in upper:
            current = upper[name]
            limit = edges.get(number, number if edges else 10_000)
            groups[name] = current
        elif name in lower and current and number <= limit:
            below = read_heading(lower[name])
            roles = set(below.roles.values()) - {"load"}
            if number in range(limit + 1) and (
                edges or not roles or roles <= {"unit"} or _inside(roles, current)
            ):
                groups[name] = current
            else:
                current = ""
    return groups


def _inside(roles: set[str], upper: str) -> bool:
    """Whether a column of its own role still belongs under a group heading."""
    reading = read_heading(upper)
    return bool(reading.gives) and bool(roles & {"wll", "breaking", "proof", "size"})
