"""What changed since an earlier report: findings new, gone and still there, and why.

A finding is the same when its rule, column and item are, in whatever row it stands now. Why it came
or went is read from the two lists: where the item itself is as it was, a rating package, a rule or
tallyhook has changed, and the packages' changelogs say what.
"""

from __future__ import annotations

import json
import re
from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

from tallyhook import __version__
from tallyhook.errors import StockListError, TallyhookError
from tallyhook.messages import say
from tallyhook.model.finding import ACCEPT
from tallyhook.packages.package import Package, built_in_packages
from tallyhook.reading.streams import on_disk
from tallyhook.rules import all_rules, rule_named
from tallyhook.wording import row_ranges

if TYPE_CHECKING:
    from tallyhook.reporting.report import Report

__all__ = ["Change", "PackageChange", "changelog_between", "since"]

_RATED_BY = {
    "chain": ("chain",), "sling": ("chain",), "hook": ("hooks", "chain"),
    "grab-hook": ("grab-hooks", "chain"),
}  # fmt: skip
_NOT_RATINGS = ("vocabulary", "sources")
_WORDS = ("rule", "column", "item", "observed")
_SAME = ("kind", "size_mm", "grade", "form", "connection", "legs")


@dataclass(frozen=True, slots=True, kw_only=True)
class PackageChange:
    """A package with another version than before; None where it was or is absent."""

    name: str
    before: str | None
    now: str | None
    entries: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Change:
    """The findings that are new, gone and still there, each as a record of plain data.

    Records have severity, rule, where, column, item, observed, expected, cause and because;
    `altered` are those of `still` that say something else now.
    """

    before: str
    new: tuple[dict[str, Any], ...]
    gone: tuple[dict[str, Any], ...]
    still: tuple[dict[str, Any], ...]
    altered: tuple[dict[str, Any], ...]
    packages: tuple[PackageChange, ...]

    def to_dict(self) -> dict[str, Any]:
        """The change as plain data, for the JSON report."""
        return asdict(self)


def since(
    report: Report,
    previous: str | Path,
    *,
    packages: Mapping[str, Package] | None = None,
) -> Change:
    """Compare a report with an earlier one.

    Parameters
    ----------
    report : Report
        The report of today.
    previous : path
        The JSON of an earlier report (``check --format json``).
    packages : mapping of str to Package, optional
        The packages of today, for their changelogs; the built-in ones otherwise.

    Raises
    ------
    StockListError
        The earlier report cannot be read, or is none.
    """
    before = _read(previous)
    now = report.to_dict()
    if "sheets" not in before and "sheets" not in now:
        _without_sheets(before)
        _without_sheets(now)
    changes = _package_changes(
        before["packages"], now["packages"], built_in_packages() if packages is None else packages
    )
    old, new = _records(before), _records(now)
    pairs, gone, fresh = _pair(old, new)
    taken = report.accepted.select(_WORDS).rows()
    reason = _Reasons(before, now, changes, frozenset(taken))
    still = [_with(b, reason.altered(a, b) if _said(a) != _said(b) else "") for a, b in pairs]
    return Change(
        before=Path(previous).name,
        new=tuple(_with(f, reason.came(f)) for f in fresh),
        gone=tuple(_with(f, reason.went(f)) for f in gone),
        still=tuple(still),
        altered=tuple(f for f in still if f["because"]),
        packages=tuple(changes),
    )


def changelog_between(folder: Path, before: str | None, now: str | None) -> tuple[str, ...]:
    """Give the entries of a package's changelog after one version and up to another.

    The entries are the items and table rows under the headings ``## VERSION - DATE``.
    """
    path = folder / "CHANGELOG.md"
    if not path.is_file() or now is None:
        return ()
    entries: list[str] = []
    version: tuple[int, ...] | None = None
    for line in path.read_text(encoding="utf-8", errors="replace").splitlines():
        if heading := re.match(r"##\s+(\d+(?:\.\d+)*)", line):
            version = _version(heading[1])
            continue
        if version is None or not _version(before or "0") < version <= _version(now):
            continue
        if re.match(r"\s*\|[\s:|-]+\|\s*$", line):
            del entries[-1:]  # the line above it names the columns
        elif row := re.match(r"\s*\|(.+)\|\s*$", line):
            entries.append("; ".join(cell.strip() for cell in row[1].split("|")))
        elif item := re.match(r"\s*[-*]\s+(.+)", line):
            entries.append(item[1])
    return tuple(entries)


