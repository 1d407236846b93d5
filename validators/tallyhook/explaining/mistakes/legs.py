"""Mistakes about the legs of a sling and their angle."""

from __future__ import annotations

from collections.abc import Iterator

from tallyhook.explaining.facts import TradeFacts
from tallyhook.explaining.mistakes.register import Prediction, mistake
from tallyhook.explaining.series import RatingSeries
from tallyhook.matching.claims import Item, Rating
from tallyhook.messages import say
from tallyhook.wording import number_text

__all__ = ["ANY_ANGLE", "ONE_CHAIN", "leg_factor_of"]

ANY_ANGLE = {
    "angle_to_deg": None,
    "angle_if_vertical_deg": None,
    "angle_if_horizontal_deg": None,
}
ONE_CHAIN = {"kind": "chain"}
"""What makes of a sling the chain that it is made of: chain has no legs and no angle."""

_BY_FACTOR = (0.12, 0.04)
"""Shares of a leg factor at the two narrowest angles of a scheme's table."""


def leg_factor_of(sling: Rating, facts: TradeFacts) -> float | None:
    """Rating of a sling over that of one leg; None where the documents do not give it."""
    if sling.kind != "sling" or not sling.legs:
        return None
    return facts.leg_factor(sling.counts_as, sling.legs, float(sling.angle_to_deg or 0))


def _of_legs(legs: int, angle_deg: float) -> str:
    return say(
        "the rating of {legs} legs to {angle} degrees to the vertical",
        legs=legs,
        angle=number_text(angle_deg),
    )


@mistake("multi-leg-rating-as-single")
def multi_leg_rating_as_single(
    item: Item, series: RatingSeries, facts: TradeFacts
) -> Iterator[Prediction]:
    if item["kind"] == "sling" and item["legs"] != 1:
        return
    if item["kind"] == "grab-hook" and item["cradle"] == "no":
        return
    meant = series.own(item)
    for rating in series.at("sling", item["grade"], item["size_mm"]):
        legs = rating.legs or 1
        if legs > 1 and not (item["scheme"] and rating.scheme != item["scheme"]):
            share = 0.3 if legs == 2 else 0.15  # three and four legs are rated alike
            how = _of_legs(legs, rating.angle_to_deg or 0)
            own = meant.beside(rating)
            yield Prediction(kg=rating.kg, meant=own, share=share, how=how)
    # or worked out with the leg factor, for two legs and for three
    for rating in meant:
        angles = facts.leg_angles(rating.counts_as)
        for angle_deg, share in zip(angles, _BY_FACTOR, strict=False):
            for legs in (2, 3):
                times = facts.leg_factor(rating.counts_as, legs, angle_deg)
                if times is not None:
                    how = _of_legs(legs, angle_deg)
                    yield Prediction(kg=rating.kg * times, meant=rating, share=share, how=how)


@mistake("single-leg-rating-as-multi-leg")
def single_leg_rating_as_multi_leg(
    item: Item, series: RatingSeries, facts: TradeFacts
) -> Iterator[Prediction]:
    if (item["legs"] or 1) < 2:
        return
    meant = series.own(item)
    how = say("the rating of one leg")
    for rating in series.at("chain", item["grade"], item["size_mm"]):
        own = meant.beside(rating)
        yield Prediction(kg=rating.kg, meant=own, share=0.9, how=how)


@mistake("every-leg-counted-in-full")
def every_leg_counted_in_full(
    item: Item, series: RatingSeries, facts: TradeFacts
) -> Iterator[Prediction]:
    if not item["legs_range"] and (item["legs"] or 1) < 2:
        return
    counts = (3, 4) if item["legs_range"] else (item["legs"],)
    meant = series.own(item)
    single = {**item, "legs": 1, "legs_range": None}
    for rating in series.own({**single, **ONE_CHAIN}) + series.own(single):
        own = meant.beside(rating)
        for legs in counts:
            how = say("the number is {legs} times the rating of one leg", legs=legs)
            yield Prediction(kg=rating.kg * legs, meant=own, share=0.6, how=how)
            if legs == 4:
                yield from _four_for_three(rating, own, meant, facts)


def _four_for_three(
    chain: Rating, own: Rating, meant: list[Rating], facts: TradeFacts
) -> Iterator[Prediction]:
    """Four legs counted in place of three, at the angles of the tables."""
    for angle_deg in sorted({r.angle_to_deg for r in meant if r.angle_to_deg}):
        times = facts.leg_factor(chain.counts_as, 3, angle_deg)
        if times:
            how = say(
                "four legs counted for three at {angle} degrees to the vertical",
                angle=f"{angle_deg:g}",
            )
            yield Prediction(kg=chain.kg * times * 4 / 3, meant=own, share=0.2, how=how)


@mistake("other-angle")
def other_angle(item: Item, series: RatingSeries, facts: TradeFacts) -> Iterator[Prediction]:
    if item["angle_to_deg"] is None:
        return
    meant = series.own(item)
    for rating in series.own({**item, **ANY_ANGLE}):
        if rating not in meant:
            how = say(
                "the rating at {angle} degrees to the vertical",
                angle=number_text(rating.angle_to_deg or 0),
            )
            yield Prediction(kg=rating.kg, meant=meant.beside(rating), share=0.4, how=how)
