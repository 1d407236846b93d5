"""The wrong row or column of a table, or the wrong table."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from tallyhook.explaining.facts import TradeFacts
from tallyhook.explaining.mistakes.legs import ONE_CHAIN, leg_factor_of
from tallyhook.explaining.mistakes.register import Prediction, mistake
from tallyhook.explaining.series import RatingSeries
from tallyhook.matching.claims import Item, Rating
from tallyhook.messages import say
from tallyhook.wording import size_text

__all__: list[str] = []

_NEXT_COLUMN, _OTHER_COLUMN = 0.6, 0.2  # eyes slip to the neighbouring column of a document
_OTHER_DOCUMENT = 0.3
_AWAY = ((1, 0.42), (2, 0.06))  # sizes up or down, and the share of each turn
_TAKEN_FOR_IT = 0.3
_OTHER_SCHEME = 0.7


def _made_of(
    meant: Iterable[Rating], chains: Iterable[list[Rating]], facts: TradeFacts
) -> list[list[Rating]]:
    """What slings like the item's would be rated if made of other chain."""
    slings = [(sling, times) for sling in meant if (times := leg_factor_of(sling, facts))]
    found = (
        [
            sling._replace(grade=chain.grade, size_mm=chain.size_mm, kg=chain.kg * times)
            for chain in alike
            for sling, times in slings
            if sling.unit == chain.unit and sling.scheme == chain.scheme
        ]
        for alike in chains
    )
    return [ratings for ratings in found if ratings]


@mistake("other-grade")
def other_grade(item: Item, series: RatingSeries, facts: TradeFacts) -> Iterator[Prediction]:
    meant = series.own(item)
    grades = series.other_grades(item)
    if item["kind"] == "sling":  # few documents print slings of every grade
        grades += _made_of(meant, series.other_grades({**item, **ONE_CHAIN}), facts)
    for ratings in grades:
        for rating in ratings:
            own = meant.beside(rating)
            beside = (rating.scheme, own.grade, rating.grade) in facts.next_grades
            share = _NEXT_COLUMN if beside else _OTHER_COLUMN
            share *= 1.0 if own.scheme == rating.scheme else _OTHER_DOCUMENT
            how = say("the rating of grade {grade}", grade=rating.grade)
            yield Prediction(kg=rating.kg, meant=own, share=share, how=how)


@mistake("neighbouring-size")
def neighbouring_size(item: Item, series: RatingSeries, facts: TradeFacts) -> Iterator[Prediction]:
    meant = series.own(item)
    for away, share in _AWAY:
        sizes = series.neighbours(item, away)
        if item["kind"] == "sling":
            sizes += _made_of(meant, series.neighbours({**item, **ONE_CHAIN}, away), facts)
        for ratings in sizes:
            how = _of_size(ratings[0])
            for rating in ratings:
                own = meant.beside(rating)
                yield Prediction(kg=rating.kg, meant=own, share=share, how=how)
    for rating in series.lookalikes(item) if meant else ():
        own = meant.beside(rating)
        yield Prediction(kg=rating.kg, meant=own, share=_TAKEN_FOR_IT, how=_of_size(rating))


def _of_size(rating: Rating) -> str:
    return say("the rating of {size}", size=size_text(rating.size_mm, None))


@mistake("other-scheme")
def other_scheme(item: Item, series: RatingSeries, facts: TradeFacts) -> Iterator[Prediction]:
    if not item["scheme"]:
        return
    meant = series.own(item)
    for rating in series.own({**item, "scheme": None}):
        if rating.scheme != item["scheme"]:
            how = say("the rating of the scheme {scheme}", scheme=rating.scheme)
            own = meant.beside(rating)
            yield Prediction(kg=rating.kg, meant=own, share=_OTHER_SCHEME, how=how)
