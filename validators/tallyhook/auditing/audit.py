"""The audit: every package rule over every package, and the oddities that are accepted.

A published table may disagree with itself or with another document. Such a disagreement is
recorded in the package's ``known-oddities.csv`` with its value and its reason. A finding that
matches an entry is accepted; an entry that matches no finding is itself a finding.
"""

from __future__ import annotations

import json
import textwrap
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pandas as pd

from tallyhook.auditing.views import VIEWS
from tallyhook.errors import PackageError, RuleCrash
from tallyhook.model.finding import FINDING_COLUMNS, SEVERITIES
from tallyhook.packages.frames import frame_of, keys_of
from tallyhook.packages.package import BUILT_IN, Package, datasets_folder, load_package
from tallyhook.rules import Rule, all_rules

__all__ = ["AuditReport", "Tables", "audit", "render", "render_json", "run_rule"]

ODDITIES = "known-oddities"
_SAME = ["file", "rule", "item", "column", "observed"]
"""What makes a finding the one that an oddity records."""

_ENTRY = ("rule", "table", "key", "column", "observed", "reason", "source")
"""The columns of a known oddity."""

_AFTERWARDS = ("findings", ODDITIES)
"""What only a rule on the other rules' findings reads; it runs last."""


@dataclass(frozen=True, slots=True, kw_only=True)
class AuditReport:
    """What an audit found.

    `findings` and `accepted` are frames with the columns of a finding; `accepted` adds the
    `reason` and `reason_source` of the known oddity. `crashed` and `skipped` map a rule to why it
    gave no answer. `rules` ran, over `values` published numbers of `packages` (name to version).
    """

    findings: pd.DataFrame
    accepted: pd.DataFrame
    crashed: dict[str, str]
    skipped: dict[str, str]
    rules: tuple[str, ...]
    values: int
    packages: dict[str, str]

    @property
    def complete(self) -> bool:
        """Whether every rule answered."""
        return not self.crashed and not self.skipped

    @property
    def counts(self) -> dict[str, dict[str, int]]:
        """How many findings there are, by severity and by rule."""
        by_severity = self.findings["severity"].value_counts()
        return {
            "severity": {s: int(by_severity[s]) for s in SEVERITIES if s in by_severity},
            "rule": {str(k): int(v) for k, v in self.findings["rule"].value_counts().items()},
        }


class Tables:
    """The frames that rules read, made once each from the packages.

    Parameters
    ----------
    packages : mapping of str to Package
        All packages, by name.
    about : collection of str, optional
        The packages under audit; views cover these, and references may lead to any.
    """

    def __init__(self, packages: Mapping[str, Package], about: Sequence[str] = ()) -> None:
        self.packages = packages
        self.about = {n: packages[n] for n in about or packages}
        self._made: dict[str, pd.DataFrame] = {}

    def get(self, name: str) -> pd.DataFrame:
        """Hand out ``package.table``, or a view."""
        if name not in self._made:
            self._made[name] = self._make(name)
        return self._made[name]

    def put(self, name: str, frame: pd.DataFrame) -> None:
        """Hand in a frame: what the rules so far have found, or a table to try."""
        self._made[name] = frame

    def has(self, name: str) -> bool:
        """Whether there is such a frame."""
        package, _, table = name.partition(".")
        known = name in VIEWS or name in self._made or name in _AFTERWARDS
        return known or (package in self.packages and table in self.packages[package].tables)

    def _make(self, name: str) -> pd.DataFrame:
        if name in VIEWS:
            return VIEWS[name](self.packages if name == "targets" else self.about)
        package, _, table = name.partition(".")
        return frame_of(self.packages[package], table)


