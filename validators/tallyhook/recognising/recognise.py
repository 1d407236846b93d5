"""Which column is what: by its heading, then by what its cells look like; when in doubt, neither.

A column is taken for the rated load only with a heading or cells that say so; a price, a weight or
a quantity never is. What was decided, and why, stands on every column.
"""

from __future__ import annotations

import itertools
import re
from collections import Counter
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace

import polars as pl

from tallyhook.errors import StockListError
from tallyhook.model.layout import FORCES, ROLES, Column, Layout, column_letter
from tallyhook.model.sheet import Sheet
from tallyhook.recognising.cells import Looks, holds_load, look_at
from tallyhook.recognising.decimals import Evidence, evidence, settle
from tallyhook.recognising.headings import Reading, read_heading, unit_of
from tallyhook.recognising.rowkinds import (
    Heading,
    doubtful_rows,
    filled_counts,
    find_heading,
    habits_of,
    names_goods,
    row_kinds,
    split_tables,
    titles,
)
from tallyhook.units import CANONICAL

__all__ = ["ROLES", "Column", "Layout", "Stream", "recognise", "recognise_all", "recognise_stream"]

_SAMPLE = 2000  # rows looked at from the top, and as many spread over the rest
_MOST = ("wll", "breaking", "proof", "design_factor", "size", "grade", "legs", "angle")


class _NoRatedLoadError(StockListError):
    """No column and no description of a table can be a rated load."""


def recognise(sheet: Sheet, *, overrides: Mapping[str, str] | None = None) -> Layout:
    """Tell the columns and rows of a sheet apart.

    Parameters
    ----------
    sheet : Sheet
        The sheet as read.
    overrides : mapping of role to heading, optional
        ``{"wll": "Cap."}``: the heading as written, or the letter of the column; several are
        separated by semicolons. ``{"unit": "kg"}`` gives the unit of loads that carry none.

    Raises
    ------
    StockListError
        No column and no description can be a rated load, two columns could be it, or an override
        names no role or no column.
    """
    first, *others = recognise_all(sheet, overrides=overrides)
    if not others:
        return first
    why = "of another table below; use recognise_all"
    rows = pl.concat([r.select("row") for o in others for r in (o.body, o.skipped)])
    more = rows.with_columns(pl.lit(why).alias("why"))
    return replace(first, skipped=pl.concat([first.skipped, more]).sort("row"))


def recognise_all(
    sheet: Sheet,
    *,
    overrides: Mapping[str, str] | None = None,
    profile: Sequence[Mapping[str, str]] = (),
) -> list[Layout]:
    """Do the same as `recognise` for every table of a sheet: there may be several.

    Tables may stand one below the other or side by side. One that holds no rated load is left out,
    its rows being skipped in the first layout.

    Parameters
    ----------
    sheet, overrides
        As for `recognise`.
    profile : sequence of mappings
        Columns by ``heading`` with their ``role`` and ``unit``, from an earlier list of the shop
        (`tallyhook.recognising.profiles`). Overrides go before it.
    """
    wanted = dict(overrides or {})
    _check_roles(wanted, sheet)
    frame = _fill_merged(sheet)
    layouts: list[Layout] = []
    refused: StockListError | None = None
    left: list[pl.DataFrame] = []
    while True:
        heading = find_heading(sheet, frame)
        cut = split_tables(sheet, frame, heading)
        part = frame if cut is None else frame.filter(pl.col("row") < cut)
        try:
            for number, (half, its) in enumerate(_side_by_side(heading, part)):
                layout = _Recogniser(sheet, half, its, wanted, profile).layout()
                if number:  # its other rows are those of the first half
                    layout = replace(layout, skipped=layout.skipped.clear())
                layouts.append(layout)
        except StockListError as error:
            refused = refused or error
            why = "of a table without rated loads"
            if not isinstance(error, _NoRatedLoadError):  # what it holds is not settled
                why = f"of a table that is not checked: {error.what}"
            left.append(part.select("row", pl.lit(why).alias("why")))
        if cut is None:
            break
        frame = frame.filter(pl.col("row") >= cut)
    if not layouts:
        assert refused is not None
        raise refused
    if left:
        skipped = pl.concat([layouts[0].skipped, *left]).sort("row")
        layouts[0] = replace(layouts[0], skipped=skipped)
    return layouts


@dataclass(frozen=True, slots=True, kw_only=True)
class Stream:
    """The layout of a long list, from a sample of it, and how to tell the rows of a batch apart.

    `sort` gives the item rows of a batch and ``row`` and ``why`` of its others, or None when a
    heading stands among them that the next batches hang on. `doubtful` tells which rows it has to
    look at one by one; the others are items. `plain` tells whether the distinct texts of all
    batches leave the list one table that no ditto mark runs through.
    """

    layout: Layout
    last_heading: int
    doubtful: Callable[[pl.DataFrame], pl.Series]
    sort: Callable[[pl.DataFrame], tuple[pl.DataFrame, pl.DataFrame] | None]
    plain: Callable[[pl.DataFrame], bool]


