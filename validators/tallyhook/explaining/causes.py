"""The plausible mistakes: each predicts the number that it would leave in the list.

One small function a cause, named as in ``datasets/vocabulary/data/causes.csv``. It takes what
an item is (`MAKE_UP`) and the ladders of ratings and yields `Prediction` objects: a load, the
rating that should have stood there, and the share of the cause's occurrences that takes this
turn. Shares of one cause need not reach one; what they lack is the chance that the mistake leaves
another number. A slip of the hand is a function of the digits that should have been typed: of its
hundreds of turns only those are worked out that leave the number in the row (`slips`).
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass
from decimal import ROUND_CEILING, ROUND_FLOOR, Decimal
from functools import lru_cache
from typing import Any, NamedTuple

from tallyhook.explaining.ladders import CLAIM, Ladders, Rating
from tallyhook.units import factor
from tallyhook.wording import number_text, size_text

__all__ = [
    "CAUSES",
    "MAKE_UP",
    "SLIPS",
    "Prediction",
    "Writing",
    "predictions",
    "slips",
    "writings",
]

MAKE_UP = (*CLAIM, "wll_unit")
"""What the ratings of an item and the mistakes about them follow from; the load is not in it."""

Item = Mapping[str, Any]
_Cause = Callable[[Item, Ladders], Iterator["Prediction"]]


class Prediction(NamedTuple):  # made by the ten thousand: half as dear as a frozen dataclass
    """A load that a mistake would leave [kg], and the rating it should have been.

    `exact` means that the mistake acts on the written digits: the number matches exactly or not
    at all. `how` is a clause for the reader, such as *the rating of 13 mm*.
    """

    kg: float
    meant: Rating
    share: float
    how: str = ""
    exact: bool = False


class Writing(NamedTuple):
    """Digits that a careful clerk would have typed for a rating, and their share.

    `figures` are the digits other than zero.
    """

    text: str
    share: float
    rating: Rating
    figures: str


_Edit = Callable[[str], dict[str, float]]


@dataclass(frozen=True, slots=True, kw_only=True)
class Slip:
    """A slip of the hand: what it makes of digits, and how many places of them it can touch.

    `reach` counts digits other than zero, as `_places_apart` does.
    """

    edit: _Edit
    reach: int
    how: str


CAUSES: dict[str, _Cause] = {}
SLIPS: dict[str, Slip] = {}


def _cause(name: str) -> Callable[[_Cause], _Cause]:
    def add(function: _Cause) -> _Cause:
        CAUSES[name] = function
        return function

    return add


def _slip(name: str, *, reach: int, how: str) -> Callable[[_Edit], _Edit]:
    def add(function: _Edit) -> _Edit:
        SLIPS[name] = Slip(edit=function, reach=reach, how=how)
        return function

    return add


def predictions(item: Item, ladders: Ladders) -> dict[str, list[Prediction]]:
    """All that the causes but the slips of the hand predict for an item, by cause."""
    return {name: list(function(item, ladders)) for name, function in CAUSES.items()}


def _scaled(item: Item, ladders: Ladders, *turns: tuple[float, float, str]) -> Iterator[Prediction]:
    for rating in ladders.own(item):
        for times, share, how in turns:
            yield Prediction(kg=rating.kg * times, meant=rating, share=share, how=how)


def _scaled_kilograms(
    item: Item, ladders: Ladders, *turns: tuple[float, float, str]
) -> Iterator[Prediction]:
    """The same from a table's kilograms that are only remembered: they may explain, not pass."""
    meant = ladders.own(item)
    for rating in ladders.remembered(item):
        if rating.unit == "kg" and meant:
            own = meant.beside(rating)
            for times, share, how in turns:
                yield Prediction(kg=rating.kg * times, meant=own, share=0.5 * share, how=how)


# --- units -----------------------------------------------------------------------------------

_LB, _TON, _G = factor("lb", "kg"), factor("short ton", "kg"), factor("kg", "N")
_POUNDS = ("lb", "lbf", "short ton")
_AND_CONVERTED = "the rating in {} was read as {} and converted"


@_cause("pounds-as-kilograms")
def _pounds_as_kilograms(item: Item, ladders: Ladders) -> Iterator[Prediction]:
    if item["wll_unit"] in ("kg", "t"):
        yield from _scaled(item, ladders, (1 / _LB, 1.0, "the number is the rating in pounds"))
    elif item["wll_unit"] in _POUNDS:
        how = _AND_CONVERTED.format("pounds", "kilograms")
        yield from _scaled(item, ladders, (1 / _LB, 0.15, how))


