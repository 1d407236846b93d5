"""Weigh the causes of a whole list against each other.

Each contradicted row gives every cause a likelihood. How common each cause is in *this* list is
not known beforehand: it starts from the vocabulary's priors and is estimated from the list
itself by expectation-maximisation, for the list and for each group in it (a supplier, a sheet, a
column), groups leaning on the list and the list on the priors.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from operator import itemgetter
from typing import Any

from tallyhook.explaining.causes import MAKE_UP, Prediction, predictions, slips, writings
from tallyhook.explaining.ladders import Ladders
from tallyhook.explaining.likelihood import FURTHEST, chance_of_any_number, evidence, written_as
from tallyhook.units import factor

__all__ = ["UNEXPLAINED", "Candidate", "Verdict", "candidates", "weigh"]

Item = Mapping[str, Any]

_make_up = itemgetter(*MAKE_UP)

UNEXPLAINED = "unexplained"

_LEAN_ON_PRIOR = 12.0  # rows' worth of belief in the vocabulary's priors, for the list
_LEAN_ON_LIST = 4.0  # rows' worth of belief in the list's mix, for each group
_ROUNDS = 12
_CAUTION = 1.5
"""Rows of one list are not independent and the likelihoods are rough: raw posteriors claim too
much. Taken to this root they are right about as often as they say (docs/cause-measure.md)."""

_SHOWN = 0.04  # the least posterior that is shown as another possible cause

# Two mistakes that are common can meet in one row. Weighed as the product of their priors and
# this, so that a pair never outranks a single cause that fits.
_UNITS = (
    "pounds-as-kilograms",
    "kilograms-as-pounds",
    "short-tons-as-tonnes",
    "tonnes-as-short-tons",
)
_MIXED_UP = ("neighbouring-size", "other-grade")
_AND = " and "
_PAIR = 0.5
_WHOLE = 0.3
"""Least share of a turn that can be one half of a pair: rarer ones are two steps by themselves."""

_SUREST = 0.99
"""No number tells with certainty what a hand has done."""

_SUREST_OF_TWO = 0.5
"""Two mistakes that meet in a number are a guess: so many pairs can be tried that one of them fits
what a mistake left that nobody thought of."""

_FAR = 1.01 * FURTHEST
"""A prediction that is further off the number than this share says nothing of it: a net a little
too wide, for `written_as` is exact, and slow."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Candidate:
    """A cause that can have left the number: its likelihood and its best prediction."""

    cause: str
    likelihood: float
    prediction: Prediction


@dataclass(frozen=True, slots=True, kw_only=True)
class Verdict:
    """The causes of one row, most likely first, with their posterior probabilities."""

    causes: tuple[tuple[str, float], ...]
    prediction: Prediction | None

    @property
    def cause(self) -> str:
        return self.causes[0][0]

    @property
    def confidence(self) -> float:
        cause, chance = self.causes[0]
        return min(chance, _SUREST_OF_TWO if _AND in cause else _SUREST)

    @property
    def others(self) -> tuple[str, ...]:
        return tuple(c for c, p in self.causes[1:] if p >= _SHOWN and c != UNEXPLAINED)


def candidates(cases: Mapping[int, Item], ladders: Ladders) -> dict[int, list[Candidate]]:
    """Find for each case every cause that predicts its number."""
    parts: dict[tuple[Any, ...], list[int]] = {}
    for number, item in cases.items():
        parts.setdefault(_make_up(item), []).append(number)
    found = {}
    for part, numbers in parts.items():  # what a part should be rated does not follow from its load
        itself = dict(zip(MAKE_UP, part, strict=True))
        made, written = predictions(itself, ladders), writings(itself, ladders)
        for number in numbers:
            item = cases[number]
            found[number] = _of_case(item, made | slips(item, written), ladders)
    return found


def _of_case(
    item: Item, made: Mapping[str, Sequence[Prediction]], ladders: Ladders
) -> list[Candidate]:
    found = list(_fitting(made.items(), item, ladders))
    if not found:
        pairs = ((unit, slip) for unit in _UNITS for slip in _MIXED_UP)
        both = ((f"{unit}{_AND}{slip}", _both(made[unit], made[slip])) for unit, slip in pairs)
        found = list(_fitting(both, item, ladders))
    return found


def _fitting(
    made: Iterable[tuple[str, Iterable[Prediction]]], item: Item, ladders: Ladders
) -> Iterator[Candidate]:
    kg = item["wll_value"] * factor(item["wll_unit"], "kg")
    least, most = kg / (1 + _FAR), kg / (1 - _FAR)
    for name, each in made:
        near = [p for p in each if least < p.kg < most]
        if near and (candidate := _candidate(name, near, item, ladders)):
            yield candidate


def _candidate(
    name: str, made: Iterable[Prediction], item: Item, ladders: Ladders
) -> Candidate | None:
    # one table cell predicts once, in whichever of its printed units fits better
    cells: dict[tuple[Any, ...], tuple[float, Prediction]] = {}
    value, unit = item["wll_value"], item["wll_unit"]
    for p in made:
        chance = p.share * written_as(p, value, unit)
        if chance <= 0:
            continue
        key = (p.meant.cell, p.how)
        if chance > cells.get(key, (0.0, p))[0]:
            cells[key] = (chance, p)
    if not cells:
        return None
    # the same slip in several schemes is one mistake: the best of them, not their sum
    chance, best = max(cells.values(), key=lambda pair: pair[0])
    weight = evidence(name, item, ladders)
    return Candidate(cause=name, likelihood=chance * weight, prediction=best)


