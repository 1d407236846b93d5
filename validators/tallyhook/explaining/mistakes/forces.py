"""A breaking or proof force in the place of the rating."""

from __future__ import annotations

from collections.abc import Iterator

from tallyhook.explaining.facts import TradeFacts
from tallyhook.explaining.mistakes.legs import leg_factor_of
from tallyhook.explaining.mistakes.register import Prediction, mistake
from tallyhook.explaining.series import RatingSeries
from tallyhook.formulas import chain_force
from tallyhook.matching.claims import Item, Rating
from tallyhook.messages import say
from tallyhook.units import factor

__all__: list[str] = []

_OF_THE_RATING, _OF_A_SLING = 0.6, 0.3  # a sling's breaking force is seldom listed
_FROM_THE_DIAMETER, _OF_A_SLING_FROM_THE_DIAMETER = 0.5, 0.3
_OF_THE_DEDUCTED, _FORCE_DEDUCTED_TOO, _OVER_TEN = 0.3, 0.2, 0.06


@mistake("breaking-force-as-wll")
def breaking_force_as_wll(
    item: Item, series: RatingSeries, facts: TradeFacts
) -> Iterator[Prediction]:
    how = say("the number is the breaking force")
    over_ten = say("the number is the breaking force in kilonewtons, over ten")
    yield from _forces("breaking", (how, over_ten), item, series, facts)


@mistake("proof-force-as-wll")
def proof_force_as_wll(item: Item, series: RatingSeries, facts: TradeFacts) -> Iterator[Prediction]:
    how = say("the number is the proof force")
    over_ten = say("the number is the proof force in kilonewtons, over ten")
    yield from _forces("proof", (how, over_ten), item, series, facts)


def _forces(
    force: str, words: tuple[str, str], item: Item, series: RatingSeries, facts: TradeFacts
) -> Iterator[Prediction]:
    """Predict a force of every rating whose scheme says how many times its rating that force is.

    European tables print forces from the diameter, a few percent above the ratio times the
    rounded rating. A bare grab hook breaks at the force of its chain, whatever is deducted.
    """
    for rating in series.own(item):
        times = facts.force_ratios.get((force, rating.scheme, rating.grade))
        if times is None:
            continue
        sling = rating.kind == "sling" and (rating.legs or 1) > 1
        kept = _kept(rating, facts)
        share = _OF_A_SLING if sling else _OF_THE_RATING
        yield Prediction(kg=rating.kg * times / kept, meant=rating, share=share, how=words[0])
        if kept != 1.0:
            kg = rating.kg * times
            yield Prediction(kg=kg, meant=rating, share=_OF_THE_DEDUCTED, how=words[0])
        stress = facts.stresses.get((force, rating.scheme, rating.grade))
        if stress is None:
            continue
        kg = chain_force(rating.size_mm, stress) * factor("kN", "kg")
        kg *= leg_factor_of(rating, facts) or 1.0
        share = _OF_A_SLING_FROM_THE_DIAMETER if sling else _FROM_THE_DIAMETER
        yield Prediction(kg=kg, meant=rating, share=share, how=words[0])
        over_ten = kg * factor("kg", "N") / 10  # standard gravity would make it tonnes
        yield Prediction(kg=over_ten, meant=rating, share=_OVER_TEN, how=words[1])
        if kept != 1.0:
            deducted = kg * kept
            yield Prediction(kg=deducted, meant=rating, share=_FORCE_DEDUCTED_TOO, how=words[0])


def _kept(rating: Rating, facts: TradeFacts) -> float:
    """What is left of the chain's rating in that of a grab hook."""
    if rating.kind != "grab-hook" or rating.cradle != "no":
        return 1.0
    percent = rating.deduction_percent
    return facts.deducted if percent is None else (100 - percent) / 100
