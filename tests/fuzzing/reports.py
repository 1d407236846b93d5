"""Reports on hostile lists, each read back with a parser of another's."""

from __future__ import annotations

import contextlib
import csv
import io
import json
import random
from collections import Counter
from collections.abc import Callable, Sequence
from html.parser import HTMLParser
from pathlib import Path
from typing import Any
from xml.etree import ElementTree as ET

from fuzzing import inputs
from fuzzing.made import MADE, no_crash, readable_in

__all__ = ["feed", "report"]


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


_NAMES = (
    *(name for name in inputs.NAMES if not name.endswith(".xlsx")),
    "<script>alert(1)<",
    "'=1+1.csv",
    "=1+1",
    "]]>&lt;.csv",
    "\udcff.csv",
    "a\tb\r.csv",
    "javascript:alert(1)",
)


def report(folder: Path, out: Path, seed: int) -> None:
    """Write the reports on a list, and read each back."""
    import openpyxl

    from tallyhook.checking import check
    from tallyhook.reporting.delivery import Delivery, deliver

    random_ = random.Random(seed)
    path = readable_in(folder, seed, random_.choice(_NAMES))
    out.mkdir()
    checked = check(path)
    no_crash(checked.crashed)
    form = random_.choice(sorted(_READ_BACK))
    data = io.BytesIO()
    told = io.TextIOWrapper(data, encoding="utf-8", errors="replace", newline="")
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
    told.flush()
    _READ_BACK[form](data.getvalue())


def _json(data: bytes) -> None:
    json.loads(data.decode("utf-8"), parse_constant=_no_constant)


def _ndjson(data: bytes) -> None:
    for line in data.decode("utf-8").split("\n")[:-1]:
        json.loads(line, parse_constant=_no_constant)


def _csv(data: bytes) -> None:
    for cells in csv.reader(io.StringIO(data.decode("utf-8"), newline="")):
        for content in cells:
            begins = content.lstrip()[:1] or content[:1]
            assert begins not in set("=+-@\t\r\n") or _is_number(content), content


def _parquet(data: bytes) -> None:
    import pyarrow.parquet as pq

    pq.read_table(io.BytesIO(data)).validate(full=True)


def _junit(data: bytes) -> None:
    ET.fromstring(data.decode("utf-8"))


def _text(data: bytes) -> None:
    assert data.decode("utf-8").strip()


_READ_BACK: dict[str, Callable[[bytes], None]] = {
    "csv": _csv,
    "json": _json,
    "junit": _junit,
    "ndjson": _ndjson,
    "parquet": _parquet,
    "text": _text,
}


def _no_constant(name: str) -> object:
    raise ValueError(f"{name} is no JSON")


def _is_number(text: str) -> bool:
    try:
        float(text)
    except ValueError:
        return False
    return True


class _Here:
    """A cluster of nobody: each task is done where it is asked for."""

    def submit(self, function: Callable[..., Any], *args: Any, **_: Any) -> Any:
        return function(*args)

    def gather(self, futures: Sequence[Any]) -> Sequence[Any]:
        return futures


def feed(folder: Path, out: Path, seed: int) -> None:
    """Check a feed of Parquet files, write its findings as a folder, and read them back."""
    import polars as pl
    import pyarrow.parquet as pq

    from tallyhook.cluster.feed import feed_of
    from tallyhook.cluster.output import write_feed
    from tallyhook.cluster.run import check_feed

    random_ = random.Random(seed)
    head, *rows = list(csv.reader(io.StringIO(inputs.readable_list(seed).decode(), newline="")))
    head = [*head, *"abcdef"][:6]
    head = [f"{name}{n}" if name in head[:n] else name for n, name in enumerate(head)]
    if random_.random() < 0.8:  # else the heading is as hostile as the cells
        head = ["Item", "Part", "Size", "Grade", "WLL (lbs)", "Supplier"]
    box = folder / random_.choice(("feed", "a b;c", "line\nbreak", "=1+1"))
    box.mkdir()
    for number in range(random_.choice((1, 1, 2, 3))):
        path = box / f"{number}{random_.choice(_NAMES[1:])}.parquet"
        chosen = [random_.choice(rows)[:6] for _ in range(random_.randrange(1, 40))]
        chosen = [cells + [""] * (6 - len(cells)) for cells in chosen]
        data = io.BytesIO()
        pl.DataFrame(chosen, schema=dict.fromkeys(head, pl.String), orient="row").write_parquet(
            data
        )
        damaged = random_.random() < 0.1
        path.write_bytes(inputs.mutated(random_, data.getvalue()) if damaged else data.getvalue())
        MADE.add(path)
    target = out / random_.choice(_NAMES)
    found = check_feed(feed_of(str(box / "*.parquet")), _Here())
    no_crash(found.crashed)
    write_feed(found, target)
    summary = json.loads((target / "summary.json").read_text(encoding="utf-8"))
    parts = [target / told["findings"] for told in summary["files"]]
    files = (*parts, target / "list-wide.parquet")
    heights = [pq.read_table(io.BytesIO(p.read_bytes())).num_rows for p in files]
    assert sum(heights) == found.findings.height, heights
    assert {p.name for p in out.iterdir()} == {target.name}, "a draft is left"
