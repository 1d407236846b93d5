"""Score the reading of a list against what a person wrote down for it.

A field is right, missed (nothing was read) or misread (something else was read, or something that
the list does not say). A blank in expected.csv means that the list does not say it, a question
mark that both answers are fair.
"""

from __future__ import annotations

import csv
from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import polars as pl

from tallyhook.errors import StockListError
from tallyhook.interpreting.list_items import items_of_layouts
from tallyhook.reading.lists import read_list
from tallyhook.recognising.layouts import layouts_of_sheet
from tallyhook.units import factor

CORPUS = Path(__file__).parent

# how each column of expected.csv stands in the items: its name there and its unit
_MEASURES = {
    "wll": ("wll_kg", "kg"),
    "wll2": ("wll2_kg", "kg"),
    "breaking": ("breaking_kn", "kN"),
    "proof": ("proof_kn", "kN"),
}
_NUMBERS = ("size_mm", "grade", "legs", "angle_to_deg")


@dataclass(slots=True)
class Score:
    """Counts of fields, and a line for each one that is not right."""

    right: int = 0
    missed: int = 0
    misread: int = 0
    faults: list[str] = field(default_factory=list)

    def __iadd__(self, other: Score) -> Score:
        self.right += other.right
        self.missed += other.missed
        self.misread += other.misread
        self.faults += other.faults
        return self

    @property
    def share(self) -> float:
        """Share of the fields that are right."""
        return self.right / max(1, self.right + self.missed + self.misread)


def lists() -> list[Path]:
    """Give the folders of the corpus."""
    return sorted(p.parent for p in CORPUS.glob("*/expected.csv"))


def read(folder: Path) -> pl.DataFrame:
    """Read the list of a folder to its items."""
    frames = []
    for sheet in read_list(next(folder.glob("list.*"))):
        if sheet.is_hidden:
            continue
        try:
            frames += [items_of_layouts([layout]).items() for layout in layouts_of_sheet(sheet)]
        except StockListError:
            continue  # a sheet without ratings, such as a list of contacts
    return pl.concat(frames)


def score(folder: Path) -> Score:
    """Compare the items of a list with its expected.csv."""
    with (folder / "expected.csv").open(encoding="utf-8", newline="") as file:
        expected = list(csv.DictReader(file))
    total = Score()
    wanted, found = defaultdict(list), defaultdict(list)
    for row in expected:
        wanted[row.get("sheet", ""), int(row["row"])].append(row)
    for item in read(folder).iter_rows(named=True):
        found[item["sheet"] or "", item["row"]].append(item)
    for key in sorted({*wanted, *found}):
        total += _row(f"{folder.name} {key}", wanted[key], found[key])
    return total


def _row(
    where: str, wanted: Sequence[Mapping[str, str]], found: Sequence[Mapping[str, Any]]
) -> Score:
    total, left = Score(), list(found)
    for row in wanted:
        scored = [(_item(where, row, item), item) for item in left]
        if not scored:
            fields = [f for f in row if f not in ("sheet", "row") and row[f] not in ("", "?")]
            total += Score(missed=len(fields), faults=[f"{where}: no item for {dict(row)}"])
            continue
        best, item = max(scored, key=lambda s: (s[0].right - s[0].misread, -s[0].missed))
        left.remove(item)
        total += best
    for item in left:
        total += Score(
            misread=1, faults=[f"{where}: an item that the list does not hold, {item['item']!r}"]
        )
    return total


def _item(where: str, row: Mapping[str, str], item: Mapping[str, Any]) -> Score:
    total = Score()
    for name, text in row.items():
        if name in ("sheet", "row") or text == "?":
            continue
        wanted, got = _wanted(name, text), item[_MEASURES.get(name, (name, ""))[0]]
        if wanted is None and got is None:
            continue
        if wanted is not None and got is None:
            total += Score(
                missed=1, faults=[f"{where}: {name} missed, {wanted} ({item['unread']})"]
            )
        elif _same(wanted, got):
            total.right += 1
        else:
            total += Score(misread=1, faults=[f"{where}: {name} is {wanted}, read {got}"])
    return total


def _wanted(name: str, text: str) -> float | str | None:
    if text == "":
        return None
    if name in _MEASURES:
        number, _, unit = text.partition(" ")
        return float(number) * factor(unit, _MEASURES[name][1])
    return float(text) if name in _NUMBERS else text


def _same(wanted: float | str | None, got: Any) -> bool:
    if isinstance(wanted, float) and isinstance(got, (int, float)):
        return abs(got - wanted) <= 1e-6 * abs(wanted)
    return bool(wanted == got)


def main() -> None:
    """Print the score of every list and what was not right."""
    total = Score()
    for folder in lists():
        one = score(folder)
        print(
            f"{folder.name:24} right {one.right:4}  missed {one.missed:3}  misread {one.misread:3}"
        )
        total += one
    print(
        f"{'all':24} right {total.right:4}  missed {total.missed:3}  misread {total.misread:3}  {100 * total.share:.1f} %"
    )
    print(*total.faults, sep="\n")


if __name__ == "__main__":
    main()
