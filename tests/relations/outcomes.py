"""What a check says of each thing of a list, in a form in which two checks can be compared."""

from __future__ import annotations

import hashlib
import re
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, fields
from functools import cache
from typing import Any

from tallyhook.checking import RatingBasis, RowsInMemory, conclude, rating_basis
from tallyhook.errors import StockListError
from tallyhook.explaining import explain as explaining
from tallyhook.interpreting.list_items import items_of_list
from tallyhook.matching import claims
from tallyhook.model.options import ListOptions
from tallyhook.reporting.report import Report

__all__ = ["FIELDS", "Outcome", "checked", "differing", "ratings_worked_out_once"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Outcome:
    """What is said of one thing.

    `findings` are (rule, severity), `expected` (rule, expected kg, rating id) and `causes` (rule,
    cause), all sorted; `read` is what was read of the row: kind, size, grade, legs, load in kg.
    `unread` are the columns of which a cell is told as not read.
    """

    outcome: str
    rating_id: str | None
    findings: tuple[tuple[Any, ...], ...]
    expected: tuple[tuple[Any, ...], ...]
    causes: tuple[tuple[Any, ...], ...]
    read: tuple[Any, ...]
    why: str | None
    unread: tuple[str, ...]


FIELDS = tuple(f.name for f in fields(Outcome))
_READ = ("kind", "size_mm", "grade", "legs", "wll_kg")


@cache
def _basis() -> RatingBasis:
    return rating_basis(ListOptions())


@contextmanager
def ratings_worked_out_once() -> Iterator[None]:
    """Make once what follows from the ratings alone, in place of once for every list."""
    names = ((claims, "PublishedRatings"), (explaining, "RatingSeries"))
    before = [getattr(module, name) for module, name in names]
    for (module, name), make in zip(names, before, strict=True):
        made = make(_basis().reference)
        setattr(module, name, lambda _, made=made: made)
    try:
        yield
    finally:
        for (module, name), make in zip(names, before, strict=True):
            setattr(module, name, make)


_concluded: dict[bytes, Report] = {}


def _report(stock: Any) -> Report:
    """Check a list; what the same items were concluded to is kept, for many forms read the same."""
    layouts, listed = items_of_list(stock, ListOptions())
    digest = hashlib.blake2b(digest_size=16)
    for frame in (listed.distinct, listed.rows):
        digest.update(frame.serialize())
    key = digest.digest()
    if key not in _concluded:
        if len(_concluded) > 256:
            _concluded.clear()
        _concluded[key] = conclude(
            listed.distinct, RowsInMemory(rows=listed.rows), _basis(), layouts=layouts, file="list"
        )
    return _concluded[key]


def checked(stock: Any, rows: Mapping[int, int]) -> dict[int, Outcome]:
    """Check a list, and say what it says of each thing; `rows` are the rows of the things.

    A thing whose row holds no item, or several, is `refused`, and so is each of a refused list.
    """
    try:
        report = _report(stock)
    except StockListError:
        return dict.fromkeys(rows, _refused("the list is refused"))
    assert not report.crashed, report.crashed
    found: dict[int, list[dict[str, Any]]] = {}
    for finding in report.stock_findings.iter_rows(named=True):
        for row in finding["rows"] if finding["rows"] is not None else [finding["row"]]:
            found.setdefault(row, []).append(finding)
    items: dict[int, list[dict[str, Any]]] = {}
    for item in report.matched.iter_rows(named=True):
        items.setdefault(item["row"], []).append(item)
    told = {}
    for thing, row in rows.items():
        here = items.get(row, [])
        if len(here) == 1:
            told[thing] = _outcome(here[0], found.get(row, []))
        else:
            told[thing] = _refused(f"{len(here)} items in the row")
    return told


def _refused(why: str) -> Outcome:
    return Outcome(
        outcome="refused",
        rating_id=None,
        findings=(),
        expected=(),
        causes=(),
        read=(),
        why=why,
        unread=(),
    )


def _outcome(item: dict[str, Any], found: list[dict[str, Any]]) -> Outcome:
    agrees = item["outcome"] == "agree"
    return Outcome(
        outcome=item["outcome"],
        rating_id=item["agreed_id"] if agrees else None,
        findings=_told(found, "rule", "severity"),
        expected=_told(found, "rule", "expected_kg", "rating_id"),
        causes=_told(found, "rule", "cause"),
        read=tuple(_rounded(item[name]) for name in _READ),
        why=None if agrees else item.get("why"),
        unread=tuple(sorted({t.split(":")[0].strip() for t in (item["unread"] or "").split(";")})),
    )


def _told(found: list[dict[str, Any]], *names: str) -> tuple[tuple[Any, ...], ...]:
    return tuple(sorted((tuple(_rounded(f[name]) for name in names) for f in found), key=str))


def _rounded(value: Any) -> Any:
    return round(value, 2) if isinstance(value, float) else value


def differing(
    before: Mapping[int, Outcome],
    after: Mapping[int, Outcome],
    ignoring: frozenset[str],
    within: float = 0.0,
    any_scheme: bool = False,
) -> dict[int, tuple[str, Any, Any]]:
    """Name for each thing the first field in which two checks differ, and both values.

    Loads that are apart by no more than `within`, a share of them, are the same load in two units.
    With `any_scheme` what is expected may be the rating of the same thing in another scheme.
    """
    differences = {}
    for thing, one in before.items():
        other = after.get(thing)
        if other is None:
            differences[thing] = ("outcome", one.outcome, "its row is gone")
            continue
        for name in FIELDS:
            if name in ignoring:
                continue
            a, b = getattr(one, name), getattr(other, name)
            if any_scheme and name == "expected" and not _same(a, b, within):
                a, b = _of_any_scheme(a), _of_any_scheme(b)
            elif any_scheme and name == "rating_id" and a and b:
                a, b = a.split("/")[2:], b.split("/")[2:]
            if not _same(a, b, within):
                differences[thing] = (name, a, b)
                break
    return differences


def _of_any_scheme(expected: tuple[tuple[Any, ...], ...]) -> list[tuple[str, Any]]:
    """Each rule with the size that its rating is of, whichever scheme and kind rates it."""
    return sorted(
        (rule, None if rating is None else tuple(rating.split("/")[2:4]))
        for rule, _, rating in expected
    )


def _same(a: Any, b: Any, within: float) -> bool:
    if isinstance(a, str) and isinstance(b, str):
        return a == b or _without_cells(a) == _without_cells(b)
    if isinstance(a, tuple) and isinstance(b, tuple):
        return len(a) == len(b) and all(_same(x, y, within) for x, y in zip(a, b, strict=True))
    if isinstance(a, float) and isinstance(b, float):
        return abs(a - b) <= max(0.01, within * max(abs(a), abs(b)))
    return bool(a == b)


def _without_cells(sentence: str) -> str:
    """A sentence without the cells and headings that it quotes: they are written differently."""
    return re.sub(r"'.*?'(?!\w)", "'...'", sentence)
