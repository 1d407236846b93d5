"""Try the mutants of the rooms one by one: which of them does no test notice?"""

from __future__ import annotations

import argparse
import csv
import json
import os
import random
import subprocess
import sys
import tempfile
import time
from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import replace
from pathlib import Path
from typing import Any

from mutation.page import Tried, share_killed, write_page
from mutation.rooms import ROOMS, files_of, module_name
from mutation.server import ROOT, Child, finished, load, run_tests, start, trace

EQUIVALENT = Path(__file__).parent / "equivalent.csv"
"""Mutants that no list can show, with the reason: by what stands there, not by the line."""

_FASTEST = 15.0  # seconds that any mutant is given


def key_of(mutant: dict[str, Any]) -> tuple[str, ...]:
    """What a mutant is known by in the list of equivalent ones."""
    name = module_name(Path(mutant["path"]))
    return name, mutant["scope"], mutant["code"], mutant["mutant"]


def equivalent() -> dict[tuple[str, ...], str]:
    """The mutants that no list can show -> why."""
    with EQUIVALENT.open(encoding="utf-8", newline="") as file:
        return {
            (row["module"], row["scope"], row["code"], row["mutant"]): row["reason"]
            for row in csv.DictReader(file)
        }


def _mutants(python: str, paths: Sequence[Path]) -> list[dict[str, Any]]:
    maker = Path(__file__).with_name("mutants.py")
    made = subprocess.run(
        [python, maker, *paths], check=True, capture_output=True, text=True, cwd=ROOT
    )
    return [json.loads(line) for line in made.stdout.splitlines()]


def _traced(tests: Sequence[str]) -> dict[str, Any]:
    """What each test calls; the tests must pass before anything is changed."""
    with tempfile.TemporaryDirectory() as folder:
        answer = Path(folder, "trace.json")
        ran = finished([start(lambda: trace(tests, answer), seconds=600)])
        if ran.code != 0:
            raise SystemExit(f"the tests do not pass unchanged (pytest ended with {ran.code})")
        found: dict[str, Any] = json.loads(answer.read_text(encoding="utf-8"))
    return found


def _unchanged(nodeids: Sequence[str]) -> None:
    """Try the server itself: the tests must pass in its children, too."""
    path = Path("validators/tallyhook/rules/__init__.py")
    source = Path(ROOT, path).read_text(encoding="utf-8")
    child = start(
        lambda: run_tests(nodeids, name=module_name(path), path=path, source=source), seconds=600
    )
    if (ran := finished([child])).code != 0:
        raise SystemExit(
            f"the unchanged tests fail in a forked child (pytest ended with {ran.code})"
        )


class _Tests:
    """Which tests call the code that a mutant changes, the most particular ones first."""

    def __init__(self, traced: dict[str, Any]) -> None:
        self.seconds: dict[str, float] = traced["seconds"]
        self._of_function: dict[str, set[str]] = defaultdict(set)
        self._of_module: dict[str, set[str]] = defaultdict(set)
        for nodeid, calls in traced["calls"].items():
            for call in calls:
                self._of_function[call].add(nodeid)
                self._of_module[call.rpartition(":")[0]].add(nodeid)
        calls = traced["calls"]
        self._width = {nodeid: (len(calls[nodeid]), self.seconds[nodeid]) for nodeid in calls}

    def of(self, mutant: dict[str, Any]) -> list[str]:
        path = mutant["path"]
        own = self._of_function.get(f"{path}:{mutant['def_line']}")
        if own:
            return sorted(own, key=self._order)
        # code that runs when the module is imported, or in a thread of polars that is not seen:
        # whoever calls the module, then all others
        first = self._of_module[path]
        rest = self.seconds.keys() - first
        return [*sorted(first, key=self._order), *sorted(rest, key=self._order)]

    def _order(self, nodeid: str) -> tuple[int, float, str]:
        return (*self._width[nodeid], nodeid)


def _try_all(
    room: str, mutants: Sequence[dict[str, Any]], tests: _Tests, processes: int
) -> Iterator[Tried]:
    reasons, sources = equivalent(), dict[str, str]()
    running: dict[int, tuple[Child, dict[str, Any]]] = {}
    waiting = list(reversed(mutants))
    while waiting or running:
        while waiting and len(running) < processes:
            mutant = waiting.pop()
            nodeids = tests.of(mutant)
            if not nodeids:
                yield _tried(room, mutant, "untested", reasons, 0.0)
                continue
            path = mutant["path"]
            text = sources.setdefault(path, Path(ROOT, path).read_text(encoding="utf-8"))
            changed = text[: mutant["start"]] + mutant["text"] + text[mutant["end"] :]
            child = _start(nodeids, mutant, changed, tests)
            running[child.pid] = (child, mutant)
        if running:
            ran = finished([child for child, _ in running.values()])
            _, mutant = running.pop(ran.pid)
            outcome = "survived" if ran.code == 0 else "killed"
            yield _tried(room, mutant, outcome, reasons, ran.seconds)