def audit(
    packages: Mapping[str, Package] | None = None,
    *,
    only: str | None = None,
    extra: Sequence[Path | str] = (),
) -> AuditReport:
    """Run every package rule.

    Parameters
    ----------
    packages : mapping of str to Package, optional
        The packages by name; the built-in ones by default.
    only : str, optional
        Audit this package alone, against the others.
    extra : sequence of path
        Folders of more packages, such as a maker's ratings. A rule on ``chain.ratings`` also runs
        on a table ``ratings`` of theirs that has the same columns.

    Raises
    ------
    PackageError
        A package cannot be read at all, has a table of ours with other types, or `only` names none.
    """
    if packages is None:
        folder = datasets_folder()
        packages = {name: load_package(folder / name, lenient=True) for name in BUILT_IN}
    everything = dict(packages)
    added = []
    for path in extra:
        package = load_package(path, lenient=True)
        if package.name in everything:
            raise PackageError(
                f"there is already a package named '{package.name}'",
                where=str(path),
                next_step="give this one another name in its datapackage.json",
            )
        everything[package.name] = package
        added.append(package.name)
    if only is not None and only not in everything:
        known = ", ".join(everything)
        raise PackageError(f"there is no package '{only}'", next_step=f"name one of {known}")
    for name in added:
        _alike(everything[name], packages)
    about = [only] if only else list(everything)
    tables = Tables(everything, about)
    found, crashed, skipped, ran = _run_all(tables, about, added)
    raw = pd.concat(found, ignore_index=True) if found else _no_findings()
    oddities = _oddities(tables.about, unanswered=crashed.keys() | skipped.keys())
    # of two entries for one finding the first gives the reason; the schema reports the second
    once = oddities.drop(columns="table").drop_duplicates(_SAME)
    reasons = raw.merge(once, on=_SAME, how="left")
    reasons.index = raw.index
    excused = reasons["reason"].notna().to_numpy(dtype=bool)
    columns = [*FINDING_COLUMNS, "reason", "reason_source"]
    accepted = reasons[excused][columns].reset_index(drop=True)
    tables.put("findings", raw)
    tables.put(ODDITIES, oddities)
    last, more_crashed, _, more_ran = _run_all(tables, about, added, afterwards=True)
    rest = [raw[~excused], *last]
    findings = pd.concat(rest, ignore_index=True)[list(FINDING_COLUMNS)]
    published = tables.get("values")
    return AuditReport(
        findings=_sorted(findings),
        accepted=accepted,
        crashed=crashed | more_crashed,
        skipped=skipped,
        rules=tuple(sorted({*ran, *more_ran})),
        values=int((~published["key"].astype(bool)).sum()),
        packages={n: p.version for n, p in tables.about.items()},
    )


def _alike(package: Package, others: Mapping[str, Package]) -> None:
    """Refuse a table with the columns of a built-in one and other types: its rules would stop."""
    for name, resource in package.resources.items():
        for other in others.values():
            model = other.resources.get(name)
            if model is None or model.fields.keys() != resource.fields.keys():
                continue
            types = package.tables[name].schema
            for column, dtype in other.tables[name].schema.items():
                if types[column] != dtype:
                    raise PackageError(
                        f"the column {column} is of the type {resource.fields[column].get('type')},"
                        f" and {model.fields[column].get('type')} in {other.name}.{name}",
                        where=f"{package.folder / 'datapackage.json'}, resource {name}",
                        next_step="make the two agree",
                    )


def run_rule(each: Rule, tables: Tables, reads: Sequence[str] | None = None) -> pd.DataFrame:
    """Run one rule and fill what the runner knows: rule, severity, file, item, observed.

    Raises
    ------
    RuleCrash
        The rule raised.
    """
    reads = reads or each.reads
    try:
        found = each.check(*(tables.get(name) for name in reads))
    except Exception as error:
        raise RuleCrash(
            f"the rule {each.name} stopped with {type(error).__name__}: {error}",
            where=", ".join(reads),
            next_step="the other rules ran; report this one",
        ) from error
    return _filled(found, each, tables, reads[0])