def _both(units: Sequence[Prediction], slips: Sequence[Prediction]) -> Iterator[Prediction]:
    scales = {round(p.kg / p.meant.kg, 9): p for p in units if p.share >= _WHOLE}
    for times, unit in scales.items():
        for slip in slips:
            yield Prediction(
                kg=slip.kg * times,
                meant=slip.meant,
                share=slip.share * unit.share,
                how=f"{slip.how}, and {unit.how}",
            )


def weigh(
    rows: Sequence[tuple[int, Item, Sequence[str]]],
    found: Mapping[int, Sequence[Candidate]],
    priors: Mapping[str, float],
    times: Sequence[int] | None = None,
) -> list[Verdict]:
    """Judge all contradicted rows of a list together.

    Parameters
    ----------
    rows : sequence of (case, item, groups)
        One entry a row; rows that share a case share its candidates. Groups are labels such as
        ``supplier:Harrow``.
    found : mapping of case to candidates
    priors : mapping of cause to weight
        From ``vocabulary.causes``; they need not sum to one.
    times : sequence of int, optional
        How many rows of the list each entry stands for; one otherwise.

    Returns
    -------
    list of Verdict
        In the order of `rows`.
    """
    # plain sums over the few causes that fit a row: numpy takes longer to import than this takes
    causes = sorted({c.cause for each in found.values() for c in each} | {UNEXPLAINED})
    raw = [_prior(name, priors) for name in causes]
    prior = dict(zip(causes, (p / sum(raw) for p in raw), strict=True))
    likelihoods = [
        {c.cause: c.likelihood for c in found[case]}
        | {UNEXPLAINED: chance_of_any_number(item["wll_value"])}
        for case, item, _ in rows
    ]
    counts = list(times) if times is not None else [1] * len(rows)
    groups = [tuple(labels) for _, _, labels in rows]
    mixes = dict.fromkeys(groups, prior)
    for _ in range(_ROUNDS):
        posteriors = [
            _posterior(mixes[labels], likelihood)
            for labels, likelihood in zip(groups, likelihoods, strict=True)
        ]
        mixes = _mixes(posteriors, groups, counts, prior)
    return [
        _verdict(_cautious(posterior), found[case])
        for posterior, (case, _, _) in zip(posteriors, rows, strict=True)
    ]


def _posterior(mix: Mapping[str, float], likelihood: Mapping[str, float]) -> dict[str, float]:
    joint = {cause: mix[cause] * chance for cause, chance in likelihood.items()}
    whole = sum(joint.values())
    return {cause: part / whole for cause, part in joint.items()}


def _mixes(
    posteriors: Sequence[Mapping[str, float]],
    groups: Sequence[tuple[str, ...]],
    counts: Sequence[int],
    prior: Mapping[str, float],
) -> dict[tuple[str, ...], dict[str, float]]:
    """How common each cause is, for every set of groups that rows belong to; not normed."""
    different = dict.fromkeys(groups)  # many rows, few sets of groups
    labels = {label: dict.fromkeys(prior, 0.0) for each in different for label in each}
    sizes = dict.fromkeys(labels, 0)
    total = dict.fromkeys(prior, 0.0)
    sums = {each: (total, *(labels[label] for label in each)) for each in different}
    for posterior, each, count in zip(posteriors, groups, counts, strict=True):
        for label in each:
            sizes[label] += count
        mine = sums[each]
        for cause, chance in posterior.items():
            rows_of_cause = chance * count
            for found in mine:
                found[cause] += rows_of_cause
    rows = sum(counts)
    whole = {c: (_LEAN_ON_PRIOR * prior[c] + total[c]) / (_LEAN_ON_PRIOR + rows) for c in prior}
    usual = {c: math.log(share) for c, share in whole.items()}
    logs = {
        label: {
            c: math.log((_LEAN_ON_LIST * whole[c] + found[c]) / (_LEAN_ON_LIST + sizes[label]))
            - usual[c]
            for c in prior
        }
        for label, found in labels.items()
    }
    made = {}
    for each in different:
        # a group says again what the list says: its groups are averaged, not multiplied
        mix = {
            c: whole[c] * math.exp(sum(logs[label][c] for label in each) / max(len(each), 1))
            for c in prior
        }
        # no reason is not a habit: that many rows lack one makes it no likelier for the next
        made[each] = mix | {UNEXPLAINED: prior[UNEXPLAINED]}
    return made


def _cautious(posterior: Mapping[str, float]) -> dict[str, float]:
    rooted = {cause: chance ** (1 / _CAUTION) for cause, chance in posterior.items()}
    whole = sum(rooted.values())
    return {cause: part / whole for cause, part in rooted.items()}


def _prior(name: str, priors: Mapping[str, float]) -> float:
    parts = name.split(_AND)
    if len(parts) == 2:
        both = priors.get(parts[0], 0.01) * priors.get(parts[1], 0.01)
        return _PAIR * both / sum(priors.values())
    return priors.get(name, 0.01)


def _verdict(posterior: Mapping[str, float], found: Sequence[Candidate]) -> Verdict:
    ranked = sorted(posterior.items(), key=lambda pair: (-pair[1], pair[0]))
    kept = tuple((c, p) for c, p in ranked if p > 1e-3) or ((UNEXPLAINED, 1.0),)
    best = {c.cause: c.prediction for c in found}.get(kept[0][0])
    return Verdict(causes=kept, prediction=best)
