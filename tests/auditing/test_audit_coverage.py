"""A number that is 5 % off is noticed, though it was sealed and the printed table changed alike.

``scripts/measure-audit`` tries every number of every table; here three tables are tried anew, and
the page it wrote is held to what it promises.
"""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from seeding import packages as measure
from tallyhook.auditing.tables import Tables
from tallyhook.packages.package import Package

ROOT = Path(__file__).resolve().parents[2]


@pytest.mark.parametrize(
    "table", ["hooks.ramshorn-hooks", "chain.link-thickness", "use.hitch-factors"]
)
def test_every_changed_number_is_noticed_by_the_other_numbers(
    packages: dict[str, Package], table: str
) -> None:
    cells = list(measure._changed(packages, Tables(packages), table))
    unnoticed = [c for c in cells if not c.caught - {measure.HASHES, measure.PRINTED}]
    assert len(cells) > 20
    assert unnoticed == []


def test_an_unchanged_table_is_not_called_changed(
    packages: dict[str, Package], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(measure, "_shifted", lambda old, sign, whole: old)
    cells = list(measure._changed(packages, Tables(packages), "hooks.ramshorn-hooks"))
    assert {c.caught for c in cells} == {frozenset({measure.HASHES, measure.PRINTED})}


def test_the_page_says_that_every_change_is_noticed() -> None:
    page = (ROOT / "docs" / "audit-coverage.md").read_text(encoding="utf-8")
    shares = re.search(r"\| \*\*all\*\* \| \d+ \| \d+ \| (.+)% \| (.+)% \| (.+)% \|", page)
    assert shares is not None
    every, sealed, alike = map(float, shares.groups())
    assert every == 100.0
    assert sealed >= 99.9
    assert alike >= 99.5
    assert "**no**" not in page
