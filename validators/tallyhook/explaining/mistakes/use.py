"""Factors and deductions of use that stand in the rating, or do not."""

from __future__ import annotations

from collections.abc import Iterator

from tallyhook.explaining.facts import TradeFacts
from tallyhook.explaining.mistakes.register import Prediction, mistake, scaled
from tallyhook.explaining.series import RatingSeries
from tallyhook.matching.claims import Item
from tallyhook.messages import say

__all__: list[str] = []

_PAIR = 2


@mistake("shortening-not-deducted")
def shortening_not_deducted(
    item: Item, series: RatingSeries, facts: TradeFacts
) -> Iterator[Prediction]:
    if item["cradle"] != "no":
        return
    meant = series.own(item)
    how = say("the full rating, which only a grab hook with cradle keeps")
    for rating in series.own({**item, "cradle": "yes"}):
        yield Prediction(kg=rating.kg, meant=meant.beside(rating), share=0.9, how=how)


@mistake("shortening-deducted-twice")
def shortening_deducted_twice(
    item: Item, series: RatingSeries, facts: TradeFacts
) -> Iterator[Prediction]:
    how = say("the deduction was taken twice")
    once = facts.deducted
    for rating in series.own(item):
        times, share = (once, 0.9) if rating.cradle == "no" else (once * once, 0.3)
        yield Prediction(kg=rating.kg * times, meant=rating, share=share, how=how)


@mistake("shortening-deducted-without-need")
def shortening_deducted_without_need(
    item: Item, series: RatingSeries, facts: TradeFacts
) -> Iterator[Prediction]:
    if item["cradle"] == "yes":
        how = say("a deduction was taken that is not due")
        yield from scaled(item, series, (facts.deducted, 0.9, how))


@mistake("hitch-factor-included")
def hitch_factor_included(
    item: Item, series: RatingSeries, facts: TradeFacts
) -> Iterator[Prediction]:
    shares = (0.5, 0.35, 0.02) if item["kind"] == "sling" else (0.25, 0.15, 0.01)
    if item["kind"] == "chain":  # bare chain makes no basket by itself, and lashings no hitch
        lifts = item["grade"] in facts.lifting_grades
        shares = (0.5, 0.25, 0.02) if lifts else (0.35, 0.08, 0.01)
    choke, basket = say("the rating in a choke hitch"), say("the rating in a basket hitch")
    hitch = facts.hitch_factors
    yield from scaled(
        item,
        series,
        (hitch["choke"], shares[0], choke),
        (hitch["basket"], shares[1], basket),
        (hitch["choke of a round load"], shares[2], choke),
    )


@mistake("heat-factor-included")
def heat_factor_included(
    item: Item, series: RatingSeries, facts: TradeFacts
) -> Iterator[Prediction]:
    turns = [
        (times, share, say("the rating less {percent} percent for heat", percent=_percent(times)))
        for times, share in facts.heat_factors.items()
    ]
    yield from scaled(item, series, *turns)


def _percent(times: float) -> int:
    return round(100 * (1 - times))


@mistake("pair-rating-as-single")
def pair_rating_as_single(
    item: Item, series: RatingSeries, facts: TradeFacts
) -> Iterator[Prediction]:
    yield from scaled(item, series, (_PAIR, 0.8, say("the rating of a pair")))
