"""What is done with a hostile input, way by way; each raises what the package should not have."""

from __future__ import annotations

import contextlib
import csv
import io
import json
import random
import sys
from collections import Counter
from collections.abc import Callable
from html.parser import HTMLParser
from pathlib import Path
from xml.etree import ElementTree as ET

from fuzzing import inputs

__all__ = ["MADE", "WAYS"]

MADE: set[Path] = set()
"""The files that were made as input; any other outside the output folder is a stray."""


def _made(path: Path, data: bytes) -> Path:
    path.write_bytes(data)
    MADE.add(path)
    return path


def _list_in(folder: Path, seed: int) -> Path:
    name, data = inputs.stock_list(seed)
    return _made(folder / name, data)


def _readable_in(folder: Path, seed: int) -> Path:
    return _made(folder / "list.csv", inputs.readable_list(seed))


def _package_in(folder: Path, seed: int) -> Path:
    text, table = inputs.descriptor(seed)
    _made(folder / "secret.csv", b"secret\n")
    package = folder / "maker"
    (package / "data").mkdir(parents=True)
    (package / "link.csv").symlink_to("../secret.csv")
    MADE.add(package / "link.csv")
    _made(package / "datapackage.json", text)
    _made(package / "data" / "ratings.csv", table)
    return package


def _no_crash(crashed: object) -> None:
    if crashed:
        raise RuntimeError(f"rules crashed: {crashed}")


def _read(folder: Path, out: Path, seed: int) -> None:
    from tallyhook.read import read_list

    read_list(_list_in(folder, seed))


def _check(folder: Path, out: Path, seed: int) -> None:
    from tallyhook.checking import check, tidy
    from tallyhook.rendering import report_text

    path = _list_in(folder, seed)
    if seed % 2:
        tidy(path, out)
        return
    report = check(path)
    report_text(report)
    report.to_json()
    _no_crash(report.crashed)


def _package(folder: Path, out: Path, seed: int) -> None:
    from tallyhook.packages import load_package

    for path in load_package(_package_in(folder, seed)).resources.values():
        assert "secret" not in str(path.path)


def _batches(folder: Path, out: Path, seed: int) -> None:
    """Check a list in batches of seven rows: as a whole, a sensible one has the same findings."""
    from tallyhook import checking
    from tallyhook.reading import batches

    sensible = seed % 3 != 0
    path = _readable_in(folder, seed) if sensible else _list_in(folder, seed)
    whole = _told(path)
    constants = {"LONG_FILE": 1, "LONG_TABLE": 1, "BATCH": 7}
    before = {name: getattr(batches, name) for name in constants if hasattr(batches, name)}
    try:
        for name in before:
            setattr(batches, name, constants[name])
            if hasattr(checking, name):
                setattr(checking, name, constants[name])
        parts = _told(path)
    finally:
        for name, value in before.items():
            setattr(batches, name, value)
            if hasattr(checking, name):
                setattr(checking, name, value)
    # control characters are counted in the whole head alone
    if sensible and parts != whole and "it is not a text file" not in whole:
        raise AssertionError(f"batches differ: {parts[:400]} and {whole[:400]}")


def _told(path: Path) -> str:
    from tallyhook.checking import check
    from tallyhook.errors import TallyhookError

    try:
        report = check(path)
    except TallyhookError as error:
        return f"refused: {error}"
    _no_crash(report.crashed)
    found = json.loads(report.to_json())
    return json.dumps({k: found[k] for k in ("counts", "findings", "items", "not_compared")})


class _Page(HTMLParser):
    def __init__(self) -> None:
        super().__init__()
        self.tags: Counter[str] = Counter()
        self.handlers: list[str] = []
        self.runs = False

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags[tag] += 1
        self.runs = tag == "script" and dict(attrs).get("type") != "application/json"
        for name, value in attrs:
            script = (value or "").strip().lower().startswith("javascript:")
            if name.startswith("on") or (script and name in ("href", "src", "action")):
                self.handlers.append(f"{tag} {name}")

    def handle_data(self, data: str) -> None:
        if self.runs and "alert(1)" in data:
            self.handlers.append("script")
        self.runs = False


