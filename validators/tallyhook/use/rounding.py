"""The rating of a sling as the tables of a family print it."""

from __future__ import annotations

from dataclasses import dataclass

from tallyhook.formulas import round_down_r40
from tallyhook.messages import say
from tallyhook.units import factor
from tallyhook.use.case import Case
from tallyhook.use.families import Family
from tallyhook.use.ratings import Start
from tallyhook.use.result import Factor
from tallyhook.wording import number_text

__all__ = ["rounded_step"]

_HUNDREDS = 100  # lb


@dataclass(frozen=True, slots=True, kw_only=True)
class _Rounded:
    kg: float
    how: str
    source: str
    locator: str
    known_by: str


def rounded_step(case: Case, family: Family, start: Start, kg: float) -> list[Factor]:
    """Round a sling's rating [kg] as the family's tables print theirs."""
    if start.series == "r40":
        rounded = _preferred(kg)
    elif case.configuration == "1-leg" and case.hitch != "basket":
        return []
    else:
        rounded = _to_hundreds(kg)
    pounds = family.unit == "lb"
    step = Factor(
        name=rounded.how,
        value=round(rounded.kg * factor("kg", "lb") if pounds else rounded.kg, 6),
        unit="lb" if pounds else "kg",
        left_kg=round(rounded.kg, 6),
        source=rounded.source,
        locator=rounded.locator,
        known_by=rounded.known_by,
    )
    return [step]


def _preferred(kg: float) -> _Rounded:
    return _Rounded(
        kg=1000 * round_down_r40(kg / 1000),
        how=say("rounded down to the preferred numbers"),
        source="iso-3",
        locator=say("series R40"),
        known_by="computed",
    )


def _to_hundreds(kg: float) -> _Rounded:
    pounds = round(kg * factor("kg", "lb"), 6)  # a half must stay a half
    # to the nearest 100 lb, a half downwards: so do the sling tables that were read
    hundreds = -float((_HUNDREDS / 2 - pounds) // _HUNDREDS)
    return _Rounded(
        kg=_HUNDREDS * hundreds * factor("lb", "kg"),
        how=say(
            "to the nearest {hundreds} lb ({before} lb before)",
            hundreds=_HUNDREDS,
            before=number_text(round(pounds, 1)),
        ),
        source="common-practice",
        locator=say("American sling tables are printed to {hundreds} lb", hundreds=_HUNDREDS),
        known_by="computed",
    )
