"""Laws that ask for a design factor: what is left of a table's rating where a law asks for more.

A law prints no sling table. A rating by a law is the lowest that a table has for the case, brought
down where the breaking force over that rating is less than the law asks for.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from tallyhook.messages import say
from tallyhook.packages.package import built_in_packages
from tallyhook.use.case import Case
from tallyhook.use.documents import short
from tallyhook.use.families import FAMILIES, Family, records
from tallyhook.use.result import Factor, UseRefused
from tallyhook.wording import number_text

__all__ = ["families_of_tables", "is_law", "law_names", "law_notes", "law_step"]

_ITEMS = {
    "sling": ("sling-chain",),
    "chain": ("sling-chain", "lifting-machine-chain"),
    "hook": ("hook",),
    "grab-hook": ("hook",),
}
_ANY = "any"
_EPS = 1e-9


def law_names() -> tuple[str, ...]:
    """Name the laws, as ``by`` takes them."""
    return tuple(dict.fromkeys(built_in_packages()["use"]["law-factors"]["law"]))


def is_law(by: str) -> bool:
    """Whether a name is that of a law."""
    return by in law_names()


def families_of_tables() -> tuple[Family, ...]:
    """Give the families whose own tables rate what is lifted."""
    return tuple(f for f in FAMILIES.values() if f.scheme and f.lifts)


def law_step(law: str, case: Case, family: Family) -> Factor:
    """Give the line of a law on a rating of a table.

    Raises
    ------
    UseRefused
        The law has no factor for such a thing, lets no leg hang so flat, or the rating is a marked
        one, whose breaking force is not known here.

    Examples
    --------
    The Alberta code, 292(1)(b), asks for a fifth of the breaking strength, where the table of
    grade 80 has a quarter; `tests/use/test_laws.py` has the numbers.
    """
    row = _row(law, case.kind)
    if case.marked_kg is not None:
        raise UseRefused(
            say("what a marked rating is of the breaking force is not known here"),
            next_step=say("ask its maker for the breaking force, or leave the mark out"),
        )
    flattest = row["most_leg_angle_deg"]
    if flattest is not None and case.legs > 1 and (case.largest_angle or 0) > flattest + _EPS:
        raise UseRefused(
            say(
                "{document} ({locator}) lets legs hang at {most:g} degrees to the vertical at most",
                document=short(row["source"]),
                locator=row["locator"],
                most=flattest,
            )
        )
    asked, table = float(row["design_factor"]), _factor_of_tables(case, family)
    note = say(
        "the {family} tables have {table}, and the law asks for {asked}",
        family=family.name,
        table=number_text(table),
        asked=number_text(asked),
    )
    name = say("design factor by the law of {law}", law=row["title"])
    return Factor.of_row(name, min(1.0, table / asked), row, note)


def law_notes(law: str, case: Case) -> tuple[str, ...]:
    """Say which other factors the law has for the same thing, and when."""
    rows = [r for r in records("use", "law-factors", law=law) if r["item"] in _ITEMS[case.kind]]
    return tuple(
        say(
            "{document} ({locator}) asks for {factor}: {when}",
            document=short(r["source"]),
            locator=r["locator"],
            factor=number_text(r["design_factor"]),
            when=r["note"],
        )
        for r in rows
        if r["condition"] != _ANY
    )


def _row(law: str, kind: str) -> dict[str, Any]:
    rows = [
        r
        for r in records("use", "law-factors", law=law, condition=_ANY)
        if r["item"] in _ITEMS[kind]
    ]
    if not rows:
        raise UseRefused(
            say("the law of {law} that was read has no factor for a {kind}", law=law, kind=kind)
        )
    return _strictest(rows)


def _strictest(rows: Sequence[dict[str, Any]]) -> dict[str, Any]:
    return max(rows, key=lambda r: float(r["design_factor"]))


def _factor_of_tables(case: Case, family: Family) -> float:
    rows = records("chain", "grades", scheme=family.scheme, grade=case.grade)
    if not rows or rows[0]["design_factor"] is None:
        raise UseRefused(
            say(
                "the {family} tables name no design factor of grade {grade}",
                family=family.name,
                grade=case.grade,
            )
        )
    return float(rows[0]["design_factor"])
