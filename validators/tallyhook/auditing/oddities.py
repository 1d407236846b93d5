"""The disagreements that packages record as known, each with its value and its reason."""

from __future__ import annotations

from collections.abc import Collection, Mapping

import pandas as pd

from tallyhook.errors import PackageError
from tallyhook.messages import say
from tallyhook.model.finding import FINDING_COLUMNS
from tallyhook.packages.package import FIRST_ROW, Package
from tallyhook.rules.package import SAME_FINDING

__all__ = ["ODDITIES", "excused", "known_oddities"]

ODDITIES = "known-oddities"
"""The table of a package that holds them."""

_ENTRY = ("rule", "table", "key", "column", "observed", "reason", "source")
"""The columns of a known oddity."""


def known_oddities(packages: Mapping[str, Package], unanswered: Collection[str]) -> pd.DataFrame:
    """Give the recorded oddities [indexed by line in their file], but those of `unanswered` rules.

    Raises
    ------
    PackageError
        The table of oddities lacks a column, so that nothing says what they excuse.
    """
    rows = []
    for package in packages.values():
        if ODDITIES not in package.text:
            continue
        entries = package.text[ODDITIES]
        lacking = [c for c in _ENTRY if c not in entries.columns]
        if lacking and entries.height:
            raise PackageError(
                say("the known oddities have no column {columns}", columns=", ".join(lacking)),
                where=package.name,
                next_step=say("without it nothing says what they excuse"),
            )
        for row, entry in enumerate(entries.iter_rows(named=True), FIRST_ROW):
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


def excused(findings: pd.DataFrame, oddities: pd.DataFrame) -> pd.DataFrame:
    """Give each finding with ``reason`` and ``reason_source`` of its oddity, null where none is."""
    # of two entries for one finding the first gives the reason; the schema reports the second
    once = oddities.drop(columns="table").drop_duplicates(SAME_FINDING)
    reasons = findings.merge(once, on=SAME_FINDING, how="left")
    reasons.index = findings.index
    return reasons[[*FINDING_COLUMNS, "reason", "reason_source"]]
