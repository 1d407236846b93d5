"""The exit codes of every command."""

from __future__ import annotations

__all__ = ["COULD_NOT_RUN", "FOUND", "OK"]

OK = 0
"""Nothing at or above the threshold, and whatever was asked for was done."""

FOUND = 1
"""Findings, or an answer that somebody has to look at."""

COULD_NOT_RUN = 2
"""Refused, could not run, or ran incompletely."""
