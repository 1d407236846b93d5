"""A number with a load unit, and whether it can be a rating at all."""

from __future__ import annotations

from dataclasses import dataclass, replace

from tallyhook.messages import say
from tallyhook.texts.flags import flag_of
from tallyhook.texts.numbers import Number, number_at
from tallyhook.texts.scan import Scan
from tallyhook.texts.units import AMBIGUOUS_TON, unit_at
from tallyhook.units import factor, quantity_kind
from tallyhook.vocabulary.lexicon import phrases

__all__ = [
    "Found",
    "Load",
    "doubt",
    "found_at",
    "is_pair",
    "labels_of",
    "load_of",
    "plausible",
    "range_from",
    "ton_note",
    "with_unit",
]


_PLAUSIBLE_KG = (
    100.0,
    400_000.0,
)  # the smallest and largest chain and hooks of any table, with room


@dataclass(frozen=True, slots=True, kw_only=True)
class Load:
    """A load or force as written.

    Attributes
    ----------
    value, unit : float, str
        The number and its canonical unit; ``ton`` when nobody can say which ton.
    kg, kn : float or None
        The same in kilograms and kilonewtons; None for a bare ton.
    step : float
        Worth of the last significant digit written, in `unit`.
    step_kg : float or None
        The same in kilograms.
    text : str
        As written, with its unit.
    """

    value: float
    unit: str
    kg: float | None
    kn: float | None
    step: float
    step_kg: float | None
    text: str


@dataclass(frozen=True, slots=True)
class Found:
    """A number and its unit, with the tokens they cover."""

    start: int
    end: int
    number: Number
    unit: str


def ton_note(load: Load) -> str | None:
    """Say that a bare ton may be either ton, with both readings; None for any other unit."""
    if load.unit != AMBIGUOUS_TON:
        return None
    short, metric = load.value * factor("short ton", "kg"), load.value * 1000
    return say(
        "'{shown}' may be short tons ({short:,.0f} kg) or metric tons ({metric:,.0f} kg)",
        shown=load.text,
        short=short,
        metric=metric,
    )


def with_unit(load: Load, unit: str) -> Load:
    """Give a bare ton its unit, once the list has settled which ton it means."""
    to_kg = factor(unit, "kg")
    return replace(
        load,
        unit=unit,
        kg=load.value * to_kg,
        kn=load.value * factor(unit, "kN"),
        step_kg=load.step * to_kg,
    )


_FINE = ("8", "16", "32", "64")
"""Chain sizes are written in such fractions of an inch, loads in halves and quarters at most."""


def found_at(scan: Scan, i: int, column_unit: str | None) -> Found | None:
    """Read a number with a load unit from token `i` on, or with the unit of its column."""
    number = number_at(scan, i, spaces=True)
    if number is None or scan.is_used(number.start, number.end):
        return None
    unit = unit_at(scan, number.end)
    if unit is None and column_unit is None and number.spaced and number.inch is None:
        return None
    if unit is None:
        return Found(i, number.end, number, column_unit) if column_unit else None
    name, end = unit
    if number.inch is not None and number.inch.rsplit("/")[-1] in _FINE:
        return None
    if name != AMBIGUOUS_TON and quantity_kind(name) == "length":
        return None
    if name == AMBIGUOUS_TON and column_unit in ("t", "short ton", "long ton"):
        name = column_unit
    return Found(i, end, number, name) if scan.free_before(i) else None


def load_of(scan: Scan, found: Found, *, trusted: bool) -> Load | None:
    """Make the load of a number and a unit; None when its mark can be read in two ways.

    `trusted` says that a word or a column makes it a rating, so that of two readings the
    only one that can be a rating is taken.
    """
    number, unit = found.number, found.unit
    value, step = number.value, number.step
    if number.other is not None:
        here, there = plausible(value, unit), plausible(number.other, unit)
        if scan.context.decimal is None:
            if here == there or not (trusted or unit in ("lb", "t")):
                return None
            if there:
                value, step = number.other, _swapped_step(number)
        elif there and not here:
            return None
    text = scan.cut(found.start, found.end)
    if found.end == number.end:
        text = f"{text} {unit}"
    if unit == AMBIGUOUS_TON:
        return Load(value=value, unit=unit, kg=None, kn=None, step=step, step_kg=None, text=text)
    to_kg = factor(unit, "kg")
    return Load(
        value=value,
        unit=unit,
        kg=value * to_kg,
        kn=value * factor(unit, "kN"),
        step=step,
        step_kg=step * to_kg,
        text=text,
    )


def _swapped_step(number: Number) -> float:
    other = number.other or 0.0
    if other != int(other):
        return 0.001
    digits = str(int(other))
    return float(10 ** (len(digits) - len(digits.rstrip("0"))))


def plausible(value: float, unit: str) -> bool:
    """Tell whether a load can be the rating of any chain or hook."""
    kg = value * (1000 if unit == AMBIGUOUS_TON else factor(unit, "kg"))
    return _PLAUSIBLE_KG[0] <= kg <= _PLAUSIBLE_KG[1]


def doubt(scan: Scan, found: Found) -> str:
    """Say both readings of a number whose mark can be read in two ways."""
    number = found.number
    shown = scan.cut(found.start, found.end)
    return say(
        "'{shown}' may be {value:g} or {other:,.0f} {unit}",
        shown=shown,
        value=number.value,
        other=number.other or 0,
        unit=found.unit,
    )


def labels_of(scan: Scan) -> list[tuple[int, int, str]]:
    """Find the words that say what a load is: first token, token after the last, label."""
    return [
        (scan.where[h.start], scan.where[h.end - 1] + 1, str(h.value))
        for h in phrases("load-labels", "word", "label").find(scan.words)
    ]


def range_from(scan: Scan, i: int, found: Found | None) -> int | None:
    """Give the end of a range of loads ("1.12T - 15T", "2 to 4 t") that begins at token `i`."""
    if found is not None:
        first, end = found.number, found.end
    else:
        number = number_at(scan, i)
        if number is None:
            return None
        first, end = number, number.end
    if not (scan.is_mark(end, "-~") or (scan.means(end, "range") and scan.is_number(end + 1))):
        return None
    second = found_at(scan, end + 1, None)
    if second is None:
        return None
    unit = found.unit if found else second.unit
    if found is None and not (
        plausible(first.value, second.unit) and first.value < second.number.value
    ):
        return None
    return second.end if unit == second.unit or found is None else None


def is_pair(scan: Scan) -> bool:
    """Tell whether a text says that its load is for a pair."""
    return flag_of(scan, "pair")[0] == {"yes"}
