"""The ratings as ladders: quick answers to *what would the neighbouring size be rated?*"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping
from operator import itemgetter
from typing import Any, NamedTuple

import polars as pl

__all__ = ["CLAIM", "Ladders", "Rating"]

_SYSTEM = {"lb": "lb", "short ton": "lb", "lbf": "lb", "kg": "kg", "t": "kg"}

_ALIKE = 0.1
"""Share by which sizes of two schemes may differ that are taken for each other: American chain of
5.5 mm (7/32 in) is called 6 mm in some lists (chain.ratings), and rated 15 percent less."""

CLAIM = (
    "kind",
    "grade",
    "size_mm",
    "size_mm_to",
    "size_in",
    "scheme",
    "cradle",
    "legs",
    "legs_range",
    "angle_to_deg",
)
"""What decides which ratings an item may claim."""

_claim = itemgetter(*CLAIM)


class Rating(NamedTuple):
    """One published number: load in [kg], and as printed."""

    kind: str
    scheme: str
    grade: int
    size_mm: float
    cradle: str | None
    legs: int | None
    angle_from_deg: float | None
    angle_to_deg: float | None
    value: float
    unit: str
    kg: float
    source: str
    locator: str
    deduction: str | None
    note: str | None

    @property
    def family(self) -> str:
        """Its scheme as the match counts schemes: the tie-down law prints the American ratings."""
        return "us-chain" if self.scheme == "us-tiedown" else self.scheme

    @property
    def cell(self) -> tuple[Any, ...]:
        """The table cell it stands in: its pounds and its kilograms are one rating."""
        return (
            self.kind,
            self.scheme,
            self.grade,
            self.size_mm,
            self.cradle,
            self.deduction,
            self.legs,
            self.angle_to_deg,
        )


class Claimed(list[Rating]):
    """The ratings that an item may claim."""

    def __init__(self, ratings: Iterable[Rating]) -> None:
        super().__init__(ratings)
        self._beside: dict[tuple[str, str], Rating] = {}

    def beside(self, rating: Rating) -> Rating:
        """The one to show beside another rating: of the same scheme and unit if there is one."""
        scheme, unit = family = rating.scheme, rating.unit
        if family not in self._beside:
            self._beside[family] = max(
                self, key=lambda r: (r.scheme == scheme, r.unit == unit, -r.size_mm)
            )
        return self._beside[family]


class Ladders:
    """The ratings, indexed by kind, grade and size; those from memory stand apart."""

    def __init__(self, reference: pl.DataFrame) -> None:
        self._at: dict[tuple[str, int, float], list[Rating]] = defaultdict(list)
        self._cells: dict[tuple[Any, ...], list[Rating]] = defaultdict(list)
        # by kind and grade: the ladder of each scheme, from the smallest size up
        self._rungs: dict[tuple[str, int], dict[str, dict[float, list[Rating]]]] = {}
        self._grades: dict[tuple[str, float], list[int]] = {}
        grades: dict[tuple[str, float], set[int]] = defaultdict(set)
        self._remembered: dict[tuple[str, int, float], list[Rating]] = defaultdict(list)
        self._own: dict[tuple[Any, ...], Claimed] = {}
        numbers = reference.rename({"value_kg": "kg"}).select(*Rating._fields, "known_by")
        for *fields, known_by in numbers.iter_rows():
            rating = Rating(*fields)
            if known_by == "recalled":
                self._remembered[rating.kind, rating.grade, rating.size_mm].append(rating)
                continue
            self._at[rating.kind, rating.grade, rating.size_mm].append(rating)
            self._cells[rating.cell].append(rating)
            ladders = self._rungs.setdefault((rating.kind, rating.grade), {})
            ladders.setdefault(rating.scheme, {}).setdefault(rating.size_mm, []).append(rating)
            grades[rating.kind, rating.size_mm].add(rating.grade)
        for ladders in self._rungs.values():
            for scheme, rungs in ladders.items():
                ladders[scheme] = dict(sorted(rungs.items()))
        self._grades = {k: sorted(v) for k, v in grades.items()}

    def at(self, kind: str, grade: int, size_mm: float) -> list[Rating]:
        """All ratings of a kind, grade and size, whatever the scheme, cradle, legs or angle."""
        return self._at.get((kind, grade, size_mm), [])

    @staticmethod
    def system(unit: str) -> str:
        """The unit of the tables, ``lb`` or ``kg``, that a list in this unit goes by."""
        return _SYSTEM.get(unit, "kg")

    def in_unit(self, rating: Rating, unit: str) -> Rating:
        """The same table cell as it is printed in the list's own system of units, if it is."""
        wanted = self.system(unit)
        cell = self._cells.get(rating.cell, [])
        return next((r for r in cell if r.unit == wanted), rating)

    def prints_in(self, rating: Rating, unit: str) -> bool:
        """Whether a rating's own number is what a list in that unit would copy."""
        return unit in ("lb", "kg", "t") and rating.unit == _SYSTEM[unit]

    def own(self, item: Mapping[str, Any]) -> Claimed:
        """The ratings that an item may claim, as the match found them."""
        claim = _claim(item)
        if claim not in self._own:  # every cause asks for them
            self._own[claim] = Claimed(self._claimed(item))
        return self._own[claim]

    def _claimed(self, item: Mapping[str, Any]) -> list[Rating]:
        sizes = [item["size_mm"]] + ([item["size_mm_to"]] if item["size_mm_to"] else [])
        found = [r for s in sizes for r in self.at(item["kind"], item["grade"], s)]
        # where several schemes would do, the one that names sizes as the row does comes first
        metric = item.get("size_in") is None
        return sorted(_like(item, found), key=lambda r: (r.scheme == "european") != metric)

    def remembered(self, item: Mapping[str, Any]) -> list[Rating]:
        """The ratings from memory that an item may claim: they can explain a number, no more."""
        found = self._remembered.get((item["kind"], item["grade"], item["size_mm"]), [])
        return _like(item, found)

    def other_grades(self, item: Mapping[str, Any]) -> list[list[Rating]]:
        """For each other grade of the same size: its ratings of the same make-up."""
        grades = self._grades.get((item["kind"], item["size_mm"]), [])
        per_grade = (
            _like(item, self.at(item["kind"], g, item["size_mm"]), any_scheme=True)
            for g in grades
            if g != item["grade"]
        )
        return [ratings for ratings in per_grade if ratings]

    def neighbours(self, item: Mapping[str, Any], away: int) -> list[list[Rating]]:
        """The ratings of the sizes so many rungs up and down the same ladder, per scheme."""
        found: list[list[Rating]] = []
        for rungs in self._rungs.get((item["kind"], item["grade"]), {}).values():
            if item["size_mm"] not in rungs:
                continue
            sizes = list(rungs)
            here = sizes.index(item["size_mm"])
            found += [
                _like(item, rungs[sizes[there]])
                for there in (here - away, here + away)
                if 0 <= there < len(sizes)
            ]
        return [ratings for ratings in found if ratings]

    def lookalikes(self, item: Mapping[str, Any]) -> list[Rating]:
        """The ratings of sizes that are taken for the item's, of schemes that lack the item's.

        Those from memory are among them: they can explain a number, no more.
        """
        kind, grade, here = item["kind"], item["grade"], item["size_mm"]
        found = [
            rating
            for scheme, rungs in self._rungs.get((kind, grade), {}).items()
            if here not in rungs
            for size in rungs
            if abs(size / here - 1) < _ALIKE
            for rating in (*rungs[size], *self._remembered.get((kind, grade, size), ()))
            if rating.scheme == scheme
        ]
        return _like(item, found)


def _like(
    item: Mapping[str, Any], ratings: Iterable[Rating], *, any_scheme: bool = False
) -> list[Rating]:
    """The ratings of an item's make-up: of its scheme, cradle, legs and angle."""
    scheme = None if any_scheme else item["scheme"]
    cradle, angle = item["cradle"], item["angle_to_deg"]
    legs = item["legs"] or (3 if item.get("legs_range") else None)
    return [
        r
        for r in ratings
        if (not scheme or r.scheme == scheme)
        and (not cradle or r.kind != "grab-hook" or r.cradle == cradle)
        and (
            r.kind != "sling"
            or (
                r.legs == legs
                and (
                    legs == 1
                    or angle is None
                    or (r.angle_from_deg or 0.0) < angle <= (r.angle_to_deg or 0.0)
                )
            )
        )
    ]