@_cause("kilograms-as-pounds")
def _kilograms_as_pounds(item: Item, ladders: Ladders) -> Iterator[Prediction]:
    if item["wll_unit"] in _POUNDS:
        turn = (_LB, 1.0, "the number is the rating in kilograms")
        yield from _scaled(item, ladders, turn)
        yield from _scaled_kilograms(item, ladders, turn)
    elif item["wll_unit"] in ("kg", "t"):
        how = _AND_CONVERTED.format("kilograms", "pounds")
        yield from _scaled(item, ladders, (_LB, 0.15, how))


@_cause("short-tons-as-tonnes")
def _short_tons_as_tonnes(item: Item, ladders: Ladders) -> Iterator[Prediction]:
    if item["wll_unit"] in ("t", "kg"):
        yield from _scaled(
            item, ladders, (1000 / _TON, 1.0, "the number is the rating in short tons")
        )


@_cause("tonnes-as-short-tons")
def _tonnes_as_short_tons(item: Item, ladders: Ladders) -> Iterator[Prediction]:
    if item["wll_unit"] in ("short ton", "lb"):
        turn = (_TON / 1000, 1.0, "the number is the rating in tonnes")
        yield from _scaled(item, ladders, turn)
        yield from _scaled_kilograms(item, ladders, turn)


@_cause("force-unit-confused")
def _force_unit_confused(item: Item, ladders: Ladders) -> Iterator[Prediction]:
    kilonewtons = "the number is the rating as a force in kilonewtons"
    turns = {
        "t": ((_G, 0.8, kilonewtons),),
        "kg": ((_G / 1000, 0.3, kilonewtons), (_G, 0.4, "the number is the rating in newtons")),
        "lb": ((_G / 1000 * _LB, 0.3, kilonewtons),),
        "short ton": ((_G / 1000 * _TON, 0.6, kilonewtons),),
        "kN": (
            (1 / _G, 0.6, "the number is the rating in tonnes"),
            (1000 / _G, 0.2, "the number is in kilograms"),
        ),
        "N": ((1 / _G, 0.6, "the number is the rating in kilograms"),),
        "daN": ((10 / _G, 0.6, "the number is the rating in kilograms"),),
    }
    yield from _scaled(item, ladders, *turns.get(item["wll_unit"], ()))
    yield from _scaled_kilograms(item, ladders, *turns.get(item["wll_unit"], ()))


# --- the wrong quantity ----------------------------------------------------------------------

# Breaking and proof force over the rating: chain.grades and the published force tables. European
# tables print forces from the diameter, a few percent above the factor times the rounded rating.
_DESIGN = {43: 3.0}
_PROOF = {"us-chain": 2.0, "us-tiedown": 2.0, "european": 2.5, "old-grade-6": 2.0}
_EUROPEAN_STRESS = {
    40: (200.0, 400.0),
    60: (315.0, 630.0),
    80: (500.0, 800.0),
    100: (625.0, 1000.0),
}


def _forces(item: Item, ladders: Ladders, which: int) -> Iterator[Prediction]:
    from tallyhook.formulas import chain_force

    words = ("the number is the proof force", "the number is the breaking force")[which]
    for rating in ladders.own(item):
        legs = rating.kind == "sling" and (rating.legs or 1) > 1
        bare = 0.8 if rating.kind == "grab-hook" and rating.cradle == "no" else 1.0
        times = (_PROOF.get(rating.scheme, 2.0), _DESIGN.get(rating.grade, 4.0))[which]
        if which == 0 and rating.grade == 43:
            times = 1.5
        whole = 0.3 if legs else 0.6
        yield Prediction(kg=rating.kg * times / bare, meant=rating, share=whole, how=words)
        if bare != 1.0:
            yield Prediction(kg=rating.kg * times, meant=rating, share=0.3, how=words)
        if rating.scheme in ("european", "old-grade-6") and rating.grade in _EUROPEAN_STRESS:
            force = chain_force(rating.size_mm, _EUROPEAN_STRESS[rating.grade][which])
            force *= factor("kN", "kg") * (_leg_factor(rating) or 1.0)
            yield Prediction(kg=force, meant=rating, share=0.3 if legs else 0.5, how=words)
            tenth = f"{words} in kilonewtons, over ten"  # 9.80665 would make it tonnes
            yield Prediction(kg=force * _G / 10, meant=rating, share=0.06, how=tenth)
            if bare != 1.0:  # the deduction was taken from the force, too
                yield Prediction(kg=force * bare, meant=rating, share=0.2, how=words)


