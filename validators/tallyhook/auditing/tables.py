"""The frames that package rules read, made once each from the packages."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import pandas as pd

from tallyhook.auditing.oddities import ODDITIES
from tallyhook.auditing.views import OF_ALL, VIEWS
from tallyhook.packages.frames import frame_of
from tallyhook.packages.package import Package

__all__ = ["AFTERWARDS", "Tables"]

AFTERWARDS = ("findings", ODDITIES)
"""What only a rule on the other rules' findings reads; it runs last."""


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
        known = name in VIEWS or name in self._made or name in AFTERWARDS
        return known or (package in self.packages and table in self.packages[package].tables)

    def _make(self, name: str) -> pd.DataFrame:
        if name in VIEWS:
            return VIEWS[name](self.packages if name in OF_ALL else self.about)
        package, _, table = name.partition(".")
        return frame_of(self.packages[package], table)
