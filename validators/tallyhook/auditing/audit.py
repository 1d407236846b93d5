"""The audit: every package rule over every package, and the oddities that are accepted.

A published table may disagree with itself or with another document. Such a disagreement is
recorded in the package's ``known-oddities.csv`` with its value and its reason. A finding that
matches an entry is accepted; an entry that matches no finding is itself a finding.
"""

from __future__ import annotations

import logging
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

import pandas as pd

from tallyhook.auditing.oddities import ODDITIES, excused, known_oddities
from tallyhook.auditing.run import run_all, same_columns
from tallyhook.auditing.tables import Tables
from tallyhook.errors import PackageError
from tallyhook.messages import say
from tallyhook.model.finding import FINDING_COLUMNS, SEVERITIES
from tallyhook.packages.package import BUILT_IN, Package, datasets_folder, load_package

__all__ = ["AuditReport", "audit"]

_log = logging.getLogger(__name__)


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
    more = _added(packages, extra)
    everything = {**packages, **more}
    if only is not None and only not in everything:
        raise PackageError(
            say("there is no package '{name}'", name=only),
            next_step=say("name one of {names}", names=", ".join(everything)),
        )
    for package in more.values():
        _require_like_columns(package, packages)
    about, added = [only] if only else list(everything), list(more)
    tables = Tables(everything, about)
    first = run_all(tables, about, added)
    raw = pd.concat(first.findings, ignore_index=True) if first.findings else _no_findings()
    oddities = known_oddities(tables.about, first.crashed.keys() | first.skipped.keys())
    reasons = excused(raw, oddities)
    accepted = reasons["reason"].notna().to_numpy(dtype=bool)
    tables.put("findings", raw)
    tables.put(ODDITIES, oddities)
    last = run_all(tables, about, added, afterwards=True)
    left = pd.concat([raw[~accepted], *last.findings], ignore_index=True)
    published = tables.get("values")
    _log.info(
        "audited %s by %d rules, %d findings",
        ", ".join(about), len({*first.ran, *last.ran}), len(left),
    )  # fmt: skip
    return AuditReport(
        findings=_sorted(left[list(FINDING_COLUMNS)]),
        accepted=reasons[accepted].reset_index(drop=True),
        crashed=first.crashed | last.crashed,
        skipped=first.skipped,
        rules=tuple(sorted({*first.ran, *last.ran})),
        values=int((~published["key"].astype(bool)).sum()),
        packages={n: p.version for n, p in tables.about.items()},
    )


def _added(packages: Mapping[str, Package], folders: Sequence[Path | str]) -> dict[str, Package]:
    """Load the packages of the folders, by name; none may have the name of another."""
    added: dict[str, Package] = {}
    for path in folders:
        package = load_package(path, lenient=True)
        if package.name in packages or package.name in added:
            raise PackageError(
                say("there is already a package named '{name}'", name=package.name),
                where=str(path),
                next_step=say("give this one another name in its datapackage.json"),
            )
        added[package.name] = package
    return added


def _require_like_columns(package: Package, others: Mapping[str, Package]) -> None:
    """Refuse a table with the columns of a built-in one and other types: its rules would stop."""
    for name, resource in package.resources.items():
        for other in others.values():
            model = other.resources.get(name)
            if model is None or not same_columns(model, resource):
                continue
            types = package.tables[name].schema
            for column, dtype in other.tables[name].schema.items():
                if types.get(column, dtype) != dtype:
                    raise PackageError(
                        say(
                            "the column {column} is of the type {type}, and {other} in {table}",
                            column=column,
                            type=resource.fields[column].get("type"),
                            other=model.fields[column].get("type"),
                            table=".".join((other.name, name)),
                        ),
                        where=say(
                            "{file}, resource {name}",
                            file=package.folder / "datapackage.json",
                            name=name,
                        ),
                        next_step=say("make the two agree"),
                    )


def _no_findings() -> pd.DataFrame:
    return pd.DataFrame(columns=list(FINDING_COLUMNS), dtype=object)


def _sorted(findings: pd.DataFrame) -> pd.DataFrame:
    order = findings.assign(worst=findings["severity"].map(SEVERITIES.index))
    order = order.sort_values(["worst", "file", "row", "rule", "column"], kind="stable")
    return order.drop(columns="worst").reset_index(drop=True)
