"""Weigh the causes of a whole list against each other.

Each contradicted row gives every cause a likelihood. How common each cause is in *this* list is
not known beforehand: it starts from the vocabulary's priors and is estimated from the list
itself by expectation-maximisation, for the list and for each group in it (a supplier, a sheet, a
column), groups leaning on the list and the list on the priors.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from tallyhook.explaining.candidates import Candidate
from tallyhook.explaining.likelihood import chance_of_any_number
from tallyhook.explaining.mistakes import Prediction
from tallyhook.explaining.nature import AND, Causes
from tallyhook.matching.claims import Item

__all__ = ["Verdict", "weigh"]

_LEAN_ON_PRIOR = 12.0  # rows' worth of belief in the vocabulary's priors, for the list
_LEAN_ON_LIST = 4.0  # rows' worth of belief in the list's mix, for each group
_ROUNDS = 12
_CAUTION = 1.5
"""Rows of one list are not independent and the likelihoods are rough: raw posteriors claim too
much. Taken to this root they are right about as often as they say (docs/cause-measure.md)."""

_SHOWN = 0.04  # the least posterior that is shown as another possible cause
_KEPT = 1e-3

_SUREST = 0.99
"""No number says with certainty what a hand has done."""

_SUREST_OF_TWO = 0.5
"""Two mistakes that meet in a number are a guess: so many pairs can be tried that one of them fits
what a mistake left that nobody thought of."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Verdict:
    """The causes of one row, most likely first, with their posterior probabilities.

    Without a prediction the number is unexplained.
    """

    causes: tuple[tuple[str, float], ...]
    unexplained: str
    prediction: Prediction | None

    @property
    def cause(self) -> str:
        """The likeliest cause."""
        return self.causes[0][0]

    @property
    def confidence(self) -> float | None:
        """How sure it is; None where the number is unexplained."""
        cause, chance = self.causes[0]
        if cause == self.unexplained:
            return None
        return min(chance, _SUREST_OF_TWO if AND in cause else _SUREST)

    @property
    def others(self) -> tuple[str, ...]:
        """The other causes that are likely enough to be shown."""
        return tuple(c for c, p in self.causes[1:] if p >= _SHOWN and c != self.unexplained)


def weigh(
    rows: Sequence[tuple[int, Item, Sequence[str]]],
    found: Mapping[int, Sequence[Candidate]],
    causes: Causes,
    times: Sequence[int] | None = None,
) -> list[Verdict]:
    """Judge all contradicted rows of a list together.

    Parameters
    ----------
    rows : sequence of (number, item, groups)
        One entry a row; rows that share a number share its candidates. Groups are labels such as
        ``supplier:Harrow``.
    found : mapping of number to candidates
    causes : Causes
        For the prior of a number that nothing explains.
    times : sequence of int, optional
        How many rows of the list each entry stands for; one otherwise.

    Returns
    -------
    list of Verdict
        In the order of `rows`.
    """
    # plain sums over the few causes that fit a row: numpy takes longer to import than this takes
    none = causes.unexplained
    weights = {c.cause.name: c.cause.prior for each in found.values() for c in each}
    weights = dict(sorted((weights | {none.name: none.prior}).items()))
    prior = {name: weight / sum(weights.values()) for name, weight in weights.items()}
    likelihoods = [
        {c.cause.name: c.likelihood for c in found[number]}
        | {none.name: chance_of_any_number(item["wll_value"])}
        for number, item, _ in rows
    ]
    counts = list(times) if times is not None else [1] * len(rows)
    groups = [tuple(labels) for _, _, labels in rows]
    mixes = dict.fromkeys(groups, prior)
    for _ in range(_ROUNDS):
        posteriors = [
            _posterior(mixes[labels], likelihood)
            for labels, likelihood in zip(groups, likelihoods, strict=True)
        ]
        mixes = _mixes(posteriors, groups, counts, prior, none.name)
    return [
        _verdict(_cautious(posterior), found[number], none.name)
        for posterior, (number, _, _) in zip(posteriors, rows, strict=True)
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
    unexplained: str,
) -> dict[tuple[str, ...], dict[str, float]]:
    """How common each cause is, for every set of groups that rows belong to; not normalised."""
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
        made[each] = mix | {unexplained: prior[unexplained]}
    return made


def _cautious(posterior: Mapping[str, float]) -> dict[str, float]:
    rooted = {cause: chance ** (1 / _CAUTION) for cause, chance in posterior.items()}
    whole = sum(rooted.values())
    return {cause: part / whole for cause, part in rooted.items()}


def _verdict(
    posterior: Mapping[str, float], found: Sequence[Candidate], unexplained: str
) -> Verdict:
    ranked = sorted(posterior.items(), key=lambda pair: (-pair[1], pair[0]))
    kept = tuple((c, p) for c, p in ranked if p > _KEPT) or ((unexplained, 1.0),)
    best = {c.cause.name: c.prediction for c in found}.get(kept[0][0])
    return Verdict(causes=kept, unexplained=unexplained, prediction=best)