def _read(previous: str | Path) -> dict[str, Any]:
    where = str(previous)
    try:
        with on_disk(previous) as file:
            found = json.loads(file.read_text(encoding="utf-8"))
    except (OSError, UnicodeDecodeError) as error:
        reason = getattr(error, "strerror", None) or say("it is no UTF-8 text")
        raise StockListError(
            say("the earlier report cannot be read ({reason})", reason=reason),
            where=where,
            next_step=say("check the path"),
        ) from None
    except (ValueError, RecursionError):
        found = None
    if isinstance(found, dict) and "lists" in found:
        raise StockListError(
            say("the file holds the reports of several lists"),
            where=where,
            next_step=say("give the report of this list alone"),
        )
    needed = {"findings": list, "items": list, "packages": dict, "version": str}
    if not isinstance(found, dict) or any(
        not isinstance(found.get(k), t) for k, t in needed.items()
    ):
        raise StockListError(
            say("the file is no report of a check"),
            where=where,
            next_step=say("give the output of an earlier 'tallyhook check LIST --format json'"),
        )
    if not all(isinstance(f, dict) and _is_finding(f) for f in found["findings"]):
        raise StockListError(
            say("the file holds findings without a rule, or with rows that are none"),
            where=where,
            next_step=say("make the report anew"),
        )
    versions = found["packages"].values()
    if not all(map(_is_item, found["items"])) or not all(isinstance(v, str) for v in versions):
        raise StockListError(
            say("the file holds items or packages that are none"),
            where=where,
            next_step=say("make the report anew"),
        )
    return found


def _without_sheets(report: Mapping[str, Any]) -> None:
    """Forget how the one sheet of a list is called: it may be renamed every month."""
    for record in (*report["findings"], *report["items"]):
        record["sheet"] = None


def _is_item(item: Any) -> bool:
    """Whether the fields that two items are compared by are what a report writes there."""
    return isinstance(item, dict) and (
        isinstance(item.get("wll_kg"), int | float | None)
        and all(isinstance(item.get(n), str | int | float | None) for n in ("sheet", "row", *_SAME))
    )


def _is_finding(finding: Mapping[str, Any]) -> bool:
    """Whether the fields that two findings are compared by are what a report writes there."""
    rows = finding.get("rows")
    words = ("sheet", "column", "item", "observed", "expected", "cause", "source", "severity")
    return (
        isinstance(finding.get("rule"), str)
        and isinstance(finding.get("row"), int | None)
        and isinstance(rows, list | None)
        and all(isinstance(row, int) for row in rows or ())
        and all(isinstance(finding.get(word), str | None) for word in words)
        and isinstance(finding.get("decision"), dict | None)
    )


def _records(report: Mapping[str, Any]) -> list[dict[str, Any]]:
    fields = ("rule", "severity", "sheet", "row", "rows", "column", "item", "observed", "expected",
              "cause", "source")  # fmt: skip
    records = []
    for finding in report["findings"]:
        if (finding.get("decision") or {}).get("decision") == ACCEPT:
            continue  # it is open no more
        record = {name: finding.get(name) for name in fields}
        rows = record["rows"] or ([] if record["row"] is None else [record["row"]])
        records.append(record | {"at": list(rows), "where": row_ranges(rows) or "-"})
    return records


def _pair(
    old: Sequence[dict[str, Any]], new: Sequence[dict[str, Any]]
) -> tuple[list[tuple[dict[str, Any], dict[str, Any]]], list[dict[str, Any]], list[dict[str, Any]]]:
    """Match findings, the surest way first: same words and number, same words, same row."""
    keys = (
        lambda f: (f["sheet"], f["rule"], f["column"], f["item"], f["observed"], f["where"]),
        lambda f: (f["sheet"], f["rule"], f["column"], f["item"], f["observed"]),
        lambda f: (f["sheet"], f["rule"], f["column"], f["item"], f["where"]),
        # one mistake of a column stays that, though its rows are more or fewer
        lambda f: (f["sheet"], f["rule"], f["column"], f["cause"]) if f["rows"] else id(f),
    )
    pairs = []
    left, fresh = list(old), list(new)
    for key in keys:
        waiting: dict[Any, list[dict[str, Any]]] = {}
        for finding in left:
            waiting.setdefault(key(finding), []).append(finding)
        unmatched = []
        for finding in fresh:
            same = waiting.get(key(finding))
            if same:
                pairs.append((same.pop(0), finding))
            else:
                unmatched.append(finding)
        fresh = unmatched
        left = [finding for same in waiting.values() for finding in same]
    return pairs, left, fresh


