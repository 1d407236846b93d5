"""`tidy` gives a list back clean, whole, and unchanged by tidying it again."""

from __future__ import annotations

import filecmp
import json
from pathlib import Path

import frictionless
import polars as pl
import pytest
from polars.testing import assert_frame_equal

import tallyhook
from tallyhook.errors import StockListError

ROOT = Path(__file__).resolve().parents[2]
DEMO = ROOT / "datasets" / "demo" / "harrow-and-pike.csv"
CORPUS = sorted(p for p in (ROOT / "tests" / "corpus").glob("*/list.*"))


@pytest.mark.parametrize("path", [DEMO, *CORPUS], ids=lambda p: p.parent.name)
def test_tidying_its_own_output_changes_nothing(path: Path, tmp_path: Path) -> None:
    tallyhook.tidy(path, tmp_path / "once")
    tallyhook.tidy(tmp_path / "once" / "list.csv", tmp_path / "twice")
    names = ["list.csv", "unread.csv", "skipped.csv", "datapackage.json"]
    same, other, missing = filecmp.cmpfiles(
        tmp_path / "once", tmp_path / "twice", names, shallow=False
    )
    assert (sorted(same), other, missing) == (sorted(names), [], [])


def test_plain_frictionless_validates_it(tmp_path: Path) -> None:
    tallyhook.tidy(DEMO, tmp_path / "out")
    assert frictionless.validate(str(tmp_path / "out" / "datapackage.json")).valid


def test_a_tidied_list_is_judged_as_the_original(tmp_path: Path) -> None:
    tallyhook.tidy(DEMO, tmp_path / "out")
    first, second = tallyhook.check(DEMO), tallyhook.check(tmp_path / "out" / "list.csv")
    assert first.counts == second.counts
    assert_frame_equal(
        first.stock_findings.drop("file"), second.stock_findings.drop("file"), rel_tol=1e-6
    )


def test_nothing_of_a_row_is_lost(tmp_path: Path) -> None:
    tallyhook.tidy(DEMO, tmp_path / "out")
    listed = pl.read_csv(DEMO, infer_schema=False)
    kept = pl.read_csv(tmp_path / "out" / "list.csv", infer_schema=False)["original"].to_list()
    wanted = [{k: v for k, v in row.items() if v} for row in listed.iter_rows(named=True)]
    assert [json.loads(text) for text in kept] == wanted


def test_formulas_stay_text(tmp_path: Path) -> None:
    path = tmp_path / "list.csv"
    path.write_text(
        'Description,Size,Grade,WLL (t)\n"=HYPERLINK(""x"")",10 mm,8,3.15\n+1 hook,10 mm,8,3.15\n'
    )
    tallyhook.tidy(path, tmp_path / "out")
    for name in ("list.csv", "unread.csv", "skipped.csv"):
        frame = pl.read_csv(tmp_path / "out" / name, infer_schema=False)
        for column in frame.columns:
            assert not frame[column].str.contains(r"^[=+@]").any(), (name, column)


def test_a_folder_that_holds_something_else_is_left_alone(tmp_path: Path) -> None:
    (tmp_path / "mine").mkdir()
    (tmp_path / "mine" / "letter.txt").write_text("dear all")
    with pytest.raises(StockListError, match="something else"):
        tallyhook.tidy(DEMO, tmp_path / "mine")
    assert [p.name for p in (tmp_path / "mine").iterdir()] == ["letter.txt"]
    assert [p.name for p in tmp_path.iterdir()] == ["mine"]


def test_a_changed_cell_of_a_tidied_list_is_named(tmp_path: Path) -> None:
    tallyhook.tidy(DEMO, tmp_path / "out")
    path = tmp_path / "out" / "list.csv"
    path.write_text(path.read_text().replace(",7.0,1/4,", ",seven,1/4,", 1))
    with pytest.raises(StockListError, match="'seven' cannot stand in the column size_mm"):
        tallyhook.check(path)


def test_a_semicolon_in_a_cell_does_not_part_what_is_said_of_it(tmp_path: Path) -> None:
    path = tmp_path / "list.csv"
    rows = ["Chain,10 mm,80,3150", 'Chain,"see; drawing",x,3150', "Chain,13 mm,80,5300"]
    path.write_text("\n".join(["Description,Size,Grade,WLL (kg)", *rows]) + "\n")
    tallyhook.tidy(path, tmp_path / "out")
    unread = pl.read_csv(tmp_path / "out" / "unread.csv", infer_schema=False)
    assert unread.select("row", "field").rows() == [("3", "grade"), ("3", "size")]
    assert "see; drawing" in unread["why"][1]
