"""The digits that should have been typed, and the slips of the hand that leave others."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from decimal import Decimal
from functools import lru_cache
from typing import NamedTuple

from tallyhook.explaining.mistakes import SLIPS, Prediction
from tallyhook.explaining.mistakes.register import Edit
from tallyhook.explaining.mistakes.typing_slips import digits_of
from tallyhook.explaining.series import RatingSeries, table_unit
from tallyhook.matching.claims import Item, Rating
from tallyhook.matching.tolerances import POUNDS_BY_HAND
from tallyhook.messages import say
from tallyhook.units import factor

__all__ = ["Writing", "slips", "writings"]

_CONVERTED_ALL_THE_SAME = 0.3
"""Share of a conversion where the cell stands in the list's own unit, too."""

_KILOGRAM_BY_HAND = POUNDS_BY_HAND * factor("lb", "kg")
"""The kilogram of those who convert by hand, over the kilogram."""

_BY_TWO_POINT_TWO = 0.3
"""Share of a conversion by 2.2 beside one by the exact factor (common practice)."""


class Writing(NamedTuple):
    """Digits that a careful clerk would have typed for a rating, and their share.

    `figures` are the digits other than zero.
    """

    text: str
    share: float
    rating: Rating
    figures: str


def writings(item: Item, series: RatingSeries) -> list[Writing]:
    """The digits that a careful clerk would have typed for an item, with their share.

    As printed where a table prints the list's own unit, else converted to four or three figures,
    to a whole number, to fives or twenty-fives; by 2.2 pounds, too.
    """
    return [
        Writing(text=text, share=share, rating=rating, figures=_figures(text))
        for text, share, rating in _written(item, series)
    ]


def _written(item: Item, series: RatingSeries) -> Iterator[tuple[str, float, Rating]]:
    unit = item["wll_unit"]
    for rating in series.own(item):
        value = rating.kg * factor("kg", unit)
        if series.prints_in(rating, unit):
            yield _in_full(f"{value:.6g}"), 1.0, rating
            continue
        in_own_unit = series.in_unit(rating, unit) is not rating
        whole = _CONVERTED_ALL_THE_SAME if in_own_unit else 1.0
        made = dict(_rounded_forms(value))
        pounds = table_unit(unit) == "lb"
        if pounds != (rating.unit == "lb"):
            by_hand = value * (_KILOGRAM_BY_HAND if pounds else 1 / _KILOGRAM_BY_HAND)
            for text, share in _rounded_forms(by_hand):
                made[text] = made.get(text, 0.0) + _BY_TWO_POINT_TWO * share
        for text, share in made.items():
            yield text, whole * share, rating


def _rounded_forms(value: float) -> Iterator[tuple[str, float]]:
    """The ways in which people round a converted load, with their shares (common practice)."""
    made: dict[str, float] = {}
    ways = [(f"{value:.3g}", 0.42), (f"{value:.4g}", 0.26), (f"{value:.6g}", 0.17)]
    if value >= 100:
        steps = ((1, 0.08), (5, 0.04), (25, 0.03))
        ways += [(f"{round(value / step) * step}", share) for step, share in steps]
    for text, share in ways:
        plain = _in_full(text)
        made[plain] = made.get(plain, 0.0) + share
    yield from made.items()


def _in_full(text: str) -> str:
    """A number without an exponent."""
    return format(Decimal(text), "f") if "e" in text else text


def slips(item: Item, written: Iterable[Writing]) -> dict[str, list[Prediction]]:
    """The slips of the hand that leave the very number of an item, by cause.

    Of the hundreds of turns of a slip only those are worked out that leave the number in the row.

    Parameters
    ----------
    item : mapping
        With ``wll_value`` and ``wll_unit``.
    written : iterable of Writing
        What `writings` gives for it.
    """
    text = _in_full(f"{item['wll_value']:.12g}")
    digits, figures = digits_of(text), _figures(text)
    furthest = max(each.reach for each in SLIPS.values())
    found: dict[str, list[Prediction]] = {}
    for meant in written:
        places = _places_that_differ(meant.figures, figures)
        if places > furthest:
            continue
        for name, slip in SLIPS.items():
            if places > slip.reach:
                continue
            for changed, share in _turns(slip.edit, meant.text).get(digits, ()):
                made = _typed(item, changed, meant, share, slip.how)
                if made is not None:
                    found.setdefault(name, []).append(made)
    return found


def _typed(item: Item, text: str, meant: Writing, share: float, how: str) -> Prediction | None:
    try:
        kg = float(text) * factor(item["wll_unit"], "kg")
    except ValueError:
        return None
    clause = say(how, meant=meant.text)
    return Prediction(kg=kg, meant=meant.rating, share=share * meant.share, how=clause, exact=True)


def _places_that_differ(some: str, other: str) -> int:
    """Count the places between the first and the last of the `_figures` that differ.

    One digit lost, added or mistyped is one place at most, two that changed places are two: a
    quick way to see that no slip can have made the one of the other.
    """
    short, long = sorted((len(some), len(other)))
    before = after = 0
    while before < short and some[before] == other[before]:
        before += 1
    while after < short - before and some[-1 - after] == other[-1 - after]:
        after += 1
    return long - before - after


@lru_cache(maxsize=16384)
def _turns(edit: Edit, text: str) -> dict[str, list[tuple[str, float]]]:
    """What a slip makes of a number, with its share, by the digits that it leaves."""
    made: dict[str, list[tuple[str, float]]] = {}
    for changed, share in edit(text).items():
        if changed != text:
            made.setdefault(digits_of(changed), []).append((changed, share))
    return made


def _figures(text: str) -> str:
    """The digits other than zero."""
    return text.replace(".", "").replace("0", "")