def _start(nodeids: Sequence[str], mutant: dict[str, Any], changed: str, tests: _Tests) -> Child:
    limit = _FASTEST + 2 * sum(tests.seconds[nodeid] for nodeid in nodeids)
    path = Path(mutant["path"])

    def work() -> int:
        return run_tests(nodeids, name=module_name(path), path=path, source=changed)

    return start(work, seconds=limit)


def _tried(
    room: str,
    mutant: dict[str, Any],
    outcome: str,
    reasons: dict[tuple[str, ...], str],
    seconds: float,
) -> Tried:
    reason = reasons.get(key_of(mutant))
    return Tried(room=room, mutant=mutant, outcome=outcome, reason=reason, seconds=seconds)


def measure(options: argparse.Namespace) -> list[Tried]:
    """Try the mutants of the rooms asked for, and say how it goes on stderr."""
    dice = random.Random(options.seed)
    tried: list[Tried] = []
    for name in options.room or ROOMS:
        room = ROOMS[name]
        asked = options.module or [""]
        paths = [p for p in files_of(room) if any(name in p.as_posix() for name in asked)]
        traced = _traced(room.tests)
        load(traced["imported"])
        _unchanged(list(traced["calls"]))
        made = [m for m in _mutants(options.python, paths) if dice.random() < options.share]
        before = {key_of(t.mutant): t for t in _saved(options.killed_in) if t.outcome == "killed"}
        tried += [replace(before[key_of(m)], mutant=m) for m in made if key_of(m) in before]
        made = [m for m in made if key_of(m) not in before]
        began = time.monotonic()
        for each in _try_all(name, made, _Tests(traced), options.processes):
            tried.append(each)
            if each.outcome != "killed" and not each.reason:
                m = each.mutant
                print(
                    f"{each.outcome}: {m['path']}:{m['line']}\n    {m['code']}\n  > {m['mutant']}",
                    file=sys.stderr,
                    flush=True,
                )
        print(f"{name}: {_summary(tried, name)}, {time.monotonic() - began:.0f} s", file=sys.stderr)
    return tried


def _summary(tried: Sequence[Tried], room: str) -> str:
    own = [t for t in tried if t.room == room]
    real = [t for t in own if not t.reason]
    killed = sum(t.outcome == "killed" for t in real)
    return (
        f"{len(own)} mutants, {len(own) - len(real)} equivalent, {killed} of {len(real)} killed"
        f" ({share_killed(own):.1f} %)"
    )


def _save(tried: Sequence[Tried], path: Path) -> None:
    saved = [
        {"mutant": t.mutant, "room": t.room, "outcome": t.outcome, "seconds": t.seconds}
        for t in tried
    ]
    path.write_text("".join(json.dumps(each) + "\n" for each in saved), encoding="utf-8")


def _saved(paths: Sequence[Path]) -> list[Tried]:
    reasons = equivalent()
    lines = [line for path in paths for line in path.read_text(encoding="utf-8").splitlines()]
    return [
        Tried(**each, reason=reasons.get(key_of(each["mutant"]))) for each in map(json.loads, lines)
    ]


def _complaints(tried: Sequence[Tried], *, whole: bool) -> list[str]:
    """What is wrong with the list of equivalent mutants."""
    wrong = [key_of(t.mutant) for t in tried if t.reason and t.outcome == "killed"]
    gone = equivalent().keys() - {key_of(t.mutant) for t in tried} if whole else set()
    return [f"called equivalent, and a test notices: {', '.join(key)}" for key in wrong] + [
        f"called equivalent, and no longer made: {', '.join(key)}" for key in sorted(gone)
    ]


def main() -> int:
    parser = argparse.ArgumentParser(prog="scripts/measure-tests", description=__doc__)
    parser.add_argument("--room", action="append", choices=list(ROOMS))
    parser.add_argument("--module", action="append", help="only modules whose path has this in it")
    parser.add_argument("--share", type=float, default=1.0, help="the share of mutants to try")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--processes", type=int, default=2)
    parser.add_argument("--save", type=Path, help="write every mutant and its outcome here")
    parser.add_argument(
        "--killed-in", type=Path, nargs="+", default=[],
        help="do not try again what was killed in such a file: quick, after tests were added",
    )  # fmt: skip
    parser.add_argument(
        "--page-of", type=Path, nargs="+", help="try nothing: write the page of what was saved"
    )
    options = parser.parse_args()
    os.chdir(ROOT)
    whole = options.share == 1 and not options.room and not options.module
    if options.page_of:
        tried, whole = _saved(options.page_of), True
    else:
        options.python = os.environ["MUTATION_PYTHON"]
        os.environ["PYTEST_DISABLE_PLUGIN_AUTOLOAD"] = "1"
        tried = measure(options)
    if options.save:
        _save(tried, options.save)
    if whole:
        write_page(tried)
    complaints = _complaints(tried, whole=whole)
    print("\n".join(complaints), end="\n" * bool(complaints), file=sys.stderr)
    return 1 if complaints else 0


if __name__ == "__main__":
    sys.exit(main())
