"""Command lines with hostile values, files and output paths."""

from __future__ import annotations

import csv
import hashlib
import json
import os
import random
import sqlite3
from collections.abc import Callable
from pathlib import Path

from fuzzing import inputs
from fuzzing.beside import SOUND_LIST, side_file
from fuzzing.made import made, no_crash, package_in, readable_in, run_command

__all__ = ["audit", "command", "output"]

_KINDS = ("audit", "with", "decisions", "since", "profile", "save", "column", "sheet", "scheme")
_NO_FILES = ("", ".", "..", "\0", "a\0b", "x" * 300, "nothing", "\udcff", "/dev/null", "~", "*")


def command(folder: Path, out: Path, seed: int) -> None:
    """Give a command line hostile values, or a list hostile files beside it."""
    random_ = random.Random(seed)
    if random_.random() < 0.3:
        run_command(inputs.arguments(seed))
        return
    kind = random_.choice(_KINDS)
    if kind == "audit":
        form = random_.choice(("text", "json"))
        run_command(["audit", str(package_in(folder, seed)), "--format", form])
        return
    sound = random_.random() < 0.5
    stock = made(folder / "list.csv", SOUND_LIST) if sound else readable_in(folder, seed)
    asked = ["check", str(stock)]
    if random_.random() < 0.05:  # not a file of the kind that is asked for, or none at all
        option = random_.choice(("--with", "--decisions", "--since", "--profile"))
        run_command([*asked, option, random_.choice((*_NO_FILES, str(folder), str(stock)))])
        return
    if kind == "with":
        asked += ["--with", str(package_in(folder, seed))]
    elif kind in ("decisions", "since", "profile"):
        asked += [f"--{kind}", str(made(folder / kind, side_file(seed, kind)))]
        out.mkdir()
        page = str(out / "page.html")
        asked += random_.choice(([], ["--format", "json"], ["--html", page]))
    elif kind == "save":
        out.mkdir()
        asked += ["--save-profile", str(out / random_.choice(("p.json", "a\nb", "-x", "y" * 300)))]
    else:
        asked.append(f"--{kind}={'wll=' if seed % 2 else ''}{random_.choice(inputs.VALUES)}")
    run_command(asked)


def audit(folder: Path, out: Path, seed: int) -> None:
    """Audit a hostile package: it is refused, or every rule answers."""
    from tallyhook.auditing.audit import audit as run
    from tallyhook.auditing.rendering import render, render_json
    from tallyhook.packages.package import built_in_packages, load_package

    path = package_in(folder, seed)
    name = load_package(path, lenient=True).name
    report = run(built_in_packages(), only=name, extra=[path])
    no_crash(report.crashed | report.skipped)
    assert "secret\n" not in render(report)
    json.loads(render_json(report))


_TARGETS = (
    "new", "-o", "a b;c", "*?[x]", "$(id)", "line\nbreak", "ключ-鉤", "'\"`", "%2e%2e%2f", "=1+1",
    "n" * 200, "n" * 300, "deep/er/still", "deep/../x", "./x/.", "x/", "\udcff", "a\0b", ".hidden",
    "file", "file/below", "full", "full/new", "full/..", "empty", "link", "link/x", "old", "",
    "to-file", "dangling", "new.xlsx", "new.html",
)  # fmt: skip
"""Output paths, in a folder where some of them are taken."""


def _taken(out: Path, random_: random.Random) -> None:
    """Files and folders that stand where something is to be written."""
    (out / "full").mkdir(parents=True)
    (out / "full" / "kept.txt").write_text("kept")
    (out / "file").write_text("kept")
    (out / "empty").mkdir()
    (out / "link").symlink_to("empty")
    (out / "to-file").symlink_to("file")
    (out / "dangling").symlink_to("nowhere")
    in_the_way = random_.choice(("chain.ratings.csv", "tallyhook.sqlite", "chain.xlsx", "list.csv"))
    (out / "old" / in_the_way).mkdir(parents=True)


def output(folder: Path, out: Path, seed: int) -> None:
    """Ask for output at hostile paths: all of it is written there, or nothing is changed."""
    random_ = random.Random(seed)
    _taken(out, random_)
    stock = made(folder / "list.csv", SOUND_LIST)
    target = os.path.join(out, random_.choice(_TARGETS))  # noqa: PTH118 - keeps what a person wrote
    kind = random_.choice(("tidy", "tidy", "export", "export", "html", "xlsx", "save-profile"))
    form = random_.choice(("csv", "json", "parquet", "sqlite", "xlsx"))
    if kind == "tidy":
        asked = ["tidy", str(stock), "-o", target]
    elif kind == "export":
        asked = ["export", "-o", target, f"--format={form}", random_.choice(("chain", "use"))]
    else:
        asked = ["check", str(stock), f"--{kind}", target]
    before = _state(out)
    code, _ = run_command(asked)
    after = _state(out)
    new = {path: data for path, data in after.items() if before.get(path) != data}
    gone = before.keys() - after.keys()
    assert not gone, f"{asked}: gone {gone}"
    assert kind == "export" or code != 2 or not new, f"{asked}: refused, and wrote {sorted(new)}"
    assert stock.read_bytes() == SOUND_LIST
    expected = {"export": form, "tidy": "csv"}.get(kind, "")
    for path in new:
        assert not Path(path).name.startswith((".n", ".list", ".chain", ".use")), f"draft {path}"
        suffix = Path(path).suffix.removeprefix(".")
        if suffix and suffix == expected:
            _WHOLE[suffix](Path(path))


def _state(out: Path) -> dict[str, str]:
    """The files below a folder with a hash of what they hold."""
    files = [Path(at) / name for at, _, names in os.walk(out) for name in names]
    return {str(f): hashlib.sha256(f.read_bytes()).hexdigest() for f in files if f.is_file()}


def _whole_csv(path: Path) -> None:
    widths = {len(row) for row in csv.reader(path.read_text(encoding="utf-8").splitlines())}
    assert len(widths) == 1, (path, widths)


def _whole_json(path: Path) -> None:
    answer = json.loads(path.read_text(encoding="utf-8"))
    assert answer or answer == [], path  # a table may have no rows, as that of retired names


def _whole_parquet(path: Path) -> None:
    import pyarrow.parquet as pq

    with path.open("rb") as data:  # pyarrow takes no path that is no text
        assert pq.read_table(data).num_columns, path


def _whole_base(path: Path) -> None:
    base = sqlite3.connect(path.as_uri() + "?mode=ro", uri=True)
    try:
        assert base.execute("PRAGMA integrity_check").fetchall() == [("ok",)], path
    finally:
        base.close()


def _whole_book(path: Path) -> None:
    import openpyxl

    assert openpyxl.load_workbook(path, read_only=True).sheetnames, path


_WHOLE: dict[str, Callable[[Path], None]] = {
    "csv": _whole_csv,
    "json": _whole_json,
    "parquet": _whole_parquet,
    "sqlite": _whole_base,
    "xlsx": _whole_book,
}
