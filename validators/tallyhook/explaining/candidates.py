"""The causes that can have left a number: each with how likely it is to leave this very one."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from operator import itemgetter
from typing import Any

from tallyhook.explaining.facts import TradeFacts
from tallyhook.explaining.likelihood import FURTHEST, evidence, written_as
from tallyhook.explaining.mistakes import PREDICTED, Prediction
from tallyhook.explaining.nature import Cause, Causes
from tallyhook.explaining.series import RatingSeries
from tallyhook.explaining.writings import slips, writings
from tallyhook.matching.claims import CLAIM_COLUMNS, Item
from tallyhook.messages import say
from tallyhook.units import factor

__all__ = ["PART_COLUMNS", "Candidate", "Knowledge", "candidates", "predictions"]

PART_COLUMNS = (*CLAIM_COLUMNS, "size_in", "wll_unit")
"""What the ratings of a part and the mistakes about them follow from; the load is not in it."""

_part = itemgetter(*PART_COLUMNS)

_LEAST_SHARE_IN_A_PAIR = 0.3
"""Least share of a turn that can be one half of a pair: rarer ones are two steps by themselves."""

_NET = 1.01 * FURTHEST
"""Share by which a prediction may be off the number to be looked at: a little too wide, for
`written_as` is exact, and slow."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Knowledge:
    """What causes are found by: the ratings, the facts of the trade, the causes themselves."""

    series: RatingSeries
    facts: TradeFacts
    causes: Causes


@dataclass(frozen=True, slots=True, kw_only=True)
class Candidate:
    """A cause that can have left the number: its likelihood and its best prediction."""

    cause: Cause
    likelihood: float
    prediction: Prediction


def candidates(items: Mapping[int, Item], known: Knowledge) -> dict[int, list[Candidate]]:
    """Find for each contradicted item every cause that predicts its number.

    Parameters
    ----------
    items : mapping of number to item
    known : Knowledge

    Returns
    -------
    dict
        The candidates of each number; two mistakes that meet stand there where no single one fits.
    """
    alike: dict[tuple[Any, ...], list[int]] = {}
    for number, item in items.items():
        alike.setdefault(_part(item), []).append(number)
    found = {}
    for part, numbers in alike.items():  # what it should be rated does not follow from its load
        itself = dict(zip(PART_COLUMNS, part, strict=True))
        made, written = predictions(itself, known), writings(itself, known.series)
        for number in numbers:
            found[number] = _of_item(items[number], made | slips(items[number], written), known)
    return found


def predictions(part: Item, known: Knowledge) -> dict[str, list[Prediction]]:
    """All that the causes but the slips of the hand predict for a part, by cause."""
    causes = known.causes.by_name
    return {
        name: list(predict(part, known.series, known.facts))
        for name, predict in PREDICTED.items()
        if causes[name].can_strike(part["kind"])
    }


def _of_item(
    item: Item, made: Mapping[str, Sequence[Prediction]], known: Knowledge
) -> list[Candidate]:
    causes = known.causes.by_name
    near = _net(item)
    single = ((causes[name], [p for p in found if near(p.kg)]) for name, found in made.items())
    candidates = list(_fitting(single, item, known))
    if not candidates:
        pairs = (
            (pair, _both(made.get(unit.name, ()), made.get(line.name, ()), near))
            for unit, line, pair in known.causes.pairs
        )
        candidates = list(_fitting(pairs, item, known))
    return candidates


def _net(item: Item) -> Callable[[float], bool]:
    """Whether a predicted load is near enough to the number of an item to be looked at."""
    kg = item["wll_value"] * factor(item["wll_unit"], "kg")
    least, most = kg / (1 + _NET), kg / (1 - _NET)
    return lambda predicted_kg: least < predicted_kg < most


def _both(
    units: Sequence[Prediction], lines: Sequence[Prediction], near: Callable[[float], bool]
) -> list[Prediction]:
    """Predict what a mistake of the unit makes of the ratings of a wrong line."""
    turns = {round(p.kg / p.meant.kg, 9): p for p in units if p.share >= _LEAST_SHARE_IN_A_PAIR}
    return [
        Prediction(
            kg=line.kg * times,
            meant=line.meant,
            share=line.share * unit.share,
            how=say("{one}, and {other}", one=line.how, other=unit.how),
        )
        for times, unit in turns.items()
        for line in lines
        if near(line.kg * times)
    ]


def _fitting(
    found: Iterable[tuple[Cause, Sequence[Prediction]]], item: Item, known: Knowledge
) -> Iterator[Candidate]:
    for cause, near in found:
        if near and (candidate := _candidate(cause, near, item, known)):
            yield candidate


def _candidate(
    cause: Cause, near: Iterable[Prediction], item: Item, known: Knowledge
) -> Candidate | None:
    # one table cell predicts once, in whichever of its printed units fits better
    cells: dict[tuple[Any, ...], tuple[float, Prediction]] = {}
    value, unit = item["wll_value"], item["wll_unit"]
    for p in near:
        chance = p.share * written_as(p, value, unit)
        key = (p.meant.cell, p.how)
        if chance > cells.get(key, (0.0, p))[0]:
            cells[key] = (chance, p)
    if not cells:
        return None
    # the same mistake in several schemes is one mistake: the best of them, not their sum
    chance, best = max(cells.values(), key=lambda pair: pair[0])
    weight = evidence(cause, item, known.series.own(item), known.facts)
    return Candidate(cause=cause, likelihood=chance * weight, prediction=best)