@_cause("breaking-force-as-wll")
def _breaking_force_as_wll(item: Item, ladders: Ladders) -> Iterator[Prediction]:
    yield from _forces(item, ladders, 1)


@_cause("proof-force-as-wll")
def _proof_force_as_wll(item: Item, ladders: Ladders) -> Iterator[Prediction]:
    yield from _forces(item, ladders, 0)


# Leg factors by the number of legs that carry, and the angle to the vertical [deg] (EN 818-4);
# in America the legs that carry times the cosine of it (ASME B30.9): use.leg-factors.
_EUROPEAN_LEGS = {(2, 45.0): 1.4, (2, 60.0): 1.0, (3, 45.0): 2.1, (3, 60.0): 1.5}


def _leg_factor(sling: Rating) -> float | None:
    """Rating of a sling over that of one leg; None where the documents do not give it."""
    legs = min(sling.legs or 0, 3)
    if sling.kind != "sling" or legs < 2:
        return 1.0 if legs == 1 else None
    return _factor_of_legs(sling.scheme, legs, float(sling.angle_to_deg or 0))


def _factor_of_legs(scheme: str, legs: int, angle_deg: float) -> float | None:
    if scheme == "european":
        return _EUROPEAN_LEGS.get((legs, angle_deg))
    return legs * math.cos(math.radians(angle_deg))


def _as_legs(meant: Iterable[Rating], ladder: Iterable[list[Rating]]) -> list[list[Rating]]:
    """What slings like the item's would be rated if made of other chain, rung by rung."""
    slings = [(sling, times) for sling in meant if (times := _leg_factor(sling))]
    rungs = (
        [
            sling._replace(grade=chain.grade, size_mm=chain.size_mm, kg=chain.kg * times)
            for chain in chains
            for sling, times in slings
            if sling.unit == chain.unit and sling.scheme == chain.scheme
        ]
        for chains in ladder
    )
    return [ratings for ratings in rungs if ratings]


_AS_CHAIN = {"kind": "chain", "legs": None, "legs_range": None, "angle_to_deg": None}


# --- the wrong row or column of the table ----------------------------------------------------


@_cause("other-grade")
def _other_grade(item: Item, ladders: Ladders) -> Iterator[Prediction]:
    meant = ladders.own(item)
    grades = ladders.other_grades(item)
    if item["kind"] == "sling":  # few documents print slings of every grade
        grades += _as_legs(meant, ladders.other_grades({**item, **_AS_CHAIN}))
    for ratings in grades:
        for rating in ratings:
            own = meant.beside(rating)
            # the neighbouring column of the same document is the one that eyes slip to
            family = 1.0 if own.scheme == rating.scheme else 0.3
            share = family * (0.6 if rating.grade in _NEXT_GRADE.get(own.grade, ()) else 0.2)
            yield Prediction(
                kg=rating.kg, meant=own, share=share, how=f"the rating of grade {rating.grade}"
            )


_NEXT_GRADE = {
    30: (43,),
    43: (30, 70),
    70: (43, 80),
    80: (70, 100),
    100: (80,),
    40: (80,),
    60: (80, 40),
}


@_cause("neighbouring-size")
def _neighbouring_size(item: Item, ladders: Ladders) -> Iterator[Prediction]:
    meant = ladders.own(item)
    for away, share in ((1, 0.42), (2, 0.06)):
        ladder = ladders.neighbours(item, away)
        if item["kind"] == "sling":
            ladder += _as_legs(meant, ladders.neighbours({**item, **_AS_CHAIN}, away))
        for ratings in ladder:
            how = f"the rating of {size_text(ratings[0].size_mm, None)}"
            for rating in ratings:
                own = meant.beside(rating)
                yield Prediction(kg=rating.kg, meant=own, share=share, how=how)
    for rating in ladders.lookalikes(item) if meant else ():
        how = f"the rating of {size_text(rating.size_mm, None)}"
        yield Prediction(kg=rating.kg, meant=meant.beside(rating), share=0.3, how=how)


@_cause("other-scheme")
def _other_scheme(item: Item, ladders: Ladders) -> Iterator[Prediction]:
    if not item["scheme"]:
        return
    meant = ladders.own(item)
    for rating in ladders.own({**item, "scheme": None}):
        if rating.scheme != item["scheme"]:
            how = f"the rating of the scheme {rating.scheme}"
            own = meant.beside(rating)
            yield Prediction(kg=rating.kg, meant=own, share=0.7, how=how)


