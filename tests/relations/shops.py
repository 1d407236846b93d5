"""Invented shops: things with their true ratings, and the manner in which a shop writes them."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from functools import cache
from random import Random

import polars as pl

from relations.words import (
    BLANKS,
    GRADES_EUROPEAN,
    GRADES_US,
    HEADING_FORMS,
    HEADINGS,
    NUMBERS,
    SECTIONS,
    SIZES_INCH,
    SIZES_MM,
    UNITS,
    UNREADABLE,
    WORDS,
)
from tallyhook.packages.package import built_in_packages
from tallyhook.packages.reference import reference_ratings

__all__ = ["Case", "Manner", "Thing", "draw_case", "draw_manner"]

KG_OF_LB = 0.45359237
INCH_OF_ALLOY = {
    5.5: "7/32", 7.0: "9/32", 8.0: "5/16", 10.0: "3/8", 13.0: "1/2", 16.0: "5/8", 20.0: "3/4",
    22.0: "7/8", 26.0: "1", 32.0: "1-1/4",
}  # fmt: skip
INCH_OF_OTHERS = INCH_OF_ALLOY | {4.0: "1/8", 5.5: "3/16", 7.0: "1/4", 11.0: "7/16"}


@dataclass(frozen=True, slots=True, kw_only=True)
class Thing:
    """One row: what it is, what is published of it, and what the shop made of that.

    `times` is what its load is multiplied by (1.0: right), `unread` the cells by role that hold
    something nobody can read or nothing.
    """

    number: int
    kind: str
    scheme: str
    grade: int
    size_mm: float
    size_in: str
    cradle: str | None
    legs: int | None
    angle: int | None
    kg: float
    lb: float | None
    times: float = 1.0
    unread: tuple[tuple[str, str], ...] = ()
    word: int = 0
    breaking_times: float = 4.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Manner:
    """How a shop writes: every field may be another one and the list says the same."""

    language: str
    headings: dict[str, str]
    heading_form: str
    unit: str
    unit_word: str
    unit_place: str  # heading, column or cell
    numbers: str
    inches: bool
    size_form: str
    size_place: str  # column or description
    grade_form: str
    grade_place: str  # column, description or section
    section_form: str
    columns: tuple[str, ...]  # the roles, from left to right

    def load(self, kg: float, lb: float | None, times: float) -> str:
        """Write a load in the unit and the form of this shop."""
        in_lb = lb if lb is not None else _rounded(kg / KG_OF_LB, 3)
        value = in_lb if self.unit == "lb" else kg
        if times != 1.0:
            value = _rounded(value * times, 4)
        return number(value / 1000 if self.unit == "t" else value, self.numbers)


@dataclass(frozen=True, slots=True, kw_only=True)
class Case:
    """An invented list: its things in order, and how they are written."""

    things: tuple[Thing, ...]
    manner: Manner
    seed: int = field(default=0)


def number(value: float, style: str) -> str:
    """Write a number with the separators of a style."""
    thousands, mark = NUMBERS[style]
    text = f"{value:,.6f}".rstrip("0").rstrip(".")
    return text.replace(",", "_").replace(".", mark).replace("_", thousands)


def _rounded(value: float, figures: int) -> float:
    return float(f"{value:.{figures}g}")


@cache
def _pools() -> dict[str, dict[str, list[dict[str, object]]]]:
    """The published ratings by scheme and kind, each with its pounds and kilograms."""
    reference = reference_ratings(built_in_packages()).filter(
        pl.col("scheme").is_in(["us-chain", "european"])
        & pl.col("kind").is_in(["chain", "hook", "grab-hook", "sling"])
        & (pl.col("known_by") != "recalled")
        & ~pl.col("deduction").fill_null("").str.contains("25")
        & ((pl.col("kind") != "sling") | pl.col("legs").is_not_null())
        & pl.col("grade").is_in([30, 43, 70, 80, 100])
    )
    lb = (
        reference.filter(pl.col("unit") == "lb").select("rating_id", lb="value").unique("rating_id")
    )
    kg = reference.filter(pl.col("unit") == "kg").unique("rating_id").join(lb, "rating_id", "left")
    named = pl.col("size_mm").is_in(list(INCH_OF_OTHERS)) & pl.col("lb").is_not_null()
    kg = kg.filter(named | (pl.col("scheme") == "european"))
    pools: dict[str, dict[str, list[dict[str, object]]]] = {}
    for row in kg.sort("rating_id").to_dicts():
        if row["scheme"] == "us-chain" and not _inch(row["grade"], row["size_mm"]):
            continue
        pools.setdefault(row["scheme"], {}).setdefault(row["kind"], []).append(row)
    return pools


def _inch(grade: int, size_mm: float) -> str:
    return (INCH_OF_ALLOY if grade >= 80 else INCH_OF_OTHERS).get(size_mm, "")


def draw_case(random: Random, *, most: int = 14) -> Case:
    """Draw a list of an invented shop."""
    scheme = random.choice(("us-chain", "us-chain", "european"))
    kinds = random.choice((("chain",), ("chain", "hook"), ("chain", "hook", "grab-hook", "sling")))
    wrong = random.choice((0.0, 0.1, 0.3))
    unread = random.choice((0.0, 0.0, 0.1, 0.3))
    things = tuple(
        _thing(random, scheme, kinds, number, wrong, unread)
        for number in range(random.randint(3, most))
    )
    manner = draw_manner(random, scheme)
    if manner.grade_place == "section":
        things = tuple(sorted(things, key=lambda t: t.grade))
    return Case(things=things, manner=manner, seed=random.randrange(2**31))


def _thing(
    random: Random, scheme: str, kinds: tuple[str, ...], number: int, wrong: float, unread: float
) -> Thing:
    row = random.choice(_pools()[scheme][random.choice(kinds)])
    grade, size_mm = int(row["grade"]), float(row["size_mm"])  # type: ignore[call-overload]
    thing = Thing(
        number=number,
        kind=str(row["kind"]),
        scheme=scheme,
        grade=grade,
        size_mm=size_mm,
        size_in=_inch(grade, size_mm) if scheme == "us-chain" else "",
        cradle=row["cradle"],  # type: ignore[arg-type]
        legs=row["legs"],  # type: ignore[arg-type]
        angle=None if row["angle_to_deg"] is None else int(row["angle_to_deg"]),  # type: ignore[call-overload]
        kg=float(row["value"]),  # type: ignore[arg-type]
        lb=row["lb"],  # type: ignore[arg-type]
        word=random.randrange(3),
    )
    if random.random() < wrong:
        thing = replace(thing, times=random.choice((4.0, 2.0, 1.5, 10.0, 0.1, 0.5, 1.25, 0.75)))
    if random.random() < wrong / 3:
        thing = replace(thing, breaking_times=random.choice((1.0, 40.0, 2.0)))
    if random.random() < unread:
        role = random.choice(("wll", "wll", "size", "grade", "breaking"))
        cell = random.choice(UNREADABLE[role]) if random.random() < 0.7 else random.choice(BLANKS)
        thing = replace(thing, unread=((role, cell),))
    return thing


def draw_manner(random: Random, scheme: str) -> Manner:
    """Draw a shop's habits."""
    language = random.choice(("en", "en", "en", "de", "fr", "es"))
    american = scheme == "us-chain"
    unit = random.choice(("lb", "lb", "kg")) if american else random.choice(("kg", "kg", "t", "lb"))
    inches = american and random.random() < 0.85
    size_place = random.choice(("column", "column", "column", "description"))
    grade_place = random.choice(("column", "column", "column", "description", "section"))
    unit_place = random.choice(("heading", "heading", "heading", "column", "cell"))
    roles = ["part", "description", "wll"]
    roles += ["size"] * (size_place == "column") + ["grade"] * (grade_place == "column")
    roles += ["unit"] * (unit_place == "column") + ["breaking"] * (random.random() < 0.3)
    order = ("part", "description", "size", "grade", "legs", "wll", "unit", "breaking")
    columns = tuple(role for role in order if role in roles)
    return Manner(
        language=language,
        headings={role: random.choice(names) for role, names in HEADINGS[language].items()},
        heading_form=random.choice(HEADING_FORMS),
        unit=unit,
        unit_word=random.choice(UNITS[unit]),
        unit_place=unit_place,
        numbers=random.choice(tuple(NUMBERS)),
        inches=inches,
        size_form=random.choice(SIZES_INCH if inches else SIZES_MM),
        size_place=size_place,
        grade_form=random.choice(GRADES_US if american else GRADES_EUROPEAN),
        grade_place=grade_place,
        section_form=random.choice(SECTIONS[language]),
        columns=columns,
    )


def words_of(thing: Thing, language: str, *more: str) -> str:
    """Say in words what a thing is, `more` behind its name."""
    table = WORDS[language]
    kind = thing.kind
    if kind == "grab-hook":
        kind = "cradle" if thing.cradle == "yes" else "no cradle"
    text = table[kind][thing.word % len(table[kind])]
    if kind == "sling":
        text = text.format(legs=thing.legs)
    text = " ".join((text, *more))
    if kind == "sling" and thing.legs != 1 and thing.angle is not None:
        text += table["angle"][0].format(angle=thing.angle)
    return text
