"""What is done with a hostile input, way by way; each raises what the package should not have."""

from __future__ import annotations

import json
import random
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

from fuzzing import inputs, long_lists
from fuzzing.commands import audit, command, output
from fuzzing.made import MADE, list_in, made, no_crash, package_in, readable_in
from fuzzing.reports import feed, report

__all__ = ["MADE", "WAYS"]

sys.dont_write_bytecode = True  # what is imported late and kept compiled would be a stray


def _read(folder: Path, out: Path, seed: int) -> None:
    from tallyhook.reading.lists import read_list

    read_list(list_in(folder, seed))


def _workbook(folder: Path, out: Path, seed: int) -> None:
    from tallyhook.reading.lists import read_list

    read_list(made(folder / "list.xls", inputs.workbook(seed)))


def _check(folder: Path, out: Path, seed: int) -> None:
    from tallyhook.checking import check, tidy
    from tallyhook.reporting.terminal import report_text

    path = list_in(folder, seed)
    if seed % 2:
        tidy(path, out)
        return
    report = check(path)
    report_text(report)
    report.to_json()
    no_crash(report.crashed)


def _package(folder: Path, out: Path, seed: int) -> None:
    from tallyhook.packages.package import load_package

    for path in load_package(package_in(folder, seed)).resources.values():
        assert "secret" not in str(path.path)


@contextmanager
def _small_batches(**more: int) -> Iterator[None]:
    """Take every list in batches of seven rows; `more` are other constants of `batches`."""
    from tallyhook.interpreting import list_items
    from tallyhook.reading import batches

    wanted = {"LONG_FILE": 1, "LONG_TABLE": 1, "BATCH": 7} | more
    places = [(m, n) for m in (batches, list_items) for n in wanted if hasattr(m, n)]
    before = [getattr(module, name) for module, name in places]
    try:
        for module, name in places:
            setattr(module, name, wanted[name])
        yield
    finally:
        for (module, name), value in zip(places, before, strict=True):
            setattr(module, name, value)


def _batches(folder: Path, out: Path, seed: int) -> None:
    """Check a list in batches: as a whole, a sensible one has the same findings.

    Of noise the columns are guessed from a sample in batches, and from all rows in the whole.
    """
    sensible = seed % 3 != 0
    path = readable_in(folder, seed) if sensible else list_in(folder, seed)
    whole, _ = _told(path)
    with _small_batches():
        parts, _ = _told(path)
    if sensible:
        _same(parts, whole)


def _long(folder: Path, out: Path, seed: int) -> None:
    """Check a list that is streamed until an odd row, far below the sample, may forbid it."""
    from tallyhook.reading.batches import open_batches

    path = made(folder / "list.csv", long_lists.long_list(seed))
    whole, _ = _told(path)
    with _small_batches(BATCH=random.Random(seed).choice((7, 37)), _HEAD=1500, _PIECES=0):
        assert open_batches(path) is not None, "the list is not opened in batches"
        parts, streamed = _told(path)
    assert streamed or not long_lists.is_plain(seed), "a plain list is not streamed"
    _same(parts, whole)


def _same(parts: str, whole: str) -> None:
    if parts != whole:
        raise AssertionError(f"batches differ: {parts[:400]} and {whole[:400]}")


def _told(path: Path) -> tuple[str, bool]:
    """What a check says, and whether the list was taken in batches: its rows then keep no cells."""
    from tallyhook.checking import check
    from tallyhook.errors import TallyhookError

    try:
        report = check(path)
    except TallyhookError as error:
        return f"refused: {error}", False
    no_crash(report.crashed)
    found = json.loads(report.to_json())
    told = json.dumps({k: found[k] for k in ("counts", "findings", "items", "not_compared")})
    return told, report.layouts[0].body.columns == ["row"]


WAYS: dict[str, tuple[Callable[[Path, Path, int], None], int]] = {
    "read": (_read, 52),
    "workbook": (_workbook, 3),
    "check": (_check, 8),
    "package": (_package, 10),
    "batches": (_batches, 3),
    "long": (_long, 3),
    "report": (report, 2),
    "feed": (feed, 1),
    "command": (command, 12),
    "audit": (audit, 3),
    "output": (output, 3),
}
"""What is done with an input, and how often beside the other ways."""