def render(report: AuditReport, width: int = 80) -> str:
    """Write a report as plain text."""
    lines = [
        *textwrap.wrap("  ".join(f"{n} {v}" for n, v in report.packages.items()), width),
        *textwrap.wrap(
            f"{len(report.rules)} rules over {report.values} values: "
            f"{len(report.findings)} findings, {len(report.accepted)} known oddities",
            width,
        ),
    ]
    for finding in _records(report.findings):
        lead = f"{finding['severity']:<8} "
        lines += ["", *textwrap.wrap(f"{lead}{finding['rule']}", width, subsequent_indent=" " * 9)]
        lines += textwrap.wrap(
            _sentence(finding), width, initial_indent=" " * 9, subsequent_indent=" " * 9
        )
    for title, rules in (("crashed", report.crashed), ("not run", report.skipped)):
        for name, why in rules.items():
            lines += ["", *textwrap.wrap(f"{title:<8} {name}: {why}", width)]
    if not report.complete:
        lines += ["", "The audit is incomplete."]
    return "\n".join(lines) + "\n"


def render_json(report: AuditReport) -> str:
    """Write a report as JSON: packages, counts, findings, accepted oddities, what did not run."""
    return (
        json.dumps(
            {
                "packages": report.packages,
                "complete": report.complete,
                "values": report.values,
                "rules": list(report.rules),
                "counts": report.counts,
                "findings": _records(report.findings),
                "accepted": _records(report.accepted),
                "crashed": report.crashed,
                "skipped": report.skipped,
            },
            indent=2,
            ensure_ascii=False,
        )
        + "\n"
    )


def _records(frame: pd.DataFrame) -> list[dict[str, Any]]:
    """Give the rows as plain values, with nothing where there is none."""
    plain = frame.astype(object).where(frame.notna(), None)
    return [{str(k): v for k, v in row.items()} for row in plain.to_dict("records")]


def _run_all(
    tables: Tables, about: Sequence[str], added: Sequence[str], *, afterwards: bool = False
) -> tuple[list[pd.DataFrame], dict[str, str], dict[str, str], list[str]]:
    found: list[pd.DataFrame] = []
    crashed: dict[str, str] = {}
    skipped: dict[str, str] = {}
    ran: list[str] = []
    for each in all_rules("package"):
        if afterwards != any(name in _AFTERWARDS for name in each.reads):
            continue
        missing = [name for name in each.reads if not tables.has(name)]
        if missing:
            if each.reads[0].partition(".")[0] in about:
                skipped[each.name] = f"there is no table {', '.join(missing)}"
            continue
        for reads in _runs(each, tables, about, added):
            try:
                result = run_rule(each, tables, reads)
            except RuleCrash as crash:
                crashed[each.name] = str(crash)
                continue
            ran.append(each.name)
            if len(result):
                found.append(result)
    return found, crashed, skipped, ran


def _runs(
    each: Rule, tables: Tables, about: Sequence[str], added: Sequence[str]
) -> Iterator[tuple[str, ...]]:
    """Name the frames of each run: the rule's own, and a maker's tables in their place."""
    package, dot, table = each.reads[0].partition(".")
    if not dot:
        yield each.reads
        return
    if package in about:
        yield each.reads
    for name in added:
        other = tables.packages[name]
        like = tables.packages[package].resources[table].fields.keys()
        if table in other.resources and other.resources[table].fields.keys() == like:
            yield tuple(_theirs(read, package, other) for read in each.reads)


def _theirs(read: str, package: str, other: Package) -> str:
    name, _, table = read.partition(".")
    return f"{other.name}.{table}" if name == package and table in other.tables else read


