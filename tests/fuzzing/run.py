"""Feed hostile inputs to every reader, to `check` and `tidy`, to the reports and the commands.

A worker process takes the inputs one after another; this one watches it and ends it when an
input takes longer than ten seconds. Counted are tracebacks (anything raised that is no
`TallyhookError`), hangs, workers that died, and writes outside the output folder.
"""

from __future__ import annotations

import argparse
import multiprocessing
import os
import random
import resource
import shutil
import sys
import tempfile
import time
import traceback
from collections import Counter
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from functools import partial
from multiprocessing.connection import Connection
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

from fuzzing import huge
from fuzzing.ways import MADE, WAYS

LIMIT_S = 10.0
MEMORY = 6 * 2**30  # address space; polars alone reserves more than one


@dataclass(slots=True)
class Outcome:
    """What a run of the fuzzer found."""

    inputs: Counter[str] = field(default_factory=Counter)
    refused: int = 0
    failures: list[tuple[str, int, str]] = field(default_factory=list)
    """Way, seed and what happened: a traceback, ``hang``, ``died`` or ``wrote outside``."""


def fuzz(seeds: Sequence[int], ways: Callable[[int], str]) -> Outcome:
    """Run every seed through the way that `ways` gives for it."""
    outcome, at = Outcome(), 0
    context = multiprocessing.get_context("spawn")
    while at < len(seeds):
        box = Path(tempfile.mkdtemp(prefix="tallyhook-fuzz-"))
        ours, theirs = context.Pipe()
        todo = [(ways(s), s) for s in seeds[at:]]
        worker = context.Process(target=_work, args=(theirs, box, todo))
        worker.start()
        theirs.close()
        ours.poll(60) and ours.recv()  # the imports are done
        for way, seed in todo:
            try:
                told = ours.recv() if ours.poll(LIMIT_S) else "hang"
            except EOFError:
                told = "died"
            at += 1
            outcome.inputs[way] += 1
            if told == "refused":
                outcome.refused += 1
            elif told != "fine":
                outcome.failures.append((way, seed, told))
            if told in ("hang", "died"):
                break
        worker.kill()
        worker.join()
        ours.close()
        shutil.rmtree(box, ignore_errors=True)
    return outcome


def usual_ways(seed: int) -> str:
    """Most inputs are only read; the other ways take longer."""
    weights = [weight for _, weight in WAYS.values()]
    return random.Random(seed * 7 + 1).choices(list(WAYS), weights)[0]


def _work(pipe: Connection, box: Path, todo: Sequence[tuple[str, int]]) -> None:
    import warnings

    warnings.simplefilter("ignore")
    resource.setrlimit(resource.RLIMIT_AS, (MEMORY, MEMORY))
    resource.setrlimit(resource.RLIMIT_CORE, (0, 0))
    os.dup2(os.open(os.devnull, os.O_WRONLY), 2)  # polars tells its panics there

    import tallyhook.checking
    import tallyhook.cli.main
    import tallyhook.reading.workbook
    import tallyhook.reporting.delivery
    import tallyhook.reporting.terminal

    tallyhook.packages.package.all_packages()
    tempfile.tempdir = str(box / "temp")
    for way in ("report", "batches", "command"):  # what is imported late is imported now
        _one(box, way, 0, [])
    wrote: list[str] = []
    sys.addaudithook(lambda event, args: _watch(wrote, box, event, args))
    pipe.send("ready")
    for way, seed in todo:
        pipe.send(_one(box, way, seed, wrote))


def _watch(wrote: list[str], box: Path, event: str, args: tuple[object, ...]) -> None:
    if event == "open":
        path, mode, flags = args
        writes = isinstance(flags, int) and flags & (os.O_WRONLY | os.O_RDWR | os.O_CREAT)
        if writes and not isinstance(path, int) and not str(path).startswith((str(box), "/dev/")):
            wrote.append(f"open {path} {mode}")
    elif event == "subprocess.Popen" and "tallyhook.reading.workbook_worker" in str(args[1]):
        return  # workbooks are read in a process of their own
    elif event in ("socket.connect", "subprocess.Popen", "os.system", "os.exec"):
        wrote.append(f"{event} {args}")


def _one(box: Path, way: str, seed: int, wrote: list[str]) -> str:
    from tallyhook.errors import TallyhookError

    for old in box.iterdir():
        shutil.rmtree(old)
    inside = box / "in"
    inside.mkdir()
    Path(tempfile.gettempdir()).mkdir()  # what is left there is a stray, too
    MADE.clear()
    wrote.clear()
    answer = "fine"
    try:
        WAYS[way][0](inside, box / "out", seed)
    except TallyhookError:
        answer = "refused"
    except BaseException:  # a panic of a library in Rust is no Exception
        answer = traceback.format_exc(limit=-6)
    strays = [str(f) for f in _files(box) - MADE if box / "out" not in f.parents]
    return f"wrote outside {[*strays, *wrote]}" if strays or wrote else answer


def _files(box: Path) -> set[Path]:
    return {Path(folder) / f for folder, _, files in os.walk(box) for f in files}


def main() -> int:
    parser = argparse.ArgumentParser(description="Feed hostile inputs to tallyhook.")
    parser.add_argument("--inputs", type=int, default=100_000)
    parser.add_argument("--first", type=int, default=0, help="the first seed")
    parser.add_argument("--way", choices=[*WAYS, "huge"], help="only this way")
    wanted = parser.parse_args()
    if wanted.way == "huge":
        faults = huge.all_runs(partial(print, flush=True))
        print(f"{len(huge.FILES)} files, check and tidy; failures: {faults}")
        return 1 if faults else 0
    sys.stdout.reconfigure(errors="backslashreplace")  # type: ignore[union-attr]
    started, total, blows = time.monotonic(), 0, Counter[str]()
    step = 2000
    for first in range(wanted.first, wanted.first + wanted.inputs, step):
        last = min(first + step, wanted.first + wanted.inputs)
        outcome = fuzz(range(first, last), (lambda _: wanted.way) if wanted.way else usual_ways)
        total += sum(outcome.inputs.values())
        for way, seed, told in outcome.failures:
            summary = told.strip().splitlines()[-1][:160]
            blows[summary] += 1
            if blows[summary] <= 2:
                print(f"--- {way}, seed {seed}\n{told}", flush=True)
        spent = time.monotonic() - started
        print(
            f"{total} inputs, {dict(outcome.inputs)}, {outcome.refused} refused, "
            f"{blows.total()} failures so far, {spent:.0f} s",
            flush=True,
        )
    for summary, count in blows.most_common():
        print(f"{count:6d}  {summary}")
    print(f"{total} inputs; failures: {blows.total()}")
    return 1 if blows else 0


if __name__ == "__main__":
    sys.exit(main())