# --- legs, hitches, deductions ---------------------------------------------------------------


@_cause("multi-leg-rating-as-single")
def _multi_leg_rating_as_single(item: Item, ladders: Ladders) -> Iterator[Prediction]:
    if item["kind"] == "sling" and item["legs"] != 1:
        return
    if item["kind"] == "grab-hook" and item["cradle"] == "no":
        return
    meant = ladders.own(item)
    for rating in ladders.at("sling", item["grade"], item["size_mm"]):
        legs = rating.legs or 1
        if legs > 1 and not (item["scheme"] and rating.scheme != item["scheme"]):
            share = 0.3 if legs == 2 else 0.15  # three and four legs are rated alike
            how = _OF_LEGS.format(legs=legs, angle=number_text(rating.angle_to_deg or 0))
            own = meant.beside(rating)
            yield Prediction(kg=rating.kg, meant=own, share=share, how=how)
    # or worked out with the leg factor, for two legs and for three
    for rating in meant:
        european = rating.scheme == "european"
        for angle_deg, share in ((45.0, 0.12),) if european else ((30.0, 0.12), (45.0, 0.04)):
            for legs in (2, 3):
                times = _factor_of_legs(rating.scheme, legs, angle_deg) or 1.0
                how = _OF_LEGS.format(legs=legs, angle=f"{angle_deg:g}")
                yield Prediction(kg=rating.kg * times, meant=rating, share=share, how=how)


_OF_LEGS = "the rating of {legs} legs to {angle} degrees to the vertical"


@_cause("single-leg-rating-as-multi-leg")
def _single_leg_rating_as_multi_leg(item: Item, ladders: Ladders) -> Iterator[Prediction]:
    if item["kind"] != "sling" or (item["legs"] or 1) < 2:
        return
    meant = ladders.own(item)
    for rating in ladders.at("chain", item["grade"], item["size_mm"]):
        how = "the rating of one leg"
        own = meant.beside(rating)
        yield Prediction(kg=rating.kg, meant=own, share=0.9, how=how)


@_cause("every-leg-counted-in-full")
def _every_leg_counted_in_full(item: Item, ladders: Ladders) -> Iterator[Prediction]:
    if item["kind"] != "sling" or (item["legs"] or (3 if item["legs_range"] else 1)) < 2:
        return
    counts = (3, 4) if item["legs_range"] else (item["legs"],)
    meant = ladders.own(item)
    single = {**item, "legs": 1, "legs_range": None}
    for rating in ladders.own({**single, **_AS_CHAIN}) + ladders.own(single):
        for legs in counts:
            how = f"the number is {legs} times the rating of one leg"
            own = meant.beside(rating)
            yield Prediction(kg=rating.kg * legs, meant=own, share=0.6, how=how)
            if legs != 4:
                continue
            # four are counted in place of three, at the angles of the tables
            for angle_deg in sorted({r.angle_to_deg for r in meant if r.angle_to_deg}):
                times = _factor_of_legs(rating.scheme, 3, angle_deg)
                if times:
                    how = f"four legs counted for three at {angle_deg:g} degrees to the vertical"
                    kg = rating.kg * times * 4 / 3
                    yield Prediction(kg=kg, meant=own, share=0.2, how=how)


@_cause("other-angle")
def _other_angle(item: Item, ladders: Ladders) -> Iterator[Prediction]:
    if item["kind"] != "sling" or (item["legs"] or 1) < 2 or item["angle_to_deg"] is None:
        return
    meant = ladders.own(item)
    for rating in ladders.own({**item, "angle_to_deg": None}):
        if rating not in meant:
            how = f"the rating at {number_text(rating.angle_to_deg or 0)} degrees to the vertical"
            own = meant.beside(rating)
            yield Prediction(kg=rating.kg, meant=own, share=0.4, how=how)


@_cause("shortening-not-deducted")
def _shortening_not_deducted(item: Item, ladders: Ladders) -> Iterator[Prediction]:
    if item["kind"] != "grab-hook" or item["cradle"] != "no":
        return
    meant = ladders.own(item)
    for rating in ladders.own({**item, "cradle": "yes"}):
        how = "the full rating, which only a grab hook with cradle keeps"
        own = meant.beside(rating)
        yield Prediction(kg=rating.kg, meant=own, share=0.9, how=how)


