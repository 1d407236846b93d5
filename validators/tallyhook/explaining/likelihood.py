"""How likely a mistake is to have left the very number in the row."""

from __future__ import annotations

import math
from collections.abc import Sequence
from decimal import Decimal

from tallyhook.explaining.facts import FORCES, TradeFacts
from tallyhook.explaining.mistakes import Prediction
from tallyhook.explaining.nature import Cause
from tallyhook.matching.claims import Item, Rating
from tallyhook.units import factor

__all__ = ["FURTHEST", "chance_of_any_number", "evidence", "significant_figures", "written_as"]

# How people write a load that they read or computed: share by the figures they keep. The shares
# are common practice, no source; what matters is that an exact match outweighs a rounded one.
_AS_IT_IS, _ROUGHLY = 0.62, 0.02
_ROUNDED = ((4, 0.1, 0.0), (3, 0.14, 0.04), (2, 0.05, 0.02))
"""Figures kept, the share that rounds to the nearest, and the share that cuts the rest off."""

FURTHEST = 0.06
"""Share that a number may be off the load that it is written for."""

_SAME_DIGITS = 1e-6
_AS_PRINTED = 1e-4
_BY_A_ROUGH_FACTOR = 3e-3  # 2.2 for 2.2046, 9.81 for 9.80665

_DECADES = 4
"""Decades of loads that a wrong number without a reason may lie in."""

_SAME_COLUMN = 0.03
"""Share up to which two columns of a row hold the same number."""

_SAME_LOAD = 0.025
"""Share up to which two columns in different units hold the same load."""

_AGAINST, _SPEAKS_AGAINST, _HARDLY = 0.05, 0.1, 0.3
_THE_COLUMN_ITSELF = 20.0
"""Weights of what the row's other columns say (judgement)."""


def significant_figures(value: float) -> int:
    """Count the digits of a written number without its trailing zeros.

    Examples
    --------
    >>> significant_figures(7100.0), significant_figures(3.15), significant_figures(26400.0)
    (2, 3, 3)
    """
    return len(Decimal(f"{value:.10g}").normalize().as_tuple().digits)


def chance_of_any_number(value: float) -> float:
    """Give the chance that a wrong number without a reason is this one.

    A number of `n` figures is one of ``9 x 10^(n-1)`` in its decade: a round number arises by
    chance more easily than 26,430.
    """
    return 1 / (_DECADES * 9 * 10.0 ** (significant_figures(value) - 1))


def written_as(prediction: Prediction, value: float, unit: str) -> float:
    """Give the chance that a predicted load is written as this number of this unit."""
    expected = prediction.kg / factor(unit, "kg")
    if expected <= 0:
        return 0.0
    off = abs(value / expected - 1)
    if prediction.exact:
        return 1.0 if off < _SAME_DIGITS else 0.0
    if off > FURTHEST:
        return 0.0
    chance = _AS_IT_IS if off < _AS_PRINTED else 0.0
    chance += _ROUGHLY if off < _BY_A_ROUGH_FACTOR else 0.0
    decade, room = math.floor(math.log10(expected)), _SAME_DIGITS * expected
    for figures, nearest, cut in _ROUNDED:
        last = 10.0 ** (decade - figures + 1)
        if abs(round(expected / last) * last - value) < room:
            chance += nearest
        if cut and abs(math.floor(expected / last + 1e-9) * last - value) < room:
            chance += cut
    return chance


def evidence(cause: Cause, item: Item, own: Sequence[Rating], facts: TradeFacts) -> float:
    """Weigh a cause by the row's other columns: above 1 they speak for it, below 1 against it.

    Parameters
    ----------
    cause : Cause
    item : mapping
        The contradicted item.
    own : sequence of Rating
        The ratings that it may claim.
    facts : TradeFacts
        For the range of forces over the rating.
    """
    weight = _of_the_second_load(cause, item, own)
    for force in FORCES:
        weight *= _of_a_force(force, cause, item, own, facts)
    return weight


def _of_the_second_load(cause: Cause, item: Item, own: Sequence[Rating]) -> float:
    second = item["wll2_kg"]
    if second is None or not own:
        return 1.0
    of_the_cell = cause.reach == "cell"
    if abs(second / item["wll_kg"] - 1) < _SAME_LOAD:
        # both columns say it: a slip of one cell is out, a wrong row is likely
        return _AGAINST if of_the_cell and not cause.before_conversion else 1.0
    other_right = any(abs(second / rating.kg - 1) < _SAME_COLUMN for rating in own)
    return _AGAINST if other_right and not of_the_cell else 1.0


def _of_a_force(
    force: str, cause: Cause, item: Item, own: Sequence[Rating], facts: TradeFacts
) -> float:
    listed = item[f"{force}_kn"]
    if listed is None:
        return 1.0
    newtons = factor("kg", "kN")
    if abs(item["wll_kg"] * newtons / listed - 1) < _SAME_COLUMN:
        return _THE_COLUMN_ITSELF if cause.force == force else _HARDLY
    least, most = facts.ratio_range[force]
    fits_row = least < listed / (item["wll_kg"] * newtons) < most
    fits_own = any(least < listed / (rating.kg * newtons) < most for rating in own)
    of_the_row = cause.reach == "row"
    if fits_row and not fits_own:  # the force went with the wrong rating: another row was copied
        return 1.0 if of_the_row else _SPEAKS_AGAINST
    if fits_own and not fits_row:
        return _HARDLY if of_the_row else 1.0
    return 1.0
