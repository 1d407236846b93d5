"""Many relations in one process: counts the differences and shows each, the smallest first.

Each is told on standard error as it is found, and in its smallest form at the end.
"""

from __future__ import annotations

import argparse
import sys
import tempfile
import time
from collections import Counter
from collections.abc import Mapping
from contextlib import suppress
from dataclasses import dataclass, field, replace
from pathlib import Path
from random import Random
from typing import Any

from relations.carriers import CARRIERS, csv_text
from relations.outcomes import Outcome, checked, differing, ratings_worked_out_once
from relations.shops import Case, draw_case
from relations.tables import Table, written
from relations.ways import WAYS, Part, Way
from relations.words import BLANKS

__all__ = ["Difference", "DoesNotApply", "compare", "main", "outcomes_of", "silently", "smallest"]


class DoesNotApply(Exception):  # noqa: N818
    """A way has nothing to change in a list."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Difference:
    """One difference: the case, the way, the seed of the way, and what differs."""

    case: Case
    way: str
    seed: str
    before: Table
    parts: tuple[Part, ...]
    what: dict[int, tuple[str, Any, Any]]

    @property
    def text(self) -> str:
        """Both lists, and what differs."""
        lines = [f"== {self.way} ({self.seed}): {len(self.what)} of {len(self.case.things)} rows"]
        lines += [csv_text(self.before), "-- again:"]
        lines += [f"[{p.carrier}]\n{csv_text(p.table)}" for p in self.parts]
        for thing, (name, a, b) in sorted(self.what.items()):
            row = self.before.rows.get(thing)
            lines.append(f"row {row}: {name}\n   was {a}\n   now {b}")
        return "\n".join(lines)


def outcomes_of(parts: list[Part], folder: Path) -> dict[int, Outcome]:
    """Check the parts of a list and join what they say."""
    joined: dict[int, Outcome] = {}
    for part in parts:
        # JSON lines have no line of headings: the first record is row 1
        above = 1 if part.carrier == "json lines" else 0
        rows = {thing: row - above for thing, row in part.table.rows.items()}
        joined |= checked(CARRIERS[part.carrier](part.table, folder), rows)
    return joined


def compare(
    case: Case,
    way: Way,
    seed: str,
    folder: Path,
    before: Mapping[int, Outcome] | None = None,
) -> Difference | None:
    """Say a list in another way and compare; None where nothing differs that may not.

    `before` is what is said of the list as it is, where that is known.

    Raises
    ------
    DoesNotApply
        The way has nothing to change in this list.
    """
    table = written(case)
    parts = way.make(case, table, Random(seed))
    if parts is None:
        raise DoesNotApply(way.name)
    if before is None:
        before = outcomes_of([Part(table=table)], folder)
    after = outcomes_of(parts, folder)
    may = frozenset(way.may_differ)
    what = differing(before, after, may, way.loads_within, any_scheme="scheme" in may)
    if not what:
        return None
    return Difference(
        case=case, way=way.name, seed=seed, before=table, parts=tuple(parts), what=what
    )


def silently(case: Case, told: Mapping[int, Outcome]) -> list[int]:
    """Name the things that agree although a cell of theirs cannot be read."""
    agreeing = {thing for thing, outcome in told.items() if outcome.outcome == "agree"}
    hidden = {
        thing.number
        for thing in case.things
        for role, cell in thing.unread
        if role in case.manner.columns and cell not in BLANKS
    }
    # and whatever else is told as not read
    hidden |= {thing for thing in agreeing if any(told[thing].unread)}
    return sorted(agreeing & hidden)


def smallest(found: Difference, folder: Path) -> Difference:
    """Take things away as long as the way still makes a difference."""
    way, shrunk = WAYS[found.way], True
    while shrunk:
        shrunk = False
        for n in range(len(found.case.things)):
            things = found.case.things[:n] + found.case.things[n + 1 :]
            again = None
            if not things:
                continue
            with suppress(DoesNotApply):
                again = compare(replace(found.case, things=things), way, found.seed, folder)
            if again is not None:
                found, shrunk = again, True
                break
    return found


@dataclass(kw_only=True)
class Tally:
    """What a run has tried and found."""

    lists: int = 0
    tried: Counter[str] = field(default_factory=Counter)
    differences: list[Difference] = field(default_factory=list)
    right: Counter[str] = field(default_factory=Counter)
    """What is said of the rows that are right and can be read, in the lists as drawn."""
    silent: list[str] = field(default_factory=list)

    @property
    def cases(self) -> int:
        """Lists compared with themselves, said in another way."""
        return sum(self.tried.values())

    def take(self, seed: str, names: list[str], each: int, folder: Path) -> None:
        """Draw a list and try some ways with it."""
        random = Random(seed)
        case = draw_case(random)
        table = written(case)
        before = outcomes_of([Part(table=table)], folder)
        self.lists += 1
        self.silent += [
            f"{seed}: row {table.rows[t]}\n{csv_text(table)}" for t in silently(case, before)
        ]
        for thing in case.things:
            if thing.times == 1.0 and thing.breaking_times == 4.0 and not thing.unread:
                told = before[thing.number]
                why = "" if told.why is None else f": {told.why}"
                self.right[f"{told.outcome}{why}"] += 1
        for name in random.sample(names, min(each, len(names))):
            try:
                found = compare(case, WAYS[name], f"{seed}/{name}", folder, before)
            except DoesNotApply:
                continue
            self.tried[name] += 1
            if found is not None:
                self.differences.append(found)
                print(found.text, file=sys.stderr, flush=True)

    def text(self, took: float) -> str:
        """The figures."""
        by_way = Counter(each.way for each in self.differences)
        return "\n".join(
            (
                f"{self.cases} cases of {self.lists} lists in {took:.0f} s "
                f"({self.cases / took:.1f} a second), {len(self.differences)} differences",
                *(f"  {n:5} of {self.tried[name]:5} {name}" for name, n in by_way.most_common()),
                "right rows that can be read, in the lists as they were drawn:",
                *(f"  {n:5} {why}" for why, n in self.right.most_common(12)),
                f"{len(self.silent)} rows agree that hold a cell nobody can read",
                *self.silent[:20],
            )
        )


def main() -> None:
    """Run as many relations as asked for."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--cases", type=int, default=20_000)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--each", type=int, default=20, help="ways tried with one list")
    parser.add_argument("--way", action="append", choices=WAYS, help="only these ways")
    parser.add_argument("--minutes", type=int, help="end after that time, whatever was reached")
    parser.add_argument("--show", type=int, default=10, help="differences shown of each way")
    asked = parser.parse_args()
    names = asked.way or list(WAYS)
    tally, started = Tally(), time.monotonic()
    with (
        tempfile.TemporaryDirectory(prefix="relations-") as temporary,
        ratings_worked_out_once(),
    ):
        folder = Path(temporary)
        end = started + 60 * asked.minutes if asked.minutes else float("inf")
        while tally.cases < asked.cases and time.monotonic() < end:
            tally.take(f"{asked.seed}/{tally.lists}", names, asked.each, folder)
            if tally.lists % 50 == 0:
                found = len(tally.differences)
                print(f"{tally.cases} cases, {found} differences", file=sys.stderr, flush=True)
        took = time.monotonic() - started
        shown: Counter[str] = Counter()
        kept = []
        for each in tally.differences:
            shown[each.way] += 1
            if shown[each.way] <= asked.show:
                kept.append(smallest(each, folder))
    for each in sorted(kept, key=lambda d: (len(d.case.things), len(d.text))):
        print(each.text)
    print(tally.text(took))
    sys.exit(1 if tally.differences or tally.silent else 0)


if __name__ == "__main__":
    main()
