"""The rating that the factors start from: a marked one, a table's, or a rule's."""

from __future__ import annotations

from collections.abc import Mapping
from contextlib import suppress
from dataclasses import dataclass
from typing import Any

from tallyhook.formulas import european_wll
from tallyhook.matching.tolerances import CONVERTED_ROUNDING, ROUNDING
from tallyhook.packages.rated_as_chain import forms_rated_as_chain
from tallyhook.units import factor
from tallyhook.use.families import FAMILIES, Family, record, records
from tallyhook.use.result import Factor, UseRefused, short
from tallyhook.wording import number_text

__all__ = [
    "Start",
    "marked_against_tables",
    "marked_start",
    "refuse_for_lifting",
    "refuse_form",
    "start_of",
]

_TABLES = {
    "chain": ("chain", "ratings"),
    "sling": ("chain", "ratings"),
    "hook": ("hooks", "chain-hooks"),
}
_SMALLEST_AUSTRALIAN = {"rule": "smallest-chain", "source": "nsw-dogging-guide"}


@dataclass(frozen=True, slots=True, kw_only=True)
class Start:
    """The rating of one leg, and how its sling ratings are rounded.

    `series` is ``r40`` (down to the preferred numbers), ``100 lb`` or empty (not rounded).
    """

    kg: float
    printed_kg: float
    step: Factor
    series: str


def marked_start(kg: float, kind: str, *, lifting: bool) -> Start:
    """Start from the rating that is marked on the part or stands on its certificate."""
    if lifting:
        wanted = {"source": "29-cfr-1910-184", "marks": "rated load"}
        row = records("inspection", "marking-rules", **wanted)[0]
        note = f"{row['note'].rstrip('.')}; what the maker marked governs over any general table"
    else:
        row = records("use", "sling-rules", rule="marked-rating-prevails")[0]
        note = "what the maker marked governs over any general table"
    part = "one leg" if kind == "sling" else f"the {kind}"
    return _started(f"marked rating of {part}, as given", kg, row, known_by="given", note=note)


def marked_against_tables(
    marked_kg: float, family: Family, kind: str, grade: int, size_mm: float, size: str,
    *, lifting: bool,
) -> tuple[str, bool]:  # fmt: skip
    """Hold a marked rating against the published ones.

    Returns
    -------
    tuple
        A sentence where it is above the family's own table or there is none, and whether no table
        read here confirms it: each is below it by more than rounding explains, or there is none.
    """
    published = {}
    for other in FAMILIES.values():
        if (lifting and other.name == "us-tiedown") or (kind == "hook" and not other.scheme):
            continue
        with suppress(UseRefused):
            published[other.name] = start_of(other, kind, grade, size_mm, size)
    confirms = "only the maker's certificate can confirm it"
    if not published:
        what = f"no table read here has {size} in grade {grade}"
        return f"{what}, so nothing was held against the marked rating: {confirms}", True
    highest = max(published, key=lambda n: (published[n].printed_kg, n == family.name))
    above_all = marked_kg > published[highest].printed_kg * (1 + ROUNDING)
    name = highest if above_all or family.name not in published else family.name
    table = published[name]
    times = marked_kg / table.printed_kg
    if times <= 1 + CONVERTED_ROUNDING:
        return "", False
    pounds = table.step.unit == "lb"
    printed = f"{number_text(table.step.value)} lb"
    told = printed if pounds else f"{number_text(table.printed_kg / 1000)} t"
    rank = f", the highest that any has for {size} grade {grade}" if above_all else ""
    return (
        f"the marked rating is {number_text(round(times, 2))} times the {told} of the {name} "
        f"tables{rank}: {confirms}",
        above_all,
    )


def _started(
    name: str,
    kg: float,
    row: Mapping[str, Any],
    *,
    known_by: str | None = None,
    pounds: float | None = None,
    printed_kg: float | None = None,
    series: str = "",
    note: str = "",
) -> Start:
    """Start from a record of a table, which is told in pounds if those are given."""
    step = Factor(
        name=name,
        value=kg if pounds is None else pounds,
        unit="kg" if pounds is None else "lb",
        left_kg=kg,
        source=row["source"],
        locator=row["locator"],
        known_by=known_by or row["known_by"],
        note=note,
    )
    return Start(
        kg=kg, printed_kg=kg if printed_kg is None else printed_kg, step=step, series=series
    )


