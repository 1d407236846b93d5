"""The ratings in order of size and grade: what would the next size, or another grade, be rated?"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from operator import itemgetter
from typing import Any

import polars as pl

from tallyhook.matching.claims import CLAIM_COLUMNS, Item, PublishedRatings, Rating, may_claim

__all__ = ["Claimed", "RatingSeries", "table_unit"]

_TABLE_UNIT = {"lb": "lb", "short ton": "lb", "lbf": "lb"}

_ALIKE = 0.1
"""Share by which sizes of two schemes may differ that are taken for each other: American chain of
5.5 mm (7/32 in) is called 6 mm in some lists (chain.ratings), and rated 15 percent less."""

_METRIC = "european"
"""The scheme whose ratings come first for a row that names its size in millimetres."""

_key = itemgetter(*CLAIM_COLUMNS, "size_in")


def table_unit(unit: str) -> str:
    """The unit of the tables, ``lb`` or ``kg``, that a list in this unit goes by."""
    return _TABLE_UNIT.get(unit, "kg")


class Claimed(list[Rating]):
    """The ratings that an item may claim, those of the system it names sizes in first."""

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


class RatingSeries(PublishedRatings):
    """The published ratings with the series that each stands in: of its size, and of its grade."""

    def __init__(self, reference: pl.DataFrame) -> None:
        super().__init__(reference)
        self._cells: dict[tuple[Any, ...], list[Rating]] = defaultdict(list)
        # by kind and grade: the sizes of each scheme, from the smallest up
        self._sizes: dict[tuple[str, int], dict[str, dict[float, list[Rating]]]] = {}
        grades: dict[tuple[str, float], set[int]] = defaultdict(set)
        for rating in self.every():
            self._cells[rating.cell].append(rating)
            schemes = self._sizes.setdefault((rating.kind, rating.grade), {})
            schemes.setdefault(rating.scheme, {}).setdefault(rating.size_mm, []).append(rating)
            grades[rating.kind, rating.size_mm].add(rating.grade)
        for schemes in self._sizes.values():
            for scheme, sizes in schemes.items():
                schemes[scheme] = dict(sorted(sizes.items()))
        self._grades = {key: sorted(found) for key, found in grades.items()}
        self._own: dict[tuple[Any, ...], Claimed] = {}

    def in_unit(self, rating: Rating, unit: str) -> Rating:
        """The same table cell as it is printed in the list's own system of units, if it is."""
        wanted = table_unit(unit)
        return next((r for r in self._cells.get(rating.cell, []) if r.unit == wanted), rating)

    def prints_in(self, rating: Rating, unit: str) -> bool:
        """Whether a rating's own number is what a list in that unit would copy."""
        return unit in ("lb", "kg", "t") and rating.unit == table_unit(unit)

    def own(self, item: Item) -> Claimed:
        """The ratings that an item may claim, without those from memory."""
        key = _key(item)
        if key not in self._own:  # every cause asks for them
            found = [r for _, r in self.claimed(item) if r.known_by != "recalled"]
            metric = item["size_in"] is None
            self._own[key] = Claimed(sorted(found, key=lambda r: (r.scheme == _METRIC) != metric))
        return self._own[key]

    def remembered(self, item: Item) -> list[Rating]:
        """The ratings from memory that an item may claim: they can explain a number, no more."""
        found = self.remembered_at(item["kind"], item["grade"], item["size_mm"])
        return [rating for rating in found if may_claim(item, rating)]

    def other_grades(self, item: Item) -> list[list[Rating]]:
        """For each other grade of the same size: the ratings that the item could claim in it."""
        per_grade = (
            [
                rating
                for rating in self.at(item["kind"], grade, item["size_mm"])
                if may_claim(item, rating, any_scheme=True)
            ]
            for grade in self._grades.get((item["kind"], item["size_mm"]), [])
            if grade != item["grade"]
        )
        return [ratings for ratings in per_grade if ratings]

    def neighbours(self, item: Item, away: int) -> list[list[Rating]]:
        """The ratings of the sizes so many places up and down the same series, per scheme."""
        found: list[list[Rating]] = []
        for by_size in self._sizes.get((item["kind"], item["grade"]), {}).values():
            if item["size_mm"] not in by_size:
                continue
            sizes = list(by_size)
            here = sizes.index(item["size_mm"])
            found += [
                [rating for rating in by_size[sizes[there]] if may_claim(item, rating)]
                for there in (here - away, here + away)
                if 0 <= there < len(sizes)
            ]
        return [ratings for ratings in found if ratings]

    def lookalikes(self, item: Item) -> list[Rating]:
        """The ratings of sizes that are taken for the item's, of schemes that lack the item's.

        Those from memory are among them: they can explain a number, no more.
        """
        kind, grade, here = item["kind"], item["grade"], item["size_mm"]
        return [
            rating
            for scheme, sizes in self._sizes.get((kind, grade), {}).items()
            if here not in sizes
            for size in sizes
            if abs(size / here - 1) < _ALIKE
            for rating in (*sizes[size], *self.remembered_at(kind, grade, size))
            if rating.scheme == scheme and may_claim(item, rating)
        ]
