"""Slips of the hand that types a number, and roundings."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import ROUND_CEILING, ROUND_FLOOR, Decimal

from tallyhook.explaining.facts import TradeFacts
from tallyhook.explaining.mistakes.register import Prediction, mistake, slip
from tallyhook.explaining.series import RatingSeries
from tallyhook.matching.claims import Item
from tallyhook.messages import say, to_say
from tallyhook.units import factor
from tallyhook.wording import number_text

__all__ = ["digits_of"]

_DIGITS = "0123456789"
_FURTHEST_ROUNDED = 0.2
"""Share of a rating beyond which a round number is no rounding of it (judgement)."""


def digits_of(text: str) -> str:
    """The digits that stay when a decimal point moves: that mistake has a name of its own."""
    return text.replace(".", "").strip("0")


@slip("decimal-point-shifted", reach=0, how=to_say("the decimal point of {meant} is elsewhere"))
def decimal_point_shifted(text: str) -> dict[str, float]:
    places = {1: 0.34, -1: 0.34, 2: 0.04, -2: 0.04, 3: 0.1, -3: 0.1}
    return {format(Decimal(text).scaleb(by), "f"): share for by, share in places.items()}


@slip("digits-swapped", reach=2, how=to_say("two digits of {meant} changed places"))
def digits_swapped(text: str) -> dict[str, float]:
    at = [
        i
        for i in range(len(text) - 1)
        if text[i].isdigit() and text[i + 1].isdigit() and text[i] != text[i + 1]
    ]
    across = [i for i in range(len(text) - 2) if text[i + 1] == "." and text[i] != text[i + 2]]
    made = [text[:i] + text[i + 1] + text[i] + text[i + 2 :] for i in at]
    made += [text[:i] + text[i + 2] + "." + text[i] + text[i + 3 :] for i in across]
    return {t: 0.9 / len(made) for t in made if digits_of(t) != digits_of(text)}


@slip("digit-mistyped", reach=1, how=to_say("one digit of {meant} is another"))
def digit_mistyped(text: str) -> dict[str, float]:
    at = [i for i, c in enumerate(text) if c.isdigit()]
    share = 0.9 / (9 * len(at))
    return {text[:i] + d + text[i + 1 :]: share for i in at for d in _DIGITS if d != text[i]}


@slip("digit-lost-or-added", reach=1, how=to_say("{meant} has a digit too few or too many"))
def digit_lost_or_added(text: str) -> dict[str, float]:
    at = [i for i, c in enumerate(text) if c.isdigit()]
    lose, double, add = 0.45 / len(at), 0.25 / len(at), 0.2 / (10 * len(at))
    made: dict[str, float] = {}
    for i in at:
        before, after = text[:i], text[i:]
        lost, doubled = before + after[1:], before + after[0] + after
        made[lost] = made.get(lost, 0) + lose
        made[doubled] = made.get(doubled, 0) + double
        for d in _DIGITS:
            made.setdefault(before + d + after, add)
    same = ("", digits_of(text))
    return {t: s for t, s in made.items() if digits_of(t) not in same}


@mistake("rounded")
def rounded(item: Item, series: RatingSeries, facts: TradeFacts) -> Iterator[Prediction]:
    for rating in series.own(item):
        value = rating.kg * factor("kg", item["wll_unit"])
        whole = Decimal(repr(value))
        made: dict[float, float] = {}
        for figures, share in ((1, 0.3), (2, 0.4)):
            last = Decimal(1).scaleb(whole.adjusted() - figures + 1)
            for way in (ROUND_FLOOR, ROUND_CEILING):
                made.setdefault(float(whole.quantize(last, way)), share / 2)
        how = say("{rating} was rounded", rating=number_text(float(f"{value:.4g}")))
        for rounded_value, share in made.items():
            if rounded_value and abs(rounded_value / value - 1) < _FURTHEST_ROUNDED:
                kg = rounded_value * factor(item["wll_unit"], "kg")
                yield Prediction(kg=kg, meant=rating, share=share, how=how, exact=True)
