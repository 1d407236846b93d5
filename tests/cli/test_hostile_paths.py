"""Paths and files beside a list that once ended in a traceback or a file that nothing opens."""

from __future__ import annotations

import json
import os
import zipfile
from pathlib import Path
from typing import Any
from xml.etree import ElementTree as ET

import polars as pl
import pyarrow.parquet as pq
import pytest

from fuzzing.made import run_command
from one_process import Here
from tallyhook.checking import check, tidy
from tallyhook.cluster.feed import feed_of
from tallyhook.cluster.output import write_feed
from tallyhook.cluster.run import check_feed
from tallyhook.errors import TallyhookError
from tallyhook.files import write_whole
from tallyhook.packages.export import export
from tallyhook.recognising.profiles import load_profile
from tallyhook.reporting.since import since
from tallyhook.reporting.workbook import write_workbook

NOT_TEXT = "\udcff"
"""A byte of a file's name that is no UTF-8."""


@pytest.fixture
def stock(tmp_path: Path) -> Path:
    path = tmp_path / "list.csv"
    path.write_text("Part,Item,Size,Grade,WLL (lbs)\nP-1,Grab hook,3/8,70,66000\n")
    return path


IMPOSSIBLE = ("n" * 300, "a\0b", f"{NOT_TEXT}\0")


@pytest.mark.parametrize("name", IMPOSSIBLE)
@pytest.mark.parametrize("way", ["tidy", "export", "file"])
def test_a_path_that_cannot_be_is_refused(way: str, name: str, stock: Path, tmp_path: Path) -> None:
    target = tmp_path / name
    with pytest.raises(TallyhookError, match=r"cannot be (written|made)"):
        if way == "tidy":
            tidy(stock, target)
        elif way == "export":
            export(target, packages=["use"])
        else:
            write_whole(target, "text")
    assert [p.name for p in tmp_path.iterdir()] == ["list.csv"]


def test_a_package_of_an_impossible_name_is_refused(stock: Path) -> None:
    for asked in (["check", str(stock), "--with"], ["audit", "--with"], ["audit"]):
        for name in ("n" * 300, "n" * 5000):
            code, _ = run_command([*asked, name])
            assert code == 2


def test_a_list_is_tidied_into_a_folder_of_any_name(stock: Path, tmp_path: Path) -> None:
    folder = tmp_path / NOT_TEXT
    tidy(stock, folder)
    names = {p.name for p in folder.iterdir()}
    assert names == {"list.csv", "unread.csv", "skipped.csv", "datapackage.json"}
    assert "Grab hook" in (folder / "list.csv").read_text(encoding="utf-8")


def test_the_workbook_of_a_list_of_any_name_is_xml(stock: Path, tmp_path: Path) -> None:
    named = Path(os.path.join(tmp_path, f"stock{NOT_TEXT}.csv"))  # noqa: PTH118
    named.write_bytes(stock.read_bytes())
    write_workbook(check(named), tmp_path / "out.xlsx", named)
    with zipfile.ZipFile(tmp_path / "out.xlsx") as book:
        for name in book.namelist():
            ET.fromstring(book.read(name))
        main = "{http://schemas.openxmlformats.org/spreadsheetml/2006/main}"
        sheets = ET.fromstring(book.read("xl/workbook.xml")).iter(f"{main}sheet")
        assert next(sheets).get("name") == "stock"


def test_the_findings_of_a_feed_go_into_a_folder_of_any_name(stock: Path, tmp_path: Path) -> None:
    pl.read_csv(stock, infer_schema=False).write_parquet(tmp_path / "feed.parquet")
    report = check_feed(feed_of(str(tmp_path / "*.parquet")), Here())
    write_feed(report, tmp_path / NOT_TEXT)
    with (tmp_path / NOT_TEXT / "part-00000.parquet").open("rb") as part:
        assert pq.read_table(part)["row"].to_pylist() == [2]


def test_a_feed_whose_first_file_is_damaged_is_refused(stock: Path, tmp_path: Path) -> None:
    path = tmp_path / "feed.parquet"
    pl.read_csv(stock, infer_schema=False).write_parquet(path)
    data = bytearray(path.read_bytes())
    data[4:40] = b"\xff" * 36  # the first page; the footer is sound
    path.write_bytes(data)
    with pytest.raises(TallyhookError, match=r"feed\.parquet: it cannot be read as Parquet"):
        feed_of(str(path))


@pytest.mark.parametrize(
    "value", ["9" * 5000, "[" * 5000], ids=["an endless number", "an endless nesting"]
)
def test_a_profile_that_no_reader_of_toml_takes_is_refused(value: str, tmp_path: Path) -> None:
    path = tmp_path / "shop.toml"
    path.write_text(f"[[columns]]\nheading = {value}\n")
    with pytest.raises(TallyhookError, match="the profile cannot be read"):
        load_profile(path)


@pytest.mark.parametrize(
    "change",
    [
        {"items": ["x"]},
        {"items": [{"row": 2, "wll_kg": "3 t"}]},
        {"items": [{"row": [2]}]},
        {"items": [{"row": 2, "grade": {}}]},
        {"packages": {"chain": None}},
    ],
)
def test_an_earlier_report_with_items_that_are_none_is_refused(
    change: dict[str, Any], stock: Path, tmp_path: Path
) -> None:
    report = check(stock)
    path = tmp_path / "before.json"
    path.write_text(json.dumps(report.to_dict() | change))
    with pytest.raises(TallyhookError, match="holds items or packages that are none"):
        since(report, path)


def test_an_endless_version_of_an_earlier_report_is_compared(stock: Path, tmp_path: Path) -> None:
    report = check(stock)
    path = tmp_path / "before.json"
    packages = report.to_dict()["packages"] | {"chain": "9" * 5000}
    path.write_text(json.dumps(report.to_dict() | {"packages": packages}))
    assert [change.name for change in since(report, path).packages] == ["chain"]
