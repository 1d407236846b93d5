"""The rating that the factors start from: a marked one, a table's, or a rule's."""

from __future__ import annotations

from collections.abc import Mapping
from contextlib import suppress
from dataclasses import dataclass, replace
from typing import Any

from tallyhook.formulas import european_wll
from tallyhook.matching.tolerances import CONVERTED_ROUNDING, ROUNDING
from tallyhook.messages import say
from tallyhook.packages.grades import stress_at_rating
from tallyhook.packages.rated_as_chain import forms_rated_as_chain
from tallyhook.units import factor
from tallyhook.use.documents import short
from tallyhook.use.families import FAMILIES, Family, record, records
from tallyhook.use.result import Factor, UseRefused
from tallyhook.wording import number_text

__all__ = [
    "Doubt",
    "Rated",
    "Start",
    "marked_against_tables",
    "marked_start",
    "printed_start",
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
class Rated:
    """What a table rates: a chain, a leg of a sling or a hook of one grade and size.

    `size_mm` is the nominal diameter of the chain [mm], `size` the name it was given by.
    """

    kind: str
    grade: int
    size_mm: float
    size: str

    @property
    def named(self) -> str:
        """Its size and grade, as a sentence names them."""
        return say("{size} grade {grade}", size=self.size, grade=self.grade)


@dataclass(frozen=True, slots=True, kw_only=True)
class Doubt:
    """Why a marked rating is doubted, empty when it is not; and whether no table confirms it."""

    why: str = ""
    unconfirmed: bool = False


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
    """Start from the rating [kg] that is marked on the part or stands on its certificate."""
    note = say("what the maker marked governs over any general table")
    if lifting:
        wanted = {"source": "29-cfr-1910-184", "marks": "rated load"}
        row = records("inspection", "marking-rules", **wanted)[0]
        note = f"{row['note'].rstrip('.')}; {note}"
    else:
        row = records("use", "sling-rules", rule="marked-rating-prevails")[0]
    if kind == "sling":
        name = say("marked rating of one leg, as given")
    else:
        name = say("marked rating of the {kind}, as given", kind=kind)
    return _started(name, kg, row, known_by="given", note=note)


def marked_against_tables(
    marked_kg: float, rated: Rated, family: Family, *, lifting: bool, what: str = ""
) -> Doubt:
    """Hold a marked rating [kg] against the published ones; `what` is how a sentence names it.

    It is doubted where it is above the family's own table or there is none, and unconfirmed where
    each table read here is below it by more than rounding explains, or there is none.
    """
    published = _published(rated, lifting=lifting)
    what = what or say("the marked rating")
    confirms = say("only the maker's certificate can confirm it")
    if not published:
        why = say(
            "no table read here has {size} in grade {grade}, so nothing was held against {what}: "
            "{confirms}",
            size=rated.size,
            grade=rated.grade,
            what=what,
            confirms=confirms,
        )
        return Doubt(why=why, unconfirmed=True)
    highest = max(published, key=lambda n: (published[n].printed_kg, n == family.name))
    above_all = marked_kg > published[highest].printed_kg * (1 + ROUNDING)
    name = highest if above_all or family.name not in published else family.name
    table = published[name]
    times = marked_kg / table.printed_kg
    if times <= 1 + CONVERTED_ROUNDING:
        return Doubt()
    if table.step.unit == "lb":
        printed = f"{number_text(table.step.value)} lb"
    else:
        printed = f"{number_text(table.printed_kg / 1000)} t"
    compared = say(
        "{what} is {times} times the {rating} of the {family} tables",
        what=what,
        times=number_text(round(times, 2)),
        rating=printed,
        family=name,
    )
    if above_all:
        rank = say("the highest that any has for {item}", item=rated.named)
        compared = f"{compared}, {rank}"
    return Doubt(why=f"{compared}: {confirms}", unconfirmed=above_all)


def _published(rated: Rated, *, lifting: bool) -> dict[str, Start]:
    """Give what each family's table has for it, by the family's name."""
    published = {}
    for family in FAMILIES.values():
        if (lifting and not family.lifts) or (rated.kind == "hook" and not family.scheme):
            continue
        with suppress(UseRefused):
            published[family.name] = start_of(family, rated)
    return published


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
    """Start from a record of a table, which is shown in pounds if those are given."""
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
    if not rows or any(row["overhead_lifting"] is not False for row in rows):
        return
    rule = records("use", "sling-rules", rule="chain-not-for-lifting", source="astm-a413")[0]
    subject = say("grade {grade}", grade=grade)
    if what:
        subject = say("the {what} is grade {grade}, which", what=what, grade=grade)
    raise UseRefused(
        say(
            "{subject} is not for lifting: {document} ({locator}) is for other purposes than "
            "overhead lifting",
            subject=subject,
            document=short(rule["source"]),
            locator=rule["locator"],
        ),
        next_step=say("use alloy chain and fittings of grade 80 or 100"),
    )


def refuse_form(form: Any, *, marked: bool) -> None:
    """Refuse a form that is none, and one that no table rates as its chain unless it is marked."""
    if form is None:
        return
    forms = [r["form"] for r in records("hooks", "forms")]
    if form not in forms:
        raise UseRefused(
            say("'{form}' is no form of a hook", form=form),
            next_step=say("use one of {names}", names=", ".join(forms)),
        )
    if not marked and form not in forms_rated_as_chain(less_a_deduction=True):
        raise UseRefused(
            say("no table rates a {form} hook as the chain of its size: its maker does", form=form),
            next_step=say("give the marked rating"),
        )


def start_of(family: Family, rated: Rated) -> Start:
    """Start from the family's published rating of one leg.

    Raises
    ------
    UseRefused
        The family has no rating of that grade and size, or knows it from memory only.
    """
    if not family.scheme:
        return _by_rule_of_thumb(family, rated)
    row = _row_of(family, rated)
    pounds = family.unit == "lb"
    known_by = row["known_by"] if pounds else row.get("wll_kg_known_by") or row["known_by"]
    if known_by == "recalled":
        value = f"{number_text(row['wll_lb'])} lb" if pounds else f"{number_text(row['wll_kg'])} kg"
        raise UseRefused(
            say(
                "the only rating found for {item} is from memory (unverified: {rating})",
                item=rated.named,
                rating=value,
            ),
            next_step=say("give the marked rating instead"),
        )
    return _from_row(family, rated, row, known_by)


def printed_start(start: Start) -> Start:
    """Start from the rating of one leg as it is printed, where a sling is not rated of more."""
    if abs(start.printed_kg - start.kg) < 1e-9:
        return replace(start, series="")
    step = replace(
        start.step,
        name=say("rating of one leg"),
        value=start.printed_kg,
        left_kg=start.printed_kg,
        note="",
    )
    return Start(kg=start.printed_kg, printed_kg=start.printed_kg, step=step, series="")


def _row_of(family: Family, rated: Rated) -> dict[str, Any]:
    package, table = _TABLES[rated.kind]
    rows = records(package, table, scheme=family.scheme, grade=rated.grade)
    if not rows:
        grades = sorted({r["grade"] for r in records(package, table, scheme=family.scheme)})
        raise UseRefused(
            say(
                "the {family} tables have no {kind} of grade {grade}",
                family=family.name,
                kind=rated.kind,
                grade=rated.grade,
            ),
            next_step=say("they have {grades}", grades=", ".join(map(str, grades))),
        )
    row = next((r for r in rows if r["size_mm"] == rated.size_mm), None)
    if row is None:
        sizes = ", ".join(r["size_in"] or number_text(r["size_mm"]) for r in rows)
        listed = say("they list {sizes} (mm or in)", sizes=sizes)
        if family.unit == "t":
            listed = say("they list {sizes} mm", sizes=sizes)
        raise UseRefused(
            say(
                "the {family} tables have no {size} in grade {grade}",
                family=family.name,
                size=rated.size,
                grade=rated.grade,
            ),
            next_step=listed,
        )
    return row


def _from_row(family: Family, rated: Rated, row: Mapping[str, Any], known_by: str) -> Start:
    name = say("rating of {kind}", kind=rated.kind)
    if rated.kind == "sling":
        name = say("rating of one leg")
    if family.unit == "lb":
        return _started(
            name,
            row["wll_lb"] * factor("lb", "kg"),
            row,
            known_by=known_by,
            pounds=row["wll_lb"],
            series="100 lb" if rated.kind == "sling" else "",
        )
    printed = row["wll_kg"]
    stress = stress_at_rating(rated.grade)
    if rated.kind != "sling" or stress is None:
        return _started(name, printed, row, known_by=known_by)
    # EN 818-4 takes the leg factor of the unrounded rating: 1.4 x 1.1533 t is rated 1.6 t
    return _started(
        say(
            "rating of one leg, unrounded (printed {rating} t)", rating=number_text(printed / 1000)
        ),
        1000 * european_wll(rated.size_mm, stress),
        row,
        known_by=known_by,
        printed_kg=printed,
        series="r40",
        note=say("sling ratings are taken of the unrounded figure and rounded once, at the end"),
    )


def _by_rule_of_thumb(family: Family, rated: Rated) -> Start:
    smallest = records("use", "sling-rules", **_SMALLEST_AUSTRALIAN)[0]
    if rated.size_mm < smallest["value_mm"]:
        raise UseRefused(
            say(
                "{document} ({locator}) has no chain thinner than {least} mm for lifting, and "
                "this is {size}",
                document=short(smallest["source"]),
                locator=smallest["locator"],
                least=number_text(smallest["value_mm"]),
                size=rated.size,
            )
        )
    row = record(
        "use",
        "rules-of-thumb",
        say("has no rule for chain of grade {grade}", grade=rated.grade),
        source="qld-doggers-guide",
        grade=rated.grade,
    )
    return _started(
        say("rating of one leg by a rule of thumb: {formula}", formula=row["formula"]),
        row["coefficient_kg_mm2"] * rated.size_mm**2,
        row,
        note=say("no Australian chain table was read; give the marked rating where there is one"),
    )