def _said(finding: Mapping[str, Any]) -> tuple[Any, ...]:
    return tuple(finding[name] for name in ("severity", "observed", "expected", "cause"))


def _with(finding: dict[str, Any], because: str) -> dict[str, Any]:
    kept = ("severity", "rule", "where", "column", "item", "observed", "expected", "cause")
    return {name: finding[name] for name in kept} | {"because": because}


class _Reasons:
    """Says why a finding came, went or says something else, from the two reports."""

    def __init__(
        self,
        before: Mapping[str, Any],
        now: Mapping[str, Any],
        packages: Iterable[PackageChange],
        accepted: frozenset[tuple[Any, ...]],
    ) -> None:
        self._then = _items(before)
        self._now = _items(now)
        self._had = Counter(key for keys in self._then.values() for key in keys)
        self._has = Counter(key for keys in self._now.values() for key in keys)
        self._packages = list(packages)
        self._version = str(before["version"])
        self._accepted = accepted

    def came(self, finding: dict[str, Any]) -> str:
        items = self._of(finding, self._now)
        if items and not all(self._had[item] for item in items):
            return say("the row is new or was changed")
        rule = _rule(finding["rule"])
        if rule is not None and _version(rule) > _version(self._version):
            return say("the rule is new in tallyhook {version}", version=rule)
        return self._changed(finding, items)

    def went(self, finding: dict[str, Any]) -> str:
        if tuple(finding[name] for name in _WORDS) in self._accepted:
            return say("it was accepted by a decision")
        items = self._of(finding, self._then)
        if items and not all(self._has[item] for item in items):
            return say("the row was changed or removed")
        return self._changed(finding, items)

    def altered(self, before: dict[str, Any], now: dict[str, Any]) -> str:
        if before["observed"] != now["observed"]:
            return say("the list said {observed} before", observed=before["observed"])
        why = self._changed(now, self._of(now, self._now))
        return say("expected {expected} before; {why}", expected=before["expected"], why=why)

    def _of(
        self, finding: dict[str, Any], items: Mapping[tuple[Any, Any], list[tuple[Any, ...]]]
    ) -> list[tuple[Any, ...]]:
        return [key for row in finding["at"] for key in items.get((finding["sheet"], row), [])]

    def _changed(self, finding: dict[str, Any], items: Sequence[tuple[Any, ...]]) -> str:
        if any(rule.name == finding["rule"] for rule in all_rules("decision")):
            return say("the decisions were changed, or a day has passed")
        wanted = {name for item in items for name in _RATED_BY.get(str(item[0]), ())}
        changed = [
            p
            for p in self._packages
            if p.name not in _NOT_RATINGS and (not wanted or p.name in wanted or not p.before)
        ]
        if named := changed or self._packages:
            became = ", ".join(map(_became, named))
            return say("rating packages changed: {packages}", packages=became)
        if self._version != __version__:
            return say("tallyhook {before} became {now}", before=self._version, now=__version__)
        return say("other rows of the list were changed, or it was checked with other options")


def _became(package: PackageChange) -> str:
    before, now = package.before or say("absent"), package.now or say("absent")
    return say("{name} {before} became {now}", name=package.name, before=before, now=now)


def _items(report: Mapping[str, Any]) -> dict[tuple[Any, Any], list[tuple[Any, ...]]]:
    """The items of a report by sheet and row, each as what was read of it."""
    found: dict[tuple[Any, Any], list[tuple[Any, ...]]] = {}
    for item in report["items"]:
        load = item.get("wll_kg")
        key = (*(item.get(name) for name in _SAME), None if load is None else f"{load:.6g}")
        found.setdefault((item.get("sheet"), item.get("row")), []).append(key)
    return found


def _rule(name: str) -> str | None:
    try:
        return rule_named(name).since
    except TallyhookError:
        return None


def _package_changes(
    before: Mapping[str, str], now: Mapping[str, str], packages: Mapping[str, Package]
) -> list[PackageChange]:
    return [
        PackageChange(
            name=name,
            before=before.get(name),
            now=now.get(name),
            entries=changelog_between(packages[name].folder, before.get(name), now.get(name))
            if name in packages and name in before
            else (),
        )
        for name in sorted({*before, *now})
        if before.get(name) != now.get(name)
    ]


def _version(text: str) -> tuple[int, ...]:
    return tuple(int(part) for part in re.findall(r"\d{1,9}", text)[:3])
