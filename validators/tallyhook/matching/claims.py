"""Which published ratings an item may claim: worked out here, for the match and for the causes."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping
from typing import Any, NamedTuple

import polars as pl

__all__ = [
    "CLAIM_COLUMNS",
    "RECALLED",
    "Item",
    "PublishedRatings",
    "Rating",
    "angles_read",
    "holds_in_every_reading",
    "may_claim",
    "pairs",
]

Item = Mapping[str, Any]

CLAIM_COLUMNS = (
    "kind",
    "grade",
    "size_mm",
    "size_mm_to",
    "scheme",
    "cradle",
    "legs",
    "legs_range",
    "angle_to_deg",
    "angle_if_vertical_deg",
    "angle_if_horizontal_deg",
)
"""What decides which ratings an item may claim."""

RECALLED = "recalled"


class Rating(NamedTuple):
    """One published number: load in [kg], and as printed."""

    rating_id: str | None
    kind: str
    scheme: str
    counts_as: str
    grade: int
    size_mm: float
    cradle: str | None
    legs: int | None
    angle_from_deg: float | None
    angle_to_deg: float | None
    value: float
    unit: str
    kg: float
    known_by: str
    source: str
    locator: str
    deduction: str | None
    deduction_percent: float | None
    shown: bool
    note: str | None

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


def angles_read(item: Item) -> tuple[float, ...]:
    """Give the angles to the vertical that an item may stand at [deg], the widest first.

    None where no angle is said; two where it does not say from which line its angle counts.
    """
    if item["angle_to_deg"] is not None:
        return (item["angle_to_deg"],)
    if item["angle_if_vertical_deg"] is None:
        return ()
    either = (item["angle_if_vertical_deg"], item["angle_if_horizontal_deg"])
    return tuple(sorted((angle for angle in either if angle is not None), reverse=True))


def may_claim(item: Item, rating: Rating, *, any_scheme: bool = False) -> bool:
    """Whether an item may claim a rating of its kind, grade and size.

    A row that names no scheme, cradle or angle may claim any. Three and four legs are rated
    alike, and three are counted (EN 818-4; common practice in America). One leg has no angle.
    """
    if item["scheme"] and not any_scheme and rating.scheme != item["scheme"]:
        return False
    if rating.kind == "grab-hook":
        return not item["cradle"] or rating.cradle == item["cradle"]
    if rating.kind != "sling":
        return True
    if rating.legs is None or rating.legs != (item["legs"] or (3 if item["legs_range"] else None)):
        return False
    angles = () if item["legs"] == 1 else angles_read(item)
    return not angles or any(_within(angle, rating) for angle in angles)


def holds_in_every_reading(item: Item, rating: Rating) -> bool:
    """Whether a claimed rating holds however the angle of the item is read."""
    angles = angles_read(item) if item["kind"] == "sling" and item["legs"] != 1 else ()
    return len(angles) < 2 or _within(angles[0], rating)


def _within(angle_deg: float, rating: Rating) -> bool:
    return (rating.angle_from_deg or 0.0) < angle_deg <= (rating.angle_to_deg or 0.0)


class PublishedRatings:
    """The ratings by kind, grade and size, in the order of the reference table."""

    def __init__(self, reference: pl.DataFrame) -> None:
        self._at: dict[tuple[str, int, float], list[tuple[int, Rating]]] = defaultdict(list)
        self._every: list[Rating] = []
        columns = reference.rename({"value_kg": "kg"}).select(Rating._fields)
        for place, fields in enumerate(columns.iter_rows()):
            rating = Rating(*fields)
            self._at[rating.kind, rating.grade, rating.size_mm].append((place, rating))
            self._every.append(rating)

    def placed(self, kind: str, grade: int, size_mm: float) -> list[tuple[int, Rating]]:
        """All ratings of a kind, grade and size with their line of the reference table."""
        return self._at.get((kind, grade, size_mm), [])

    def at(self, kind: str, grade: int, size_mm: float) -> list[Rating]:
        """The same without those from memory, whatever the scheme, cradle, legs or angle."""
        return [r for _, r in self.placed(kind, grade, size_mm) if r.known_by != RECALLED]

    def remembered_at(self, kind: str, grade: int, size_mm: float) -> list[Rating]:
        """Those that are known from memory only: they can explain a number, and never pass one."""
        return [r for _, r in self.placed(kind, grade, size_mm) if r.known_by == RECALLED]

    def every(self) -> Iterable[Rating]:
        """All ratings that are not from memory."""
        return (r for r in self._every if r.known_by != RECALLED)

    def claimed(self, item: Item) -> list[tuple[int, Rating]]:
        """The ratings that an item may claim, those from memory too, with their lines.

        A part for two sizes ("7/8 mm") may carry the rating of either.
        """
        sizes = [item["size_mm"], *([item["size_mm_to"]] if item["size_mm_to"] else [])]
        return [
            (place, rating)
            for size in sizes
            for place, rating in self.placed(item["kind"], item["grade"], size)
            if may_claim(item, rating)
        ]


def pairs(cases: pl.DataFrame, reference: pl.DataFrame) -> pl.DataFrame:
    """Pair each case with the ratings that it may claim.

    Parameters
    ----------
    cases : frame
        With `CLAIM_COLUMNS`; `tallyhook.matching.match.CASE_COLUMNS` and ``case``.
    reference : frame
        Columns of `tallyhook.packages.reference.REFERENCE_SCHEMA`.

    Returns
    -------
    frame
        A row a pair: the case's columns, the rating's with ``ref_`` before the names that both
        have, and ``strict``, whether it holds in every reading of the item's angle.
    """
    published = PublishedRatings(reference)
    claims = cases.select(CLAIM_COLUMNS).unique(maintain_order=True)
    numbers, places, strict = [], [], []
    for number, fields in enumerate(claims.iter_rows()):
        item = dict(zip(CLAIM_COLUMNS, fields, strict=True))
        for place, rating in published.claimed(item):
            numbers.append(number)
            places.append(place)
            strict.append(holds_in_every_reading(item, rating))
    found = pl.DataFrame(
        {"_claim": numbers, "_place": places, "strict": strict},
        schema={"_claim": pl.UInt32, "_place": pl.UInt32, "strict": pl.Boolean},
    )
    both = [c for c in reference.columns if c in cases.columns]
    ratings = reference.rename({c: f"ref_{c}" for c in both}).with_row_index("_place")
    numbered = claims.with_row_index("_claim").join(found, on="_claim", maintain_order="left")
    return (
        cases.join(
            numbered,
            on=list(CLAIM_COLUMNS),
            how="inner",
            nulls_equal=True,
            maintain_order="left_right",
        )
        .join(ratings, on="_place", how="left", maintain_order="left")
        .drop("_claim", "_place")
    )
