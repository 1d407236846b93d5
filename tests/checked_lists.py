"""Small lists for tests, checked whole: a list of one row, or of lines as a CSV file has them."""

from __future__ import annotations

from pathlib import Path

import pandas as pd

import tallyhook
from tallyhook.reporting.report import Report


def checked_row(words: str, wll: str, heading: str = "WLL (kg)", **more: str) -> Report:
    """Check a list of one row of 10 mm grade 80; `more` are cells by heading, and win."""
    cells = {"Description": words, "Size": "10 mm", "Grade": "80", heading: wll}
    return tallyhook.check(pd.DataFrame([cells | more]))


def checked_lines(folder: Path, *lines: str) -> Report:
    """Check a CSV file of these lines, the heading first, written in the folder."""
    path = folder / "list.csv"
    path.write_text("\n".join(lines) + "\n", encoding="utf-8")
    return tallyhook.check(path)


def rules_of(report: Report) -> list[str]:
    """Name the rule of each finding, in the order of the report."""
    return [str(rule) for rule in report.findings["rule"]]
