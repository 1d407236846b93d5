"""Load ratings for hooks, grab hooks and chain, and the check of a stock list against them."""

from __future__ import annotations

import logging
from typing import TYPE_CHECKING

if TYPE_CHECKING:  # for those who read types; what runs is imported when it is asked for
    from tallyhook.auditing.audit import audit
    from tallyhook.checking import check, tidy
    from tallyhook.errors import (
        MissingExtra,
        PackageError,
        RuleCrash,
        StockListError,
        TallyhookError,
    )
    from tallyhook.packages.diff import Differences, diff
    from tallyhook.packages.export import export
    from tallyhook.packages.lookup import ratings
    from tallyhook.packages.schemas import pandera_schema
    from tallyhook.reporting.json_schemas import report_schema
    from tallyhook.reporting.report import Report
    from tallyhook.use.fit import fit
    from tallyhook.use.leg_tensions import leg_tensions
    from tallyhook.use.limits import limits
    from tallyhook.use.result import InUse, UseRefused
    from tallyhook.use.run import in_use
    from tallyhook.use.suit import suit

__version__ = "0.2.0"

__all__ = [
    "Differences",
    "InUse",
    "MissingExtra",
    "PackageError",
    "Report",
    "RuleCrash",
    "StockListError",
    "TallyhookError",
    "UseRefused",
    "audit",
    "check",
    "diff",
    "export",
    "fit",
    "in_use",
    "leg_tensions",
    "limits",
    "pandera_schema",
    "ratings",
    "report_schema",
    "suit",
    "tidy",
]

_HOMES = {
    "Differences": "packages.diff",
    "InUse": "use.result",
    "MissingExtra": "errors",
    "PackageError": "errors",
    "Report": "reporting.report",
    "RuleCrash": "errors",
    "StockListError": "errors",
    "TallyhookError": "errors",
    "UseRefused": "use.result",
    "audit": "auditing.audit",
    "check": "checking",
    "diff": "packages.diff",
    "export": "packages.export",
    "fit": "use.fit",
    "in_use": "use.run",
    "leg_tensions": "use.leg_tensions",
    "limits": "use.limits",
    "pandera_schema": "packages.schemas",
    "ratings": "packages.lookup",
    "report_schema": "reporting.json_schemas",
    "suit": "use.suit",
    "tidy": "checking",
}


# what a program hears of the work is its own affair: docs/python.md says how it listens
logging.getLogger(__name__).addHandler(logging.NullHandler())

if not TYPE_CHECKING:  # else every name that there is not would be one of any type

    def __getattr__(name):
        # imported when asked for: pandas alone costs a command a third of a second
        if name not in _HOMES:
            raise AttributeError(f"module 'tallyhook' has no attribute {name!r}")
        from importlib import import_module

        value = getattr(import_module(f"tallyhook.{_HOMES[name]}"), name)
        globals()[name] = value
        return value
