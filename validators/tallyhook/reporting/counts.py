"""The counts of a report."""

from __future__ import annotations

from typing import TypedDict

__all__ = ["Counts"]


class Counts(TypedDict):
    """Rows by outcome; findings by severity, rule and cause; and how many were accepted."""

    rows: int
    agree: int
    contradicted: int
    not_compared: int
    severity: dict[str, int]
    rule: dict[str, int]
    cause: dict[str, int]
    accepted: int