def _filled(found: pd.DataFrame, each: Rule, tables: Tables, first: str) -> pd.DataFrame:
    found = found.reset_index(drop=True)
    if "table" not in found:
        found["table"] = first
    found["rule"], found["severity"] = each.name, each.severity
    texts = [
        _located(str(t), int(r), str(c), tables.packages)
        for t, r, c in zip(found["table"], found["row"], found["column"], strict=True)
    ]
    located = pd.DataFrame(
        texts, columns=["file", "item", "cell", "source_", "locator_"], index=found.index
    )
    found["file"], found["item"] = located["file"], located["item"]
    found["observed"] = located["cell"].where(located["cell"].notna(), found["observed"].map(_text))
    found["expected"] = found["expected"].map(_text)
    for name in ("source", "locator"):
        given = found[name] if name in found else pd.Series(None, found.index, dtype=object)
        found[name] = given.where(given.notna(), located[f"{name}_"])
    return found.reindex(columns=list(FINDING_COLUMNS)).astype(
        {c: object for c in FINDING_COLUMNS if c not in ("row", "ratio", "confidence")}
    )


def _located(
    table: str, row: int, column: str, packages: Mapping[str, Package]
) -> tuple[str, str | None, str | None, str | None, str | None]:
    """Find file, key, cell, source and locator of a row; the cell as it stands in the file."""
    name, _, resource_name = table.partition(".")
    package = packages.get(name)
    if package is None or resource_name not in package.resources:
        return (f"{name}/{resource_name or 'datapackage.json'}", None, None, None, None)
    path = f"{name}/{package.resources[resource_name].path}"
    text = package.text[resource_name]
    place = row - 2
    if not 0 <= place < text.height:
        return (path, None, None, None, None)

    def cell(column: str) -> str | None:
        return str(text[column][place]) if column in text.columns else None

    return (
        path,
        keys_of(package, resource_name)[place],
        cell(column),
        cell("source"),
        cell("locator"),
    )


def _text(value: Any) -> str | None:
    if value is None or (isinstance(value, float) and pd.isna(value)) or value is pd.NA:
        return None
    # six figures are more than any rating table prints, and hide the noise of binary fractions
    return f"{value:.6g}" if isinstance(value, float) else str(value)


def _oddities(packages: Mapping[str, Package], unanswered: set[str]) -> pd.DataFrame:
    rows = []
    for package in packages.values():
        if ODDITIES not in package.text:
            continue
        entries = package.text[ODDITIES]
        lacking = [c for c in _ENTRY if c not in entries.columns]
        if lacking and entries.height:
            raise PackageError(
                f"the known oddities have no column {', '.join(lacking)}",
                where=package.name,
                next_step="without it nothing says what they excuse",
            )
        for row, entry in enumerate(entries.iter_rows(named=True), 2):
            resource = package.resources.get(entry["table"])
            if entry["rule"] not in unanswered:
                rows.append(
                    {
                        "row": row,
                        "table": f"{package.name}.{ODDITIES}",
                        "file": f"{package.name}/{resource.path if resource else entry['table']}",
                        "rule": entry["rule"],
                        "item": entry["key"],
                        "column": entry["column"],
                        "observed": entry["observed"],
                        "reason": entry["reason"],
                        "reason_source": entry["source"],
                    }
                )
    columns = (
        "row", "table", "file", "rule", "item", "column", "observed", "reason", "reason_source",
    )  # fmt: skip
    return pd.DataFrame(rows, columns=columns, dtype=object).set_index("row")


def _no_findings() -> pd.DataFrame:
    return pd.DataFrame(columns=list(FINDING_COLUMNS), dtype=object)


def _sorted(findings: pd.DataFrame) -> pd.DataFrame:
    order = findings.assign(worst=findings["severity"].map(SEVERITIES.index))
    order = order.sort_values(["worst", "file", "row", "rule", "column"], kind="stable")
    return order.drop(columns="worst").reset_index(drop=True)


def _sentence(finding: Mapping[str, Any]) -> str:
    place = f"{finding['file']} line {finding['row']}"
    item = f", {finding['item']}" if finding["item"] else ""
    expected = f", expected {finding['expected']}" if finding["expected"] else ""
    note = f" ({finding['note']})" if isinstance(finding["note"], str) else ""
    return f"{place}{item}, {finding['column']}: {finding['observed']}{expected}{note}"