_FORMATS = ("json", "ndjson", "csv", "junit", "text")


def _report(folder: Path, out: Path, seed: int) -> None:
    """Write the reports on a list, and read each back with a parser of another's."""
    import openpyxl

    from tallyhook.checking import check
    from tallyhook.delivery import Delivery, deliver

    path = _readable_in(folder, seed)
    out.mkdir()
    checked = check(path)
    _no_crash(checked.crashed)
    told, form = io.StringIO(), _FORMATS[seed % len(_FORMATS)]
    html, xlsx = out / "page.html", out / "book.xlsx"
    with contextlib.redirect_stdout(told):
        deliver(checked, Delivery(format=form, html=html, xlsx=xlsx, source=path))
    page = _Page()
    page.feed(html.read_text(encoding="utf-8"))
    assert not page.handlers, page.handlers
    assert not page.tags["img"] and not page.tags["iframe"], page.tags
    book = openpyxl.load_workbook(xlsx)
    for row in (row for sheet in book for row in sheet.iter_rows()):
        for cell in row:
            assert cell.data_type != "f", cell.value
    text = told.getvalue()
    if form == "json":
        json.loads(text, parse_constant=_no_constant)
    elif form == "ndjson":
        for line in text.split("\n")[:-1]:
            json.loads(line, parse_constant=_no_constant)
    elif form == "csv":
        for cells in csv.reader(io.StringIO(text, newline="")):
            for content in cells:
                begins = content.lstrip()[:1] or content[:1]
                assert begins not in set("=+-@\t\r\n") or _is_number(content), content
    elif form == "junit":
        ET.fromstring(text)


def _no_constant(name: str) -> object:
    raise ValueError(f"{name} is no JSON")


def _is_number(text: str) -> bool:
    try:
        float(text)
    except ValueError:
        return False
    return True


def _command(folder: Path, out: Path, seed: int) -> None:
    """Give a command line hostile values, or a list hostile files beside it."""
    random_ = random.Random(seed)
    if random_.random() < 0.8:
        _run(inputs.arguments(seed))
        return
    kind = random_.choice(
        ("audit", "with", "decisions", "since", "profile", "save", "column", "sheet", "scheme")
    )
    if kind == "audit":
        _run(["audit", str(_package_in(folder, seed))])
        return
    asked = ["check", str(_readable_in(folder, seed))]
    if kind == "with":
        asked += ["--with", str(_package_in(folder, seed))]
    elif kind in ("decisions", "since", "profile"):
        asked += [f"--{kind}", str(_made(folder / kind, inputs.side_file(seed, kind)))]
    elif kind == "save":
        out.mkdir()
        asked += ["--save-profile", str(out / random_.choice(("p.json", "a\nb", "-x", "y" * 300)))]
    else:
        asked.append(f"--{kind}={'wll=' if seed % 2 else ''}{random_.choice(inputs.VALUES)}")
    _run(asked)


def _run(asked: list[str]) -> None:
    from tallyhook import cli

    told, errors = io.TextIOWrapper(io.BytesIO(), encoding="utf-8"), io.StringIO()
    before, sys.argv = sys.argv, ["tallyhook", *asked]
    try:
        with contextlib.redirect_stdout(told), contextlib.redirect_stderr(errors):
            cli.main()
    except SystemExit as ended:
        said = errors.getvalue()
        if ended.code not in (0, 1, 2) or "Traceback" in said or "crashed" in said:
            raise RuntimeError(f"{asked}: exit {ended.code}: {said[-300:]}") from None
        # an audit tells on the standard output which rule a package has stopped
        told.flush()
        refused = said.startswith("tallyhook: ") or b"stopped with" in told.buffer.getvalue()
        if ended.code == 2 and not refused:
            raise RuntimeError(f"{asked}: no sentence: {said[-300:]}") from None
    finally:
        sys.argv = before


WAYS: dict[str, tuple[Callable[[Path, Path, int], None], int]] = {
    "read": (_read, 52),
    "check": (_check, 8),
    "package": (_package, 10),
    "batches": (_batches, 3),
    "report": (_report, 2),
    "command": (_command, 12),
}
"""What is done with an input, and how often beside the other ways."""
