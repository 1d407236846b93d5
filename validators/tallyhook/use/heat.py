"""The factors of heat, in use and after an exposure, and the cold that no document covers."""

from __future__ import annotations

import math
from typing import Any

import polars as pl

from tallyhook.messages import say, to_say
from tallyhook.packages.package import built_in_packages
from tallyhook.use.case import Heat
from tallyhook.use.documents import short
from tallyhook.use.families import Family, in_range, records
from tallyhook.use.result import Factor, UseRefused
from tallyhook.wording import number_text

__all__ = ["heat_steps"]

_ACTIONS = {
    "remove": to_say("the sling is taken out of service"),
    "do-not-use": to_say("the sling is not used"),
    "consult-maker": to_say("the maker is asked"),
    "outside-scope": to_say("the document does not cover it"),
    "reduce-rating": to_say("the maker's reduction holds"),
}


def heat_steps(heat: Heat, grade: int, family: Family) -> list[Factor]:
    """Give the lines of heat: at the temperature of use, and after an exposure.

    Raises
    ------
    UseRefused
        The family has no heat table of that grade, or the temperature is outside of it.
    """
    steps = []
    if heat.in_use is not None:
        row = _heat_row(family, family.heat, grade, heat.in_use, heat.scale)
        steps.append(
            Factor.of_row(
                say("while at {temperature}", temperature=_degrees(heat.in_use, heat.scale)),
                row["factor_while_hot"],
                row,
                _scope_note(family, _celsius(heat.in_use, heat.scale)),
            )
        )
    if heat.before is not None:
        # outside the table of use the exposure itself takes the sling out of service
        _heat_row(family, family.heat, grade, heat.before, heat.scale)
        if grade not in family.after_heat:
            raise UseRefused(
                say(
                    "no {family} document read here says what heat leaves of grade {grade} for "
                    "good",
                    family=family.name,
                    grade=grade,
                ),
                next_step=say("ask the maker"),
            )
        row = _heat_row(family, family.after_heat, grade, heat.before, heat.scale)
        if row["factor_after"] is None:
            raise UseRefused(
                say(
                    "{document} does not say what heat leaves of the rating for good",
                    document=short(row["source"]),
                )
            )
        both = say("the table does not say how this and the heat of use add up; both are taken")
        steps.append(
            Factor.of_row(
                say(
                    "after an exposure to {temperature}",
                    temperature=_degrees(heat.before, heat.scale),
                ),
                row["factor_after"],
                row,
                both if steps else "",
            )
        )
    return steps


def _heat_row(
    family: Family, sources: dict[int, str], grade: int, temperature: float, scale: str
) -> dict[str, Any]:
    if not math.isfinite(temperature):
        raise UseRefused(say("{temperature} is no temperature", temperature=temperature))
    if grade not in sources:
        raise UseRefused(
            say(
                "no {family} document read here has a heat table for grade {grade}",
                family=family.name,
                grade=grade,
            )
        )
    source = sources[grade]
    celsius = _celsius(temperature, scale)
    shown = _degrees(temperature, scale)
    _refuse_cold(family, grade, celsius, shown)
    rows = records("use", "heat-factors", source=source, grade=grade)
    for row in rows:
        printed = scale == "f" and row["temperature_to_f"] is not None
        value, unit = (temperature, "f") if printed else (celsius, "c")
        if in_range(value, row, f"temperature_from_{unit}", f"temperature_to_{unit}"):
            return row
    last = max(r["temperature_to_c"] for r in rows)
    if celsius <= last:
        raise UseRefused(
            say(
                "the heat table of {document} starts above {temperature}",
                document=short(source),
                temperature=shown,
            )
        )
    ends = say(
        "the heat table of {document} for grade {grade} ends at {last} degC, and this is "
        "{temperature}",
        document=short(source),
        grade=grade,
        last=number_text(last),
        temperature=shown,
    )
    raise UseRefused(ends + _above(source, grade))


def _above(source: str, grade: int) -> str:
    """Say what the document does above the end of its table, where it says so."""
    # by the words of the table itself, in whatever language they are shown
    limits = built_in_packages()["inspection"]["limits"]
    hot = (pl.col("source") == source) & (pl.col("criterion") == "high-temperature")
    for row in limits.filter(hot).iter_rows(named=True):
        if f"grade {_symbol(source, grade)}" in row["applies_to"] or "and" in row["applies_to"]:
            return say("; above that {action}", action=say(_ACTIONS[row["action"]]))
    return ""


def _symbol(source: str, grade: int) -> str:
    return str(grade // 10) if source.startswith(("en-", "european")) else str(grade)


def _refuse_cold(family: Family, grade: int, celsius: float, shown: str) -> None:
    """Refuse a cold that a specification of the family's chain stops at."""
    for row in records("chain", "grades", scheme=family.scheme, grade=grade):
        least = row["temperature_min_c"]
        # where none is named, the lowest that any document names is as far as one may go
        if celsius >= (_coldest_c() if least is None else least):
            continue
        end = say("no lower end that is named")
        if least is not None:
            end = f"{number_text(least)} degC"
        raise UseRefused(
            say(
                "{temperature} is colder than the documents of {family} grade {grade} go ({end}; "
                "{document}, {locator})",
                temperature=shown,
                family=family.name,
                grade=grade,
                end=end,
                document=short(row["source"]),
                locator=row["locator"],
            ),
            next_step=say("ask the maker"),
        )


def _coldest_c() -> float:
    named = built_in_packages()["chain"]["grades"]["temperature_min_c"].drop_nulls()
    return min(float(value) for value in named)


def _scope_note(family: Family, celsius: float) -> str:
    if family.name != "us":
        return ""
    row = records("inspection", "limits", source="astm-a906", criterion="scope-high-temperature")[0]
    if celsius <= row["value_c"]:
        return ""
    return say(
        "{document} does not cover slings above {limit} degC",
        document=short(row["source"]),
        limit=number_text(row["value_c"]),
    )


def _celsius(value: float, scale: str) -> float:
    return round((value - 32) / 1.8, 9) if scale == "f" else value


def _degrees(value: float, scale: str) -> str:
    return f"{number_text(value)} deg{scale.upper()}"