def recognise_stream(
    sample: Sheet,
    *,
    overrides: Mapping[str, str] | None = None,
    profile: Sequence[Mapping[str, str]] = (),
) -> Stream | None:
    """Do the same as `recognise_all` from a sample of one plain table; None if it is not one."""
    wanted = dict(overrides or {})
    _check_roles(wanted, sample)
    frame = sample.frame
    heading = find_heading(sample, frame)
    if heading.row is None or split_tables(sample, frame, heading) is not None:
        return None
    if len(_side_by_side(heading, frame)) > 1:
        return None
    recogniser = _Recogniser(sample, frame, heading, wanted, profile)
    layout = recogniser.layout()
    if recogniser.habits.usual == 1 or (layout.skipped["why"] == "section heading").any():
        return None

    def sort(batch: pl.DataFrame) -> tuple[pl.DataFrame, pl.DataFrame] | None:
        # here stand all cells of a row; `plain` sees only those that items are read from
        if split_tables(sample, batch, heading) is not None:
            return None
        body, skipped = recogniser.rows_of(batch, closed=False)
        return None if (skipped["why"] == "section heading").any() else (body, skipped)

    def plain(texts: pl.DataFrame) -> bool:
        cells = [c for c in texts.columns if c in frame.columns]
        below = texts.select(pl.int_range(pl.len()).alias("row") + heading.rows[-1] + 1, *cells)
        filled = below.with_columns(pl.col(cells).fill_null(""))
        repeated = [c for c in texts.columns if c in (*cells, "supplier")]
        marks = pl.col(repeated).fill_null("").str.strip_chars().str.to_lowercase().is_in(_DITTO)
        ditto = repeated and texts.select(pl.any_horizontal(marks).any()).item()
        return not ditto and split_tables(sample, filled, heading) is None

    return Stream(
        layout=layout,
        last_heading=heading.rows[-1],
        doubtful=recogniser.doubtful,
        sort=sort,
        plain=plain,
    )


