"""A short run of scripts/fuzz, with the inputs that broke something once."""

from __future__ import annotations

import csv
import io
import os
import struct
import subprocess
import sys
import textwrap
from pathlib import Path

import pytest

from tallyhook.checking import check, tidy
from tallyhook.errors import PackageError, StockListError, TallyhookError
from tallyhook.files import write_whole
from tallyhook.packages.package import load_package
from tallyhook.reading.lists import read_list
from tallyhook.reporting.formats import to_csv

ROOT = Path(__file__).resolve().parents[1]
LIST = "Item,Size,Grade,WLL (lbs)\nGrab hook,3/8,70,6600\nGrab hook,1/2,70,11300\n"


@pytest.mark.parametrize("first", [0, 200])  # two, so that two workers share them
def test_hostile_inputs_end_in_an_answer_or_a_refusal(first: int) -> None:
    run = subprocess.run(
        [sys.executable, ROOT / "tests/fuzzing/run.py", "--inputs", "200", "--first", str(first)],
        env=os.environ
        | {"PYTHONPATH": f"{ROOT / 'validators'}:{ROOT / 'tests'}", "POLARS_MAX_THREADS": "1"},
        capture_output=True,
        text=True,
        timeout=300,
    )
    assert run.returncode == 0, run.stdout + run.stderr
    assert "200 inputs; failures: 0" in run.stdout


@pytest.mark.parametrize(
    "data",
    [
        b'{"WLL kg": ' + b"9" * 5000 + b"}",
        b"[{}]",
        b'{"a":' * 100_000,
        b"PAR1" + b"\0" * 40 + b"PAR1",
        b"PK\x03\x04" + b"\xff" * 4000,
    ],
    ids=["endless number", "no keys", "deep", "parquet", "archive"],
)
def test_a_broken_file_is_refused_in_one_sentence(tmp_path: Path, data: bytes) -> None:
    path = tmp_path / "list"
    path.write_bytes(data)
    with pytest.raises(StockListError):
        read_list(path)


@pytest.mark.parametrize("seed", [561973, 2029681], ids=["count that lies", "name that is no text"])
def test_a_damaged_parquet_file_is_refused(seed: int, tmp_path: Path) -> None:
    # polars aborts the process on such a page, so the reading is done in a process of its own
    code = """
        import sys
        from pathlib import Path
        from fuzzing.inputs import stock_list
        from tallyhook.errors import StockListError
        from tallyhook.reading.lists import read_list
        path = Path(sys.argv[1])
        path.write_bytes(stock_list(int(sys.argv[2]))[1])
        try:
            read_list(path)
        except StockListError as error:
            print(error)
    """
    run = subprocess.run(
        [sys.executable, "-c", textwrap.dedent(code), tmp_path / "list.csv", str(seed)],
        env=os.environ | {"PYTHONPATH": f"{ROOT / 'validators'}:{ROOT / 'tests'}"},
        capture_output=True,
        text=True,
        timeout=60,
    )
    assert run.returncode == 0, run.stderr
    assert "cannot be read as Parquet" in run.stdout


def test_half_a_character_in_json_is_replaced(tmp_path: Path) -> None:
    path = tmp_path / "list.json"
    path.write_text('{"Item": "hook \\ud800", "WLL kg": 1}')
    assert read_list(path)[0].frame["c0"][1] == "hook ?"


def test_an_old_workbook_whose_sectors_form_a_circle_is_refused(tmp_path: Path) -> None:
    data = bytearray((ROOT / "tests/corpus/old-workbook/list.xls").read_bytes())
    table = (struct.unpack_from("<I", data, 76)[0] + 1) * 512
    struct.pack_into("<2I", data, table, 1, 0)
    path = tmp_path / "list.xls"
    path.write_bytes(data)
    with pytest.raises(StockListError, match="circle"):
        read_list(path)


@pytest.mark.parametrize(
    "path", ["../a.csv", "/etc/passwd", "https://example.invalid/a.csv", "a\\u0000.csv", "x" * 5000]
)
def test_a_package_reads_nothing_outside_its_folder(tmp_path: Path, path: str) -> None:
    (tmp_path / "a.csv").write_text("x\n1\n")
    folder = tmp_path / "maker"
    folder.mkdir()
    (folder / "datapackage.json").write_text(
        '{"name": "maker", "resources": [{"name": "a", "path": "' + path + '",'
        ' "schema": {"fields": [{"name": "x", "type": "string"}]}}]}'
    )
    with pytest.raises(PackageError):
        load_package(folder)


def _tidied(folder: Path, stock: Path) -> dict[str, bytes]:
    tidy(stock, folder)
    return {p.name: p.read_bytes() for p in folder.iterdir()}


