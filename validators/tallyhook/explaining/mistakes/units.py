"""Mistakes about the unit of a load."""

from __future__ import annotations

from collections.abc import Iterator

from tallyhook.explaining.facts import TradeFacts
from tallyhook.explaining.mistakes.register import Prediction, mistake, scaled
from tallyhook.explaining.series import RatingSeries, table_unit
from tallyhook.matching.claims import Item
from tallyhook.messages import say
from tallyhook.units import factor

__all__: list[str] = []

_LB, _TON, _N = factor("lb", "kg"), factor("short ton", "kg"), factor("kg", "N")
_CONVERTED_TOO = 0.15
"""Share of the mistakes about pounds and kilograms that leave a rating converted once too often."""

_REMEMBERED = 0.5
"""Share beside a printed rating of one that is from memory."""


def _scaled_kilograms(
    item: Item, series: RatingSeries, *turns: tuple[float, float, str]
) -> Iterator[Prediction]:
    """Scale a table's kilograms that are only remembered: they may explain, and pass nothing."""
    meant = series.own(item)
    for rating in series.remembered(item):
        if rating.unit == "kg" and meant:
            own = meant.beside(rating)
            for times, share, how in turns:
                kg = rating.kg * times
                yield Prediction(kg=kg, meant=own, share=_REMEMBERED * share, how=how)


@mistake("pounds-as-kilograms")
def pounds_as_kilograms(
    item: Item, series: RatingSeries, facts: TradeFacts
) -> Iterator[Prediction]:
    if item["wll_unit"] in ("kg", "t"):
        how = say("the number is the rating in pounds")
        yield from scaled(item, series, (1 / _LB, 1.0, how))
    elif table_unit(item["wll_unit"]) == "lb":
        how = say("the rating in pounds was read as kilograms and converted")
        yield from scaled(item, series, (1 / _LB, _CONVERTED_TOO, how))


@mistake("kilograms-as-pounds")
def kilograms_as_pounds(
    item: Item, series: RatingSeries, facts: TradeFacts
) -> Iterator[Prediction]:
    if table_unit(item["wll_unit"]) == "lb":
        turn = (_LB, 1.0, say("the number is the rating in kilograms"))
        yield from scaled(item, series, turn)
        yield from _scaled_kilograms(item, series, turn)
    elif item["wll_unit"] in ("kg", "t"):
        how = say("the rating in kilograms was read as pounds and converted")
        yield from scaled(item, series, (_LB, _CONVERTED_TOO, how))


@mistake("short-tons-as-tonnes")
def short_tons_as_tonnes(
    item: Item, series: RatingSeries, facts: TradeFacts
) -> Iterator[Prediction]:
    if item["wll_unit"] in ("t", "kg"):
        how = say("the number is the rating in short tons")
        yield from scaled(item, series, (1000 / _TON, 1.0, how))


@mistake("tonnes-as-short-tons")
def tonnes_as_short_tons(
    item: Item, series: RatingSeries, facts: TradeFacts
) -> Iterator[Prediction]:
    if item["wll_unit"] in ("short ton", "lb"):
        turn = (_TON / 1000, 1.0, say("the number is the rating in tonnes"))
        yield from scaled(item, series, turn)
        yield from _scaled_kilograms(item, series, turn)


@mistake("force-unit-confused")
def force_unit_confused(
    item: Item, series: RatingSeries, facts: TradeFacts
) -> Iterator[Prediction]:
    in_kilonewtons = say("the number is the rating as a force in kilonewtons")
    in_newtons = say("the number is the rating in newtons")
    in_kilograms = say("the number is the rating in kilograms")
    in_tonnes = say("the number is the rating in tonnes")
    turns = {
        "t": ((_N, 0.8, in_kilonewtons),),
        "kg": ((_N / 1000, 0.3, in_kilonewtons), (_N, 0.4, in_newtons)),
        "lb": ((_N / 1000 * _LB, 0.3, in_kilonewtons),),
        "short ton": ((_N / 1000 * _TON, 0.6, in_kilonewtons),),
        "kN": ((1 / _N, 0.6, in_tonnes), (1000 / _N, 0.2, say("the number is in kilograms"))),
        "N": ((1 / _N, 0.6, in_kilograms),),
        "daN": ((10 / _N, 0.6, in_kilograms),),
    }.get(item["wll_unit"], ())
    yield from scaled(item, series, *turns)
    yield from _scaled_kilograms(item, series, *turns)