def _side_by_side(heading: Heading, frame: pl.DataFrame) -> list[tuple[pl.DataFrame, Heading]]:
    """Cut a sheet whose headings repeat from left to right into its tables."""
    columns = [c for c in frame.columns if c in heading.texts]
    texts = [heading.texts[c].casefold() for c in columns]
    sizes = range(2, len(texts) // 2 + 1)
    size = next((n for n in sizes if texts == texts[:n] * (len(texts) // n)), None)
    if size is None:
        return [(frame, heading)]
    tables = []
    for start in range(0, len(texts), size):
        mine = columns[start : start + size]
        own = replace(
            heading,
            texts={c: heading.texts[c] for c in mine},
            readings={c: heading.readings[c] for c in mine},
        )
        tables.append((frame.select("row", *mine), own))
    return tables


def _check_roles(wanted: Mapping[str, str], sheet: Sheet) -> None:
    for role in wanted:
        if role not in ROLES:
            raise StockListError(
                f"a column cannot be '{role}'",
                where=sheet.where,
                next_step=f"roles are {', '.join(ROLES)}",
            )


def _fill_merged(sheet: Sheet) -> pl.DataFrame:
    """Write the text of cells that are merged downwards into every row they cover."""
    frame = sheet.frame
    first = int(frame["row"][0]) if frame.height else 0
    for a, c, b, d in sheet.merged:
        if (
            b == a
            or d != c
            or f"c{c}" not in frame.columns
            or not first <= a < first + frame.height
        ):
            continue
        text = frame[f"c{c}"][a - first]
        covered = pl.col("row").is_between(a, b)
        frame = frame.with_columns(
            pl.when(covered).then(pl.lit(text)).otherwise(pl.col(f"c{c}")).alias(f"c{c}")
        )
    return frame


@dataclass(slots=True)
class _Guess:
    """A column while it is being decided."""

    column: str
    heading: str
    reading: Reading
    looks: Looks
    role: str = "ignore"
    why: str = ""
    unit: str | None = None
    unit_column: str | None = None
    gives: dict[str, str] = field(default_factory=dict)
    forced: bool = False


class _Recogniser:
    """One table of a sheet, from its heading to its columns and rows."""

    def __init__(
        self,
        sheet: Sheet,
        frame: pl.DataFrame,
        heading: Heading,
        overrides: Mapping[str, str],
        profile: Sequence[Mapping[str, str]],
    ) -> None:
        self.sheet, self.frame, self.heading = sheet, frame, heading
        self.overrides, self.profile = overrides, profile
        last = heading.rows[-1] if heading.rows else -1
        below = frame.filter(pl.col("row") > last)
        if sheet.hidden:
            below = below.filter(~pl.col("row").is_in(list(sheet.hidden)))
        self.sample = _sample(below)
        self.habits = habits_of(frame)
        self.titles = titles(frame, heading)
        self.guesses = [g for c in frame.columns if c != "row" and (g := self._guess(c))]
        self.language = self._language()

    def _guess(self, column: str) -> _Guess | None:
        heading = self.heading.texts.get(column, "")
        looks = look_at(self.sample[column].to_list(), heading)
        if not heading and not looks.filled:
            return None
        reading = self.heading.readings.get(column) or Reading(text="")
        shown = heading or f"column {column_letter(column)}"
        return _Guess(column=column, heading=shown, reading=reading, looks=looks)

    def _language(self) -> str:
        votes: Counter[str] = Counter()
        for guess in self.guesses:
            languages = set(guess.reading.roles) - {"any"}
            for language in languages:
                votes[language] += 1.0 / len(languages)  # type: ignore[assignment]
        return votes.most_common(1)[0][0] if votes else "en"

    # the order matters: what is certain first, so that doubtful columns find less left to be
    def layout(self) -> Layout:
        for guess in self.guesses:
            self._by_heading(guess)
        self._use_profile()
        self._override()
        self._matrix()
        self._some_load()
        self._by_cells()
        self._describe()
        self._units_beside()
        self._units_of_titles()
        self._one_wll()
        self._turn_angles()
        self._require_wll()
        body, skipped = self.rows_of(self.frame, closed=True)
        body = _ditto(body, [g.column for g in self.guesses if g.role != "part"])
        decimal, by_column = self._decimals(body)
        columns = tuple(
            Column(
                column=g.column,
                heading=g.heading,
                role=g.role,
                unit=g.unit,
                unit_column=g.unit_column,
                why=g.why,
                gives=dict(g.gives),
                decimal=by_column.get(g.column),
            )
            for g in self.guesses
        )
        return Layout(
            sheet=self.sheet,
            heading_row=self.heading.row,
            columns=columns,
            body=body,
            skipped=skipped,
            decimal=decimal,
        )

    def _having(self, *roles: str) -> list[_Guess]:
        return [g for g in self.guesses if g.role in roles]

    # ------------------------------------------------------------------ headings

    def _by_heading(self, guess: _Guess) -> None:
        reading, looks = guess.reading, guess.looks
        role = reading.role(self.language)
        if not looks.filled:
            guess.role, guess.why = "ignore", "it holds nothing"
            return
        if role is None and reading.roles:
            role = _fitting(set(reading.roles.values()), looks)
            if role is None:
                guess.why = "its heading has several meanings and its cells do not settle it"
                return
        if role is None or role == "load":
            return
        if role == "ignore":
            guess.why = f"headed as {_article(reading.ignored or 'thing that is not read')}"
            return
        guess.role, guess.why = role, f"headed '{reading.word or reading.text}'"
        guess.gives = dict(reading.gives)
        self._check(guess)

    def _check(self, guess: _Guess) -> None:
        """Take a role back when the cells are not what the heading says."""
        role, looks, unit = guess.role, guess.looks, guess.reading.unit
        if role in FORCES:
            if unit and not _measures_load(unit):
                self._refuse(guess, f"headed in {unit}, which is no unit of load")
            elif max(looks.loadlike, looks.load_inside) < 0.5:
                self._refuse(guess, "headed as a load but its cells are not loads")
            else:
                guess.unit = unit
                if len(set(guess.reading.units)) > 1:
                    guess.why += ", in two units"
        elif role == "size":
            self._check_size(guess)
        elif role == "grade" and looks.grade < 0.5 and (looks.number > 0.5 or looks.load > 0.5):
            self._refuse(guess, "headed as a grade but its cells are other numbers")
        elif role == "legs" and looks.number > 0.5 and looks.small_integer < 0.6:
            self._refuse(guess, "headed as a number of legs but its numbers are others")
        elif role == "angle" and looks.angle < 0.5:
            self._refuse(guess, "headed as an angle but its cells are not angles")
        elif role == "design_factor" and looks.factor < 0.5:
            self._refuse(guess, "headed as a design factor but its cells are not factors")
        elif role == "unit" and looks.unit < 0.8:
            self._refuse(guess, "headed as a unit but its cells are not units")
        elif role in ("latch", "cradle", "swivel", "overhead", "hitch") and looks.number > 0.5:
            self._refuse(guess, f"headed as {role} but its cells are numbers")
        elif (
            role in ("description", "form", "connection", "kind", "material") and looks.number > 0.8
        ):
            guess.role = "part" if role == "description" else "ignore"
            guess.why = f"headed as {role} but its cells are numbers"

    def _check_size(self, guess: _Guess) -> None:
        looks, unit = guess.looks, guess.reading.unit
        if looks.load >= 0.6:
            self._refuse(guess, "headed as a size but its cells are loads")
        elif unit and CANONICAL.get(unit, ("", "load"))[1] != "length":
            self._refuse(guess, f"headed as a size in {unit}, which is no unit of length")
        elif looks.number > 0.5 and looks.middle > 130:
            self._refuse(guess, "headed as a size but its numbers are too large for one")
        elif looks.size < 0.4 and looks.size_inside < 0.4:
            self._refuse(guess, "headed as a size but its cells are not sizes")
        else:
            guess.unit = unit if unit in ("mm", "cm", "in") else None

    @staticmethod
    def _refuse(guess: _Guess, why: str) -> None:
        guess.role, guess.why, guess.unit, guess.gives = "ignore", why, None, {}

    # ------------------------------------------------------------------ overrides

    def _override(self) -> None:
        for role, names in self.overrides.items():
            if role == "unit" and self._find(names.strip()) is None and unit_of(names):
                continue  # a unit by name; used where no other is known
            chosen = [self._named(name.strip()) for name in names.split(";") if name.strip()]
            for other in self._having(role):
                if other not in chosen and role != "ignore":
                    self._refuse(other, f"another column was named as {role}")
            for guess in chosen:
                guess.role, guess.forced = role, True
                guess.why = f"named as {role}"
                guess.gives = dict(guess.reading.gives) if role in FORCES else {}
                guess.unit = guess.reading.unit

    def _use_profile(self) -> None:
        for entry in self.profile:
            guess = self._find(str(entry["heading"]))
            if guess is None:
                if entry["role"] == "wll":
                    raise StockListError(
                        f"the profile expects a column headed '{entry['heading']}'",
                        where=self.sheet.where,
                        next_step=f"the headings are {self._headings()}",
                    )
                continue
            guess.role, guess.forced, guess.why = entry["role"], True, "the profile says so"
            guess.unit = entry.get("unit") or guess.reading.unit
            guess.gives = dict(guess.reading.gives) if guess.role in FORCES else {}

    def _find(self, name: str) -> _Guess | None:
        wanted = re.sub(r"\s+", " ", name).casefold()
        for guess in self.guesses:
            if re.sub(r"\s+", " ", guess.heading).casefold() == wanted:
                return guess
        for guess in self.guesses:
            if (
                column_letter(guess.column).casefold() == wanted
                or f"column {column_letter(guess.column)}".casefold() == wanted
            ):
                return guess
        return None

    def _named(self, name: str) -> _Guess:
        found = self._find(name)
        if found is None:
            raise StockListError(
                f"no column is headed '{name}'",
                where=self.sheet.where,
                next_step=f"the headings are {self._headings()}",
            )
        return found

    def _headings(self) -> str:
        return ", ".join(f"'{g.heading}'" for g in self.guesses)

    # ------------------------------------------------------------------ matrix lists

    def _matrix(self) -> None:
        """Take columns whose headings only fix a grade, a leg count or a size for ratings."""
        if self._having("wll") and all(g.forced for g in self._having("wll")):
            return
        cells = [
            g
            for g in self.guesses
            if g.role == "ignore"
            and not g.forced
            and g.looks.loadlike >= 0.7
            and g.reading.gives
            and set(g.reading.roles.values()) <= {"load"}
        ]
        if not cells:
            return
        around = [t for _, t in self.titles] + ([self.sheet.name] if self.sheet.name else [])
        around += [g.heading for g in self.guesses if g not in cells]
        readings = [read_heading(t) for t in around] + [_read_title(t) for t in around]
        priced = any(r.ignored in ("price", "weight", "quantity") for r in readings if r.whole)
        titled = any("wll" in r.roles.values() for r in readings)
        with_unit = [
            g
            for g in cells
            if g.looks.load >= 0.7 or (g.reading.unit and _measures_load(g.reading.unit))
        ]
        chart = len(cells) >= 2 and all(
            set(g.reading.gives) & {"legs", "angle", "hitch"} for g in cells
        )
        wll = self._having("wll")
        beside = bool(wll) and all(set(g.gives) & set(cells[0].reading.gives) for g in wll)
        if priced and not titled and not with_unit:
            return
        if not (titled or len(with_unit) == len(cells) or beside or (chart and self._title_unit())):
            for guess in cells:
                guess.why = (
                    "its heading fixes a value, but nothing says that its numbers are rated loads"
                )
            return
        for guess in cells:
            fixed = ", ".join(f"{k} {v}" for k, v in guess.reading.gives.items())
            guess.role, guess.why = "wll", f"one column of a table of ratings, for {fixed}"
            guess.gives = dict(guess.reading.gives)
            unit = guess.reading.unit
            guess.unit = unit if unit and _measures_load(unit) else None
        # the corner cell of a matrix ("Size / WLL") heads the sizes, not a load
        for guess in wll:
            if (
                not guess.gives
                and not guess.forced
                and guess.looks.loadlike >= 0.5
                and guess.looks.size >= 0.9
                and guess.looks.middle <= 60
            ):
                guess.role, guess.why, guess.unit = (
                    "size",
                    "the first column of a table of ratings",
                    None,
                )

    # ------------------------------------------------------------------ doubtful headings, cells

    def _some_load(self) -> None:
        """Take a column headed only "load" or "kg" for the rating, when nothing else is."""
        loads = [
            g
            for g in self.guesses
            if g.role == "ignore" and not g.forced and g.reading.role(self.language) == "load"
        ]
        for guess in loads:
            bare_unit = unit_of(guess.reading.word) is not None and not guess.reading.gives
            if self._having("wll"):
                guess.why = "headed as some load; the rated load is another column"
            elif guess.looks.loadlike < 0.6:
                guess.why = "headed as a load but its cells are not loads"
            elif bare_unit:
                guess.why = "headed by a unit alone, which can as well be a weight"
            elif len([g for g in loads if g.why == ""]) > 1 and len(
                {g.reading.unit for g in loads}
            ) < len(loads):
                guess.why = "headed as some load, as another column is"
            elif not (
                guess.reading.unit
                or guess.looks.load >= 0.8
                or self._title_unit()
                or self._unit_neighbour(guess)
            ):
                guess.why = "headed as some load, without a unit"
        for guess in loads:
            if guess.why == "":
                guess.role, guess.why = (
                    "wll",
                    f"headed '{guess.reading.text}', and no other column is a load",
                )
                guess.unit = guess.reading.unit
                guess.gives = dict(guess.reading.gives)

    def _by_cells(self) -> None:
        """Judge columns that no heading explains by their cells."""
        known = self.heading.row is not None
        if not self._having("wll"):
            self._wll_by_cells()
        for guess in self.guesses:
            if guess.role != "ignore" or guess.why or guess.forced:
                continue
            looks = guess.looks
            if known and guess.reading.text and guess.reading.roles:
                continue
            if (
                not self._having("size")
                and looks.size >= 0.8
                and looks.size_marked >= 0.5
                and looks.load < 0.3
            ):
                guess.role, guess.why = "size", "its cells are sizes"
                guess.unit = (
                    guess.reading.unit if guess.reading.unit in ("mm", "in", "cm") else None
                )
            elif (
                not self._having("grade")
                and looks.grade >= 0.9
                and (
                    looks.grade_marked >= 0.5
                    or (looks.distinct >= 2 and looks.filled >= 3 and looks.smallest >= 30)
                )
            ):
                guess.role, guess.why = "grade", "its cells are grades"
            elif looks.words >= 0.5 and looks.number < 0.2:
                guess.role, guess.why = "description", "its cells are words"
            elif not known and looks.load_units >= 0.9:
                guess.role, guess.why = "unit", "its cells are units"
            elif (
                not known
                and looks.code >= 0.7
                and not self._having("part")
                and looks.distinct >= 0.7 * min(looks.filled, 600)
            ):
                guess.role, guess.why = "part", "its cells are codes, each another"
            else:
                guess.why = (
                    "nothing says what it is"
                    if not guess.heading.startswith("column ")
                    else "no heading, and its cells do not say what it is"
                )

    def _describe(self) -> None:
        """Take a column of types that holds whole texts for the missing description."""
        if self._having("description"):
            return
        for guess in self._having("form", "kind"):
            looks = guess.looks
            if (
                not guess.forced
                and looks.words >= 0.6
                and max(looks.long, looks.size_inside) >= 0.3
            ):
                guess.role = "description"
                guess.why += ", and its cells describe the whole item"

    def _wll_by_cells(self) -> None:
        """Find the rated load by its cells: loads with units, far heavier than the goods weigh."""
        found = [
            g
            for g in self.guesses
            if g.role == "ignore"
            and not g.forced
            and g.looks.load >= 0.8
            and g.reading.role(self.language) in (None, "size", "load", "wll", "grade")
            and self._heavy(g)
        ]
        if len(found) == 1:
            guess = found[0]
            guess.role, guess.why = (
                "wll",
                f"{guess.why}; its cells are loads with a unit".lstrip("; "),
            )
            guess.unit = None
        elif len(found) == 2:
            pair = self._pair_by_ratio(found)
            if pair:
                for guess in pair:
                    guess.role, guess.why = (
                        "wll",
                        "its cells are loads with a unit, the same load in two units",
                    )
                return
            smaller = sorted(found, key=lambda g: _middle_kg(self._values(g)))
            ratio = _middle_kg(self._values(smaller[1])) / max(
                1e-9, _middle_kg(self._values(smaller[0]))
            )
            if self.heading.row is None and 3.5 <= ratio <= 5.5:
                smaller[0].role, smaller[0].why = (
                    "wll",
                    f"its cells are loads, the other column holds {ratio:.1f} times as much",
                )
                smaller[1].role, smaller[1].why = (
                    "breaking",
                    f"its cells are {ratio:.1f} times the rated load",
                )
            else:
                for guess in found:
                    guess.why = "its cells are loads, as those of another column are"
        if not found and self.heading.row is None:
            for guess in self.guesses:
                beside = self._unit_neighbour(guess)
                if (
                    guess.role == "ignore"
                    and guess.looks.number >= 0.9
                    and beside
                    and guess.looks.smallest >= 0.2
                ):
                    guess.role, guess.why = (
                        "wll",
                        f"its cells are numbers, with units of load in {beside.heading}",
                    )
                    return

    def _values(self, guess: _Guess) -> list[str]:
        return [str(v) for v in self.sample[guess.column].to_list() if str(v).strip()]

    def _heavy(self, guess: _Guess) -> bool:
        return _middle_kg(self._values(guess)) >= 200

    def _pair_by_ratio(self, found: Sequence[_Guess]) -> Sequence[_Guess] | None:
        first, second = ([_kilograms(v) for v in self._values(g)] for g in found)
        if len(first) != len(second) or not first:
            return None
        same = sum(
            1 for a, b in zip(first, second, strict=True) if a and b and abs(a / b - 1) < 0.06
        )
        return found if same >= 0.8 * len(first) else None

    # ------------------------------------------------------------------ units

    def _unit_neighbour(self, guess: _Guess) -> _Guess | None:
        """Find the column with units of load next to a column, first on its right."""
        place = self.guesses.index(guess)
        for step in (1, -1):
            if 0 <= place + step < len(self.guesses):
                beside = self.guesses[place + step]
                if beside.looks.load_units >= 0.9 and beside.looks.unit >= 0.9:
                    return beside
        return None

    def _units_beside(self) -> None:
        for unit in self.guesses:
            if unit.role not in ("unit", "ignore") or unit.looks.unit < 0.8:
                continue
            named = set(unit.looks.units or {})
            if not named:
                if unit.role == "unit":
                    self._refuse(unit, "its cells are units of sale")
                continue
            kinds = {
                "length" if CANONICAL.get(u, ("", ""))[1] == "length" else "load" for u in named
            }
            if unit.looks.load_units < 0.9 and kinds != {"length"}:
                if unit.role == "unit":
                    self._refuse(unit, "its cells are units of sale")
                continue
            target = self._owner(unit, kinds)
            if target is None:
                if unit.role == "unit":
                    self._refuse(unit, "its cells are units, of no column that was recognised")
                continue
            unit.role, unit.why = "unit", f"its cells are the units of '{target.heading}'"
            target.unit_column = unit.column
            target.why += f", unit in '{unit.heading}'"
            named_here = unit.reading.word
            if named_here:
                unit.why = f"headed '{named_here}', units of '{target.heading}'"

    def _owner(self, unit: _Guess, kinds: set[str]) -> _Guess | None:
        roles = ("size",) if kinds == {"length"} else FORCES
        place = self.guesses.index(unit)
        left = [g for g in reversed(self.guesses[:place]) if g.role in roles]
        right = [g for g in self.guesses[place + 1 :] if g.role in roles]
        adjacent = [g for g in self.guesses[max(0, place - 1) : place + 2] if g.role in roles]
        for group in (adjacent[:1], left, right):
            free = [
                g for g in group if g.unit is None and g.unit_column is None and g.looks.load < 0.5
            ]
            if free:
                return free[0]
        return None

    def _title_unit(self) -> str | None:
        """Find the one unit of load that the lines around the table give for all ratings."""
        texts = [t for _, t in self.titles] + self._lone_cells()
        texts += [g.heading for g in self._having("size", "grade")]  # the corner of a matrix
        if self.sheet.name:
            texts.append(self.sheet.name)
        found = {u for t in texts if (u := _unit_said(t))}
        return found.pop() if len(found) == 1 else None

    def _lone_cells(self) -> list[str]:
        """Give the rows with one filled cell below the heading: notes and section headings."""
        last = self.heading.rows[-1] if self.heading.rows else -1
        cells = [c for c in self.frame.columns if c != "row"]
        if len(cells) < 2:
            return []
        filled = pl.sum_horizontal((pl.col(c).str.strip_chars() != "") for c in cells)
        lone = self.frame.filter((pl.col("row") > last) & (filled == 1)).head(200)
        return ["".join(str(v) for v in r).strip() for r in lone.select(cells).iter_rows()]

    def _units_of_titles(self) -> None:
        bare = [
            g
            for g in self._having(*FORCES)
            if g.unit is None
            and g.unit_column is None
            and g.looks.load < 0.5
            and len(set(g.reading.units)) < 2
        ]
        if not bare:
            return
        named = self.overrides.get("unit", "")
        unit = unit_of(named) if named and self._find(named) is None else None
        if unit and _measures_load(unit):
            for guess in bare:
                guess.unit = unit
                guess.why += f", in {unit} as named"
            return
        unit = self._title_unit()
        if unit:
            for guess in (g for g in bare if g.role == "wll"):
                guess.unit = unit
                guess.why += f", in {unit} as a line beside the table says"
            return
        wll = [g for g in bare if g.role == "wll" and not g.gives]
        if len(wll) == 2:
            self._pounds_and_kilograms(wll)

    def _pounds_and_kilograms(self, pair: Sequence[_Guess]) -> None:
        numbers = [[_plain(v) for v in self.sample[g.column].to_list()] for g in pair]
        ratios = [a / b for a, b in zip(*numbers, strict=True) if a and b]
        for first, second, share in (
            (0, 1, _near(ratios, 2.2046)),
            (1, 0, _near(ratios, 1 / 2.2046)),
        ):
            if len(ratios) >= 3 and share >= 0.9:
                pair[first].unit, pair[second].unit = "lb", "kg"
                for guess in pair:
                    guess.why += f", in {guess.unit} since the two columns differ by 2.2"

    # ------------------------------------------------------------------ the one rated load

    def _one_wll(self) -> None:
        """See that no two columns claim to be the same rating."""
        groups: dict[tuple[object, ...], list[_Guess]] = {}
        for guess in self._having("wll"):
            key = (
                guess.unit or guess.unit_column or _own_unit(guess),
                tuple(sorted(guess.gives.items())),
            )
            groups.setdefault(key, []).append(guess)
        for group in groups.values():
            if len(group) == 1:
                continue
            forced = [g for g in group if g.forced]
            whole = [g for g in group if g.reading.whole]
            keep = forced or (whole if len(whole) == 1 else [])
            if not keep:
                first = group[0]
                same = [
                    g for g in group[1:] if self.sample[g.column].equals(self.sample[first.column])
                ]
                keep = [first] if len(same) == len(group) - 1 else []
            if not keep:
                names = " and ".join(f"'{g.heading}'" for g in group)
                raise StockListError(
                    f"several columns could be the rated load: {names}",
                    where=self.sheet.where,
                    next_step=f"choose one with {_override(wll=group[0].heading)}",
                )
            for guess in group:
                if guess not in keep:
                    self._refuse(guess, f"the rated load is '{keep[0].heading}'")

    def _turn_angles(self) -> None:
        """Tell from the run of the ratings whether angles are to the horizontal."""
        groups: dict[tuple[tuple[str, str], ...], list[_Guess]] = {}
        for guess in self._having("wll"):
            if "angle" in guess.gives and " to " not in guess.gives["angle"]:
                rest = tuple(sorted((k, v) for k, v in guess.gives.items() if k != "angle"))
                groups.setdefault((*rest, ("unit", str(guess.unit))), []).append(guess)
        votes = 0
        for group in groups.values():
            ordered = sorted(group, key=lambda g: int(re.split(r"\D", g.gives["angle"])[-1]))
            for low, high in itertools.pairwise(ordered):
                pairs = zip(self.sample[low.column], self.sample[high.column], strict=True)
                for a, b in ((_plain(x), _plain(y)) for x, y in pairs):
                    if a and b and a != b:
                        votes += 1 if b > a else -1
        if votes == 0:
            return
        aim = " to horizontal" if votes > 0 else " to vertical"
        for group in groups.values():
            for guess in group:
                guess.gives["angle"] += aim
                guess.why += f", angle{aim} by the run of the ratings"

    def _require_wll(self) -> None:
        if self._having("wll"):
            return
        texts = self._having("description", "kind", "form", "size")
        told = [g for g in texts if g.looks.load_inside >= 0.3]
        if told:
            return
        numbered = [g for g in self.guesses if g.looks.loadlike >= 0.5]
        if self.heading.row is None and numbered:
            what = "no heading was found and no column holds loads with a unit"
            letter = column_letter(max(numbered, key=lambda g: g.looks.middle).column)
            override = _override(wll=letter, unit="kg")
            step = f"name the column of the ratings by its letter, such as {override}"
        elif self.heading.row is None:
            what = "no heading was found and no column holds numbers that could be loads"
            step = "check that it is the list, with a heading such as 'WLL (kg)' over the ratings"
        elif self.frame.filter(pl.col("row") > self.heading.row).is_empty():
            what = f"there are headings ({self._headings()}) and no rows below them"
            step = "check whether the list was exported whole"
        else:
            what = f"no column can be the rated load; the headings are {self._headings()}"
            step = f"name the column: {_override(wll='...')}"
        raise _NoRatedLoadError(what, where=self.sheet.where, next_step=step)

    # ------------------------------------------------------------------ rows and numbers

    def doubtful(self, frame: pl.DataFrame) -> pl.Series:
        """Tell the rows that `rows_of` could take for something other than an item."""
        loads = [g.column for g in self._having("wll")]
        beyond = frame.select(pl.any_horizontal(pl.lit(value=False), *self._beyond(frame)))
        return doubtful_rows(frame, loads, filled_counts(frame)) | beyond.to_series()

    def rows_of(self, frame: pl.DataFrame, *, closed: bool) -> tuple[pl.DataFrame, pl.DataFrame]:
        """Give the item rows and the others; `closed` tells that the list ends with them."""
        loads = [g.column for g in self._having("wll")]
        others = [g.column for g in self._having("size", "grade", "breaking", "proof")]
        body, skipped = row_kinds(
            self.sheet,
            frame,
            self.heading,
            loads,
            others,
            self._start(),
            self.habits,
            closed=closed,
        )
        spilt = self._spilt(body)
        if spilt.height:
            why = "more cells than headings: a comma inside a number was taken for a separator"
            more = spilt.select("row", pl.lit(why).alias("why"))
            skipped = pl.concat([skipped, more]).sort("row")
            body = body.join(spilt.select("row"), on="row", how="anti", maintain_order="left")
        return body, skipped

    def _beyond(self, body: pl.DataFrame) -> list[pl.Expr]:
        """Give for each column beyond the last heading whether its cell is filled."""
        cells = [c for c in body.columns if c not in ("row", "section")]
        headed = [c for c in cells if c in self.heading.texts]
        if (
            self.sheet.name is not None
            or not headed
            or headed[-1] == cells[-1]
            or self.sheet.stored_numbers
        ):
            return []
        return [pl.col(c) != "" for c in cells[cells.index(headed[-1]) + 1 :]]

    def _spilt(self, body: pl.DataFrame) -> pl.DataFrame:
        """Find rows pushed to the right by an unquoted thousands comma."""
        cells = [c for c in body.columns if c not in ("row", "section")]
        beyond = self._beyond(body)
        if not beyond:
            return body.clear()
        longer = pl.any_horizontal(beyond)
        split = pl.any_horizontal(
            pl.col(a).str.contains(r"(?:^|\D)\d{1,3}$") & pl.col(b).str.contains(r"^\d{3}(?:\D|$)")
            for a, b in itertools.pairwise(cells)
        )
        return body.filter(longer & split)

    def _start(self) -> str | None:
        """Give what the title and the sheet's name say of every row: a grade, a kind of goods."""
        texts = [t for _, t in self.titles[-3:] if len(t) <= 80]
        if self.sheet.name and not re.fullmatch(
            r"(?i)(sheet|tabelle|feuil|hoja|table|list)\s*\d*", self.sheet.name
        ):
            texts.insert(0, self.sheet.name)
        said = [t for t in dict.fromkeys(texts) if names_goods(t)]
        return " / ".join(said) or None

    def _decimals(self, body: pl.DataFrame) -> tuple[str | None, dict[str, str]]:
        sample = _sample(body)
        by_column: dict[str, str] = {}
        total = Evidence()
        for guess in self.guesses:
            if guess.role == "part":
                continue
            values = [v for v in dict.fromkeys(sample[guess.column].to_list()) if v]
            if guess.column in self.sheet.stored_numbers:
                by_column[guess.column] = "."
                continue
            unit = guess.unit if guess.role in FORCES else None
            if guess.unit_column:
                units = Counter(unit_of(str(u)) for u in sample[guess.unit_column].to_list() if u)
                unit = units.most_common(1)[0][0] if units else None
            found = evidence(values, unit)
            total += found
            own = settle(found)
            if own:
                by_column[guess.column] = own
        return settle(total), by_column


def _override(**wanted: str) -> str:
    """Write how a column is named, on the command line and in Python."""
    options = " ".join(f'--column {role}="{heading}"' for role, heading in wanted.items())
    named = ", ".join(f'"{role}": "{heading}"' for role, heading in wanted.items())
    return f"{options} (in Python columns={{{named}}})"


def _article(noun: str) -> str:
    if noun.startswith("another"):
        return noun
    return f"an {noun}" if noun[0] in "aeiou" else f"a {noun}"


def _fitting(roles: set[str], looks: Looks) -> str | None:
    """Choose among the meanings of a heading by the cells, when only one of them fits."""
    fits = {
        "grade": looks.grade >= 0.8 and (looks.grade_marked >= 0.5 or looks.smallest >= 30),
        "size": looks.size >= 0.8 and looks.grade_marked < 0.3 and looks.smallest < 30,
        "part": looks.code >= 0.6 or (looks.number >= 0.9 and looks.smallest >= 1000),
        "kind": looks.words + looks.short >= 0.8 and looks.number < 0.1,
        "description": looks.words >= 0.5,
    }
    fitting = [r for r in sorted(roles) if fits.get(r)]
    return fitting[0] if len(fitting) == 1 else None


def _measures_load(unit: str) -> bool:
    return unit == "ton" or CANONICAL.get(unit, ("", ""))[1] in ("load", "force")


def _own_unit(guess: _Guess) -> str | None:
    units = guess.looks.units or {}
    return max(units, key=lambda u: units[u]) if units and guess.looks.load >= 0.5 else None


_SAID = re.compile(
    r"(?i)\b(?:in|en|all|alle|tous|toutes|todas|todos|values?|angaben|werte|unit|einheit|unité|unidad)\b"
)


def _read_title(text: str) -> Reading:
    """Read the part of a title that could be a heading: "Rated loads in kg, spring list"."""
    for piece in re.split(r"[.;:|–—]| - |, ", text):
        reading = read_heading(piece)
        if set(reading.roles.values()) & {"wll", "load"}:
            return reading
    return Reading(text=text)


def _unit_said(text: str) -> str | None:
    """Give the unit of load that a title or note gives for the ratings."""
    for bracket in (text, *re.split(r"[.;:|–—]| - |, ", text)):
        reading = read_heading(bracket)
        if "wll" in reading.roles.values() and reading.unit and _measures_load(reading.unit):
            return reading.unit
    words = re.findall(r"[^\W\d_]+\.?", text)
    says_so = bool(_SAID.search(text)) and bool(
        re.search(
            r"(?i)wll|swl|load|capacit|rating|tragf|traglast|last|cmu|cmt|charge|carga|angaben|values|werte",
            text,
        )
    )
    if not says_so or re.search(r"(?i)weight|gewicht|poids|peso|price|preis|prix|precio", text):
        return None
    found = {
        u
        for i, w in enumerate(words)
        for u in (unit_of(" ".join(words[i : i + 2])) or unit_of(w),)
        if u and _measures_load(u) and not (w.casefold() in ("to", "n") or (u == "t" and i == 0))
    }
    if "t" in found and re.search(r"(?i)metric tons|short tons", text):
        found -= {"ton"}
    return found.pop() if len(found) == 1 else None


def _plain(value: object) -> float | None:
    """Read a cell as a rough number, for comparing columns with one another."""
    match = re.match(r"\s*+[^\d\s.,]*+\s*+(\d[\d.,' ]*)", str(value))
    if not match:
        return None
    text = match[1].strip()
    if re.fullmatch(r"\d{1,3}(?:[.,' ]\d{3})+", text):
        return float(re.sub(r"\D", "", text))
    text = text.replace(" ", "").replace("'", "").replace(",", ".")
    return float(text) if re.fullmatch(r"\d+(?:\.\d*)?", text) else None


def _near(ratios: Sequence[float], wanted: float) -> float:
    near = sum(1 for r in ratios if abs(r / wanted - 1) < 0.03)
    return near / len(ratios) if ratios else 0.0


_KG = {
    "kg": 1.0,
    "t": 1000.0,
    "lb": 0.4536,
    "lbf": 0.4536,
    "ton": 950.0,
    "short ton": 907.0,
    "long ton": 1016.0,
    "kN": 102.0,
    "daN": 1.02,
    "N": 0.102,
}  # rough, to tell a rated load from the weight of a hook


def _kilograms(value: str) -> float | None:
    loads = holds_load(value)
    if not loads:
        return None
    number = _plain(loads[0][0])
    return number * _KG.get(loads[0][1], 0.0) if number else None


def _middle_kg(values: Sequence[str]) -> float:
    found = sorted(k for v in values if (k := _kilograms(v)))
    return found[len(found) // 2] if found else 0.0


def _sample(frame: pl.DataFrame) -> pl.DataFrame:
    if frame.height <= 2 * _SAMPLE:
        return frame
    step = max(1, (frame.height - _SAMPLE) // _SAMPLE)
    return pl.concat([frame.head(_SAMPLE), frame.slice(_SAMPLE).gather_every(step)])


_DITTO = ('"', "''", "″", "”", "〃", "do", "do.", "ditto", "dito", "idem", "id.")


def _ditto(body: pl.DataFrame, columns: Sequence[str]) -> pl.DataFrame:
    """Write out ditto marks: the cell above, repeated."""
    marks = {c: pl.col(c).str.strip_chars().str.to_lowercase().is_in(_DITTO) for c in columns}
    present = body.select(mark.any() for mark in marks.values()).row(0) if marks else ()
    return body.with_columns(
        pl.when(mark).then(None).otherwise(pl.col(c)).forward_fill().fill_null("").alias(c)
        for (c, mark), found in zip(marks.items(), present, strict=True)
        if found
    )