@_cause("shortening-deducted-twice")
def _shortening_deducted_twice(item: Item, ladders: Ladders) -> Iterator[Prediction]:
    if item["kind"] != "grab-hook":
        return
    how = "the deduction was taken twice"
    for rating in ladders.own(item):
        times, share = (0.8, 0.9) if rating.cradle == "no" else (0.64, 0.3)
        yield Prediction(kg=rating.kg * times, meant=rating, share=share, how=how)


@_cause("shortening-deducted-without-need")
def _shortening_deducted_without_need(item: Item, ladders: Ladders) -> Iterator[Prediction]:
    if item["kind"] == "grab-hook" and item["cradle"] == "yes":
        turn = (0.8, 0.9, "a deduction was taken that is not due")
        yield from _scaled(item, ladders, turn)


_SLING_GRADES = (40, 60, 80, 100)


@_cause("hitch-factor-included")
def _hitch_factor_included(item: Item, ladders: Ladders) -> Iterator[Prediction]:
    if item["kind"] == "grab-hook":
        return
    shares = (0.5, 0.35, 0.02) if item["kind"] in ("chain", "sling") else (0.25, 0.15, 0.01)
    if item["kind"] == "chain":  # bare chain makes no basket by itself, and lashings no hitch
        shares = (0.5, 0.25, 0.02) if item["grade"] in _SLING_GRADES else (0.35, 0.08, 0.01)
    yield from _scaled(
        item,
        ladders,
        (0.8, shares[0], "the rating in a choke hitch"),
        (2.0, shares[1], "the rating in a basket hitch"),
        (0.75, shares[2], "the rating in a choke hitch"),
    )


_HEAT = {0.9: 0.3, 0.75: 0.3, 0.85: 0.15, 0.8: 0.08, 0.7: 0.08, 0.6: 0.04, 0.5: 0.04}
_HEATED = [
    (times, share, f"the rating less {round(100 * (1 - times))} percent for heat")
    for times, share in _HEAT.items()
]


@_cause("heat-factor-included")
def _heat_factor_included(item: Item, ladders: Ladders) -> Iterator[Prediction]:
    yield from _scaled(item, ladders, *_HEATED)


@_cause("pair-rating-as-single")
def _pair_rating_as_single(item: Item, ladders: Ladders) -> Iterator[Prediction]:
    if item["kind"] in ("hook", "grab-hook"):
        yield from _scaled(item, ladders, (2.0, 0.8, "the rating of a pair"))


# --- the hand that typed ---------------------------------------------------------------------


def writings(item: Item, ladders: Ladders) -> list[Writing]:
    """The digits that a careful clerk would have typed for an item, with their share.

    As printed where a table prints the list's own unit, else converted to four or three figures,
    to a whole number, to fives or twenty-fives; by 2.2 pounds, too.
    """
    return [
        Writing(text=text, share=share, rating=rating, figures=_figures(text))
        for text, share, rating in _written(item, ladders)
    ]


def _written(item: Item, ladders: Ladders) -> Iterator[tuple[str, float, Rating]]:
    for rating in ladders.own(item):
        value = rating.kg * factor("kg", item["wll_unit"])
        pounds = item["wll_unit"] in _POUNDS
        if ladders.prints_in(rating, item["wll_unit"]):
            yield _in_full(f"{value:.6g}"), 1.0, rating
            continue
        # where the cell stands in the list's own unit too, few convert the other one
        whole = 0.3 if ladders.in_unit(rating, item["wll_unit"]) is not rating else 1.0
        made = dict(_rounded_forms(value))
        if pounds != (rating.unit == "lb"):
            by_hand = value * (2.2 * _LB if pounds else 1 / (2.2 * _LB))
            for text, share in _rounded_forms(by_hand):
                made[text] = made.get(text, 0.0) + 0.3 * share
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


def _typed(item: Item, text: str, rating: Rating, share: float, how: str) -> Prediction | None:
    try:
        value = float(text)
    except ValueError:
        return None
    return Prediction(
        kg=value * factor(item["wll_unit"], "kg"), meant=rating, share=share, how=how, exact=True
    )


