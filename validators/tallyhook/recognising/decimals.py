"""Whether the comma or the point is the decimal mark, from the numbers of the list alone."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass

from tallyhook.recognising.cells import holds_load

__all__ = ["Evidence", "evidence", "settle"]

_MARKED = re.compile(r"(?<![\w.,/'])\d++(?:[.,]\d++)+(?![\w/]*\d)")

# Bounds of a rated load, wide on purpose: below and above nothing is sold for lifting.
# Common practice, no source.
_LEAST = {"kg": 50.0, "lb": 100.0, "lbf": 100.0, "N": 500.0, "daN": 50.0}
_MOST = {"t": 1000.0, "ton": 1000.0, "short ton": 1000.0, "long ton": 1000.0, "kN": 20_000.0}


@dataclass(frozen=True, slots=True, kw_only=True)
class Evidence:
    """How many numbers can only be read with a decimal point, and with a decimal comma.

    `firm` counts numbers that settle it by their form, `likely` those that do by their size.
    """

    firm_point: int = 0
    firm_comma: int = 0
    likely_point: int = 0
    likely_comma: int = 0

    def __add__(self, other: Evidence) -> Evidence:
        return Evidence(
            firm_point=self.firm_point + other.firm_point,
            firm_comma=self.firm_comma + other.firm_comma,
            likely_point=self.likely_point + other.likely_point,
            likely_comma=self.likely_comma + other.likely_comma,
        )


def evidence(values: Iterable[str], unit: str | None = None) -> Evidence:
    """Count what the numbers of some cells say about the decimal mark.

    ``3,15`` and ``1.234,5`` settle it by their form. ``4.250 kg`` settles it by its size, since no
    rated load is 4.25 kg, and ``1,120 t`` since none is 1120 t.

    Parameters
    ----------
    values : iterable of str
        Distinct cells.
    unit : str, optional
        Canonical unit of the bare numbers among them.
    """
    firm, likely = {".": 0, ",": 0}, {".": 0, ",": 0}
    for value in values:
        inside = dict(holds_load(value))
        bare = value.strip()
        for match in _MARKED.finditer(value):
            text = match[0]
            mark = _by_form(text)
            if mark:
                firm[mark] += 1
                continue
            its = inside.get(text) or (unit if text == bare else None)
            mark = _by_size(text, its)
            if mark:
                likely[mark] += 1
    return Evidence(
        firm_point=firm["."],
        firm_comma=firm[","],
        likely_point=likely["."],
        likely_comma=likely[","],
    )


def _other(mark: str) -> str:
    return "," if mark == "." else "."


def _by_form(text: str) -> str | None:
    marks = [c for c in text if c in ".,"]
    if len(set(marks)) == 2:
        return marks[-1] if marks.count(marks[-1]) == 1 else None
    if len(marks) > 1:
        groups = re.split(r"[.,]", text)
        return _other(marks[0]) if all(len(g) == 3 for g in groups[1:]) else None
    head, tail = re.split(r"[.,]", text)
    if len(tail) != 3 or len(head) > 3 or head.startswith("0"):
        return marks[0]
    return None


def _by_size(text: str, unit: str | None) -> str | None:
    if unit is None or len(re.findall(r"[.,]", text)) != 1:
        return None
    mark = "," if "," in text else "."
    grouped = float(re.sub(r"[.,]", "", text))
    if grouped / 1000 < _LEAST.get(unit, 0.0):
        return _other(mark)
    if grouped >= _MOST.get(unit, float("inf")):
        return mark
    return None


def settle(found: Evidence) -> str | None:
    """Give the decimal mark that the evidence agrees on, or None.

    A few numbers against many (a typing error in a long list) do not unsettle it.
    """
    for point, comma in (
        (found.firm_point, found.firm_comma),
        (found.likely_point, found.likely_comma),
    ):
        if point or comma:
            # form goes before size: the second pair is asked only when the first is silent
            if comma <= 0.05 * point:
                return "."
            if point <= 0.05 * comma:
                return ","
            return None
    return None
