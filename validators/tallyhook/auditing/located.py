"""What a rule found, with the file, the key and the cell that it is about."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import pandas as pd

from tallyhook.auditing.tables import Tables
from tallyhook.model.finding import FINDING_COLUMNS
from tallyhook.packages.frames import keys_of
from tallyhook.packages.package import FIRST_ROW, Package
from tallyhook.rules import Rule

__all__ = ["filled"]


def filled(found: pd.DataFrame, each: Rule, tables: Tables, first: str) -> pd.DataFrame:
    """Fill what the runner knows of a rule's findings: rule, severity, file, item, observed.

    `first` is the table that they are about unless they name another.
    """
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
    place = row - FIRST_ROW
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