@pytest.mark.parametrize("way", ["report", "tidy"])
def test_a_full_disk_leaves_the_earlier_output_whole(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, way: str
) -> None:
    stock, folder, report = tmp_path / "list.csv", tmp_path / "out", tmp_path / "report.html"
    stock.write_text(LIST)
    before = _tidied(folder, stock)
    report.write_text("earlier")

    def full(*_: object, **__: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(Path, "write_bytes" if way == "report" else "write_text", full)
    with pytest.raises(TallyhookError, match="No space left"):
        write_whole(report, "later") if way == "report" else tidy(stock, folder)
    assert report.read_bytes() == b"earlier"
    assert {p.name: p.read_bytes() for p in folder.iterdir()} == before
    assert {p.name for p in tmp_path.iterdir()} == {"list.csv", "out", "report.html"}


def test_a_killed_process_leaves_the_earlier_output_whole(tmp_path: Path) -> None:
    stock, folder, report = tmp_path / "list.csv", tmp_path / "out", tmp_path / "report.html"
    stock.write_text(LIST)
    before = _tidied(folder, stock)
    report.write_text("earlier")
    program = textwrap.dedent(
        f"""
        import os, signal
        from pathlib import Path
        from tallyhook.checking import tidy
        from tallyhook.files import whole_file
        if os.fork() == 0:
            with whole_file({str(report)!r}) as draft:
                draft.write_text("half")
                os.kill(os.getpid(), signal.SIGKILL)
        os.wait()
        Path.write_text = lambda *_, **__: os.kill(os.getpid(), signal.SIGKILL)
        tidy({str(stock)!r}, {str(folder)!r})
        """
    )
    run = subprocess.run(
        [sys.executable, "-c", program],
        env=os.environ | {"PYTHONPATH": str(ROOT / "validators")},
        timeout=60,
        check=False,
    )
    assert run.returncode == -9
    assert report.read_text() == "earlier"
    assert {p.name: p.read_bytes() for p in folder.iterdir()} == before


def test_a_read_only_folder_leaves_the_earlier_output_whole(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    stock, folder, report = tmp_path / "list.csv", tmp_path / "out", tmp_path / "report.html"
    stock.write_text(LIST)
    before = _tidied(folder, stock)
    report.write_text("earlier")

    def refused(*_: object, **__: object) -> None:  # the tests may run as root, whom no mode stops
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr("tempfile.mkstemp", refused)
    monkeypatch.setattr("tempfile.mkdtemp", refused)
    with pytest.raises(TallyhookError, match="Permission denied"):
        write_whole(report, "later")
    with pytest.raises(StockListError, match="Permission denied"):
        tidy(stock, folder)
    assert report.read_text() == "earlier"
    assert {p.name: p.read_bytes() for p in folder.iterdir()} == before


def test_a_text_stays_a_text_in_every_output_that_a_spreadsheet_opens(tmp_path: Path) -> None:
    # how a formula or a command may begin, blanks before it or not (CSV injection, as OWASP lists)
    texts = ["=1+1", " =1+1", "+1", "-1+1", "@SUM(A1)", "\t=1", "\u00a0@x"]
    head = "Description,Size (mm),Grade,WLL (kg)"
    lines = [head, *(f'"{t} lifting chain",10,80,9450' for t in texts)]
    stock = tmp_path / "list.csv"
    stock.write_text("\n".join(lines) + "\n", encoding="utf-8")
    tidy(stock, tmp_path / "tidy")
    report = check(stock)
    for text in (to_csv(report), (tmp_path / "tidy" / "list.csv").read_text(encoding="utf-8")):
        cells = [c for row in csv.reader(io.StringIO(text)) for c in row]
        assert any("1+1" in c for c in cells)
        assert not [c for c in cells if c.strip()[:1] in ("=", "@") or c.startswith("+")]


@pytest.mark.parametrize("way", ["full", "killed"])
def test_the_findings_of_a_feed_are_written_whole_or_not_at_all(tmp_path: Path, way: str) -> None:
    program = f"""
        import os, signal
        from pathlib import Path
        import polars as pl
        from tallyhook.cluster.feed import Feed
        from tallyhook.cluster.output import FeedReport, write_feed
        from tallyhook.model.options import ColumnChoice
        from tallyhook.errors import TallyhookError
        feed = Feed(pattern="x", sample=None, parts=(), choice=ColumnChoice())
        found = pl.DataFrame(schema={{"row": pl.Int64}})
        report = FeedReport(feed=feed, findings=found, counts={{"rows": 1, "agree": 1, "contradicted": 0, "not_compared": 0}}, crashed={{}}, packages={{}}, passed_over={{}})
        def write_text(*_, **__):
            if {way == "killed"}:
                os.kill(os.getpid(), signal.SIGKILL)
            raise OSError(28, "No space left on device")
        Path.write_text = write_text
        try:
            write_feed(report, Path({str(tmp_path / "out")!r}))
        except TallyhookError as error:
            print(error)
    """
    run = subprocess.run(
        [sys.executable, "-c", textwrap.dedent(program)],
        env=os.environ | {"PYTHONPATH": str(ROOT / "validators")},
        capture_output=True,
        text=True,
        timeout=60,
        check=False,
    )
    assert run.returncode == (-9 if way == "killed" else 0), run.stderr
    assert way == "killed" or "No space left" in run.stdout
    assert not (tmp_path / "out").exists()