def slips(item: Item, written: Iterable[Writing]) -> dict[str, list[Prediction]]:
    """The slips of the hand that leave the very number of an item, by cause.

    Parameters
    ----------
    item : mapping
        With ``wll_value`` and ``wll_unit``.
    written : iterable of Writing
        What `writings` gives for it.
    """
    text = _in_full(f"{item['wll_value']:.12g}")
    digits, figures = _digits(text), _figures(text)
    found: dict[str, list[Prediction]] = {}
    for each in written:
        apart = _places_apart(each.figures, figures)
        if apart > _FURTHEST:
            continue
        for name, slip in SLIPS.items():
            if apart > slip.reach:
                continue
            for changed, share in _slips(slip.edit, each.text).get(digits, ()):
                prediction = _typed(
                    item, changed, each.rating, share * each.share, slip.how.format(meant=each.text)
                )
                if prediction is not None:
                    found.setdefault(name, []).append(prediction)
    return found


def _places_apart(some: str, other: str) -> int:
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
def _slips(edit: _Edit, text: str) -> dict[str, list[tuple[str, float]]]:
    """What an edit makes of a number, with its share, by the digits that it leaves."""
    made: dict[str, list[tuple[str, float]]] = {}
    for changed, share in edit(text).items():
        if changed != text:
            made.setdefault(_digits(changed), []).append((changed, share))
    return made


def _digits(text: str) -> str:
    """The digits that stay when a decimal point moves: that mistake has a name of its own."""
    return text.replace(".", "").strip("0")


def _figures(text: str) -> str:
    """The digits other than zero."""
    return text.replace(".", "").replace("0", "")


@_slip("decimal-point-shifted", reach=0, how="the decimal point of {meant} is elsewhere")
def _shift(text: str) -> dict[str, float]:
    places = {1: 0.34, -1: 0.34, 2: 0.04, -2: 0.04, 3: 0.1, -3: 0.1}
    return {format(Decimal(text).scaleb(by), "f"): share for by, share in places.items()}


@_slip("digits-swapped", reach=2, how="two digits of {meant} changed places")
def _swap(text: str) -> dict[str, float]:
    at = [
        i
        for i in range(len(text) - 1)
        if text[i].isdigit() and text[i + 1].isdigit() and text[i] != text[i + 1]
    ]
    across = [i for i in range(len(text) - 2) if text[i + 1] == "." and text[i] != text[i + 2]]
    made = [text[:i] + text[i + 1] + text[i] + text[i + 2 :] for i in at]
    made += [text[:i] + text[i + 2] + "." + text[i] + text[i + 3 :] for i in across]
    return {t: 0.9 / len(made) for t in made if _digits(t) != _digits(text)}


@_slip("digit-mistyped", reach=1, how="one digit of {meant} is another")
def _mistype(text: str) -> dict[str, float]:
    at = [i for i, c in enumerate(text) if c.isdigit()]
    share = 0.9 / (9 * len(at))
    return {text[:i] + d + text[i + 1 :]: share for i in at for d in "0123456789" if d != text[i]}


@_slip("digit-lost-or-added", reach=1, how="{meant} has a digit too few or too many")
def _lose_or_add(text: str) -> dict[str, float]:
    at = [i for i, c in enumerate(text) if c.isdigit()]
    lose, double, add = 0.45 / len(at), 0.25 / len(at), 0.2 / (10 * len(at))
    made: dict[str, float] = {}
    for i in at:
        before, after = text[:i], text[i:]
        lost, doubled = before + after[1:], before + after[0] + after
        made[lost] = made.get(lost, 0) + lose
        made[doubled] = made.get(doubled, 0) + double
        for d in "0123456789":
            made.setdefault(before + d + after, add)
    same = ("", _digits(text))
    return {t: s for t, s in made.items() if _digits(t) not in same}


_FURTHEST = max(slip.reach for slip in SLIPS.values())


@_cause("rounded")
def _rounded(item: Item, ladders: Ladders) -> Iterator[Prediction]:
    for rating in ladders.own(item):
        value = rating.kg * factor("kg", item["wll_unit"])
        whole = Decimal(repr(value))
        made: dict[float, float] = {}
        for figures, share in ((1, 0.3), (2, 0.4)):
            last = Decimal(1).scaleb(whole.adjusted() - figures + 1)
            for way in (ROUND_FLOOR, ROUND_CEILING):
                made.setdefault(float(whole.quantize(last, way)), share / 2)
        how = f"{number_text(float(f'{value:.4g}'))} was rounded"
        for rounded_value, share in made.items():
            if rounded_value and abs(rounded_value / value - 1) < 0.2:
                made_kg = rounded_value * factor(item["wll_unit"], "kg")
                yield Prediction(kg=made_kg, meant=rating, share=share, how=how, exact=True)