def refuse_for_lifting(family: Family, grade: int, what: str = "") -> None:
    """Refuse to lift with a grade that its specification keeps from lifting.

    A grade that no document of the family knows is refused where every scheme that has it says no.
    """
    rows = records("chain", "grades", scheme=family.scheme or "european", grade=grade)
    if not rows and grade not in family.legs:
        rows = records("chain", "grades", grade=grade)
    if not rows or any(row["overhead_lifting"] != "no" for row in rows):
        return
    rule = records("use", "sling-rules", rule="chain-not-for-lifting", source="astm-a413")[0]
    subject = f"the {what} is grade {grade}, which" if what else f"grade {grade}"
    raise UseRefused(
        f"{subject} is not for lifting: {short(rule['source'])} ({rule['locator']}) is "
        "for other purposes than overhead lifting",
        next_step="use alloy chain and fittings of grade 80 or 100",
    )


def refuse_form(form: Any, *, marked: bool) -> None:
    """Refuse a form that is none, and one that no table rates as its chain unless it is marked.

    A sorting hook and the grab hooks are left to the factors of their own.
    """
    known = [r["form"] for r in records("hooks", "forms")]
    if form is not None and form not in known:
        raise UseRefused(
            f"'{form}' is no form of a hook", next_step=f"use one of {', '.join(known)}"
        )
    own = (None, "sorting", *forms_rated_as_chain(less_a_deduction=True))
    if not marked and form not in own:
        raise UseRefused(
            f"no table rates a {form} hook as the chain of its size: its maker does",
            next_step="give the marked rating",
        )


def start_of(family: Family, kind: str, grade: int, size_mm: float, size: str) -> Start:
    """Start from the family's published rating of one leg.

    Raises
    ------
    UseRefused
        The family has no rating of that grade and size, or knows it from memory only.
    """
    if not family.scheme:
        return _by_rule_of_thumb(family, grade, size_mm, size)
    package, table = _TABLES[kind]
    rows = records(package, table, scheme=family.scheme, grade=grade)
    if not rows:
        grades = sorted({r["grade"] for r in records(package, table, scheme=family.scheme)})
        raise UseRefused(
            f"the {family.name} tables have no {kind} of grade {grade}",
            next_step=f"they have {', '.join(map(str, grades))}",
        )
    row = next((r for r in rows if r["size_mm"] == size_mm), None)
    if row is None:
        known = ", ".join(r["size_in"] or number_text(r["size_mm"]) for r in rows)
        raise UseRefused(
            f"the {family.name} tables have no {size} in grade {grade}",
            next_step=f"they list {known}{' mm' if family.unit == 't' else ' (mm or in)'}",
        )
    pounds = family.unit == "lb"
    known_by = row["known_by"] if pounds else row.get("wll_kg_known_by") or row["known_by"]
    if known_by == "recalled":
        value = f"{number_text(row['wll_lb'])} lb" if pounds else f"{number_text(row['wll_kg'])} kg"
        raise UseRefused(
            f"the only rating found for {size} grade {grade} is from memory (unverified: {value})",
            next_step="give the marked rating instead",
        )
    return _from_row(family, kind, grade, size_mm, row, known_by)


def _from_row(
    family: Family, kind: str, grade: int, size_mm: float, row: Mapping[str, Any], known_by: str
) -> Start:
    part = "one leg" if kind == "sling" else kind
    if family.unit == "lb":
        return _started(
            f"rating of {part}",
            row["wll_lb"] * factor("lb", "kg"),
            row,
            known_by=known_by,
            pounds=row["wll_lb"],
            series="100 lb" if kind == "sling" else "",
        )
    printed = row["wll_kg"]
    if kind != "sling":
        return _started(f"rating of {part}", printed, row, known_by=known_by)
    # EN 818-4 takes the leg factor of the unrounded rating: 1.4 x 1.1533 t is rated 1.6 t
    return _started(
        f"rating of one leg, unrounded (printed {number_text(printed / 1000)} t)",
        1000 * european_wll(size_mm, grade),
        row,
        known_by=known_by,
        printed_kg=printed,
        series="r40",
        note="sling ratings are taken of the unrounded figure and rounded once, at the end",
    )


def _by_rule_of_thumb(family: Family, grade: int, size_mm: float, size: str) -> Start:
    smallest = records("use", "sling-rules", **_SMALLEST_AUSTRALIAN)[0]
    if size_mm < smallest["value_mm"]:
        raise UseRefused(
            f"{short(smallest['source'])} ({smallest['locator']}) has no chain thinner than "
            f"{number_text(smallest['value_mm'])} mm for lifting, and this is {size}"
        )
    row = record(
        "use",
        "rules-of-thumb",
        f"has no rule for chain of grade {grade}",
        source="qld-doggers-guide",
        grade=grade,
    )
    return _started(
        f"rating of one leg by rule: {row['formula']}",
        row["coefficient_kg_mm2"] * size_mm**2,
        row,
        note="no Australian chain table was read; give the marked rating where there is one",
    )
