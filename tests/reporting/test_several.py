"""Several lists in one call: one document, each list as if it had been checked alone."""

from __future__ import annotations

import csv
import io
import json
from pathlib import Path
from xml.etree import ElementTree as ET

import polars as pl
import pytest
from stock_reports import ROWS, report_of

from command_line import here
from report_checks import valid_json, valid_ndjson
from tallyhook.reporting.formats import to_csv, to_ndjson, to_parquet
from tallyhook.reporting.junit import to_junit
from tallyhook.reporting.several import several_json_pieces, several_text

HEADING = "Part,Description,Size,Grade,WLL (lb)"
# ASTM A413 as restated, 49 CFR 393.108: 3/8 in grade 70 is 6,600 lb, and breaks at four times that
RIGHT, WRONG = "P1,Transport chain,3/8 in,70,6600", "P2,Transport chain,3/8 in,70,26400"


@pytest.fixture
def lists(tmp_path: Path) -> dict[str, Path]:
    paths = {name: tmp_path / f"{name}.csv" for name in ("right", "wrong", "missing")}
    paths["right"].write_text(f"{HEADING}\n{RIGHT}\n")
    paths["wrong"].write_text(f"{HEADING}\n{RIGHT}\n{WRONG}\n")
    return paths


@pytest.mark.parametrize(
    ("names", "code"),
    [
        (["right", "right"], 0),
        (["right", "wrong"], 1),
        (["wrong", "right"], 1),
        (["right", "missing"], 2),
        (["missing", "wrong"], 2),  # 2 goes before 1
        (["missing", "missing"], 2),
    ],
)
@pytest.mark.parametrize("form", ["text", "json", "ndjson", "csv", "junit"])
def test_one_exit_code_for_all(
    lists: dict[str, Path], names: list[str], code: int, form: str
) -> None:
    done = here("check", *(lists[name] for name in names), "--format", form)
    assert done.returncode == code
    assert done.stderr.count("there is no such file") == names.count("missing")
    assert done.stdout


def test_each_report_of_the_json_is_as_if_its_list_had_been_checked_alone(
    lists: dict[str, Path],
) -> None:
    both = here("check", lists["wrong"], lists["right"], "--format", "json")
    told = valid_json(both.stdout)
    alone = [
        json.loads(here("check", lists[name], "--format", "json").stdout)
        for name in ("wrong", "right")
    ]
    assert told["lists"] == alone
    assert told["packages"] == alone[0]["packages"]
    assert (told["complete"], told["lists_not_checked"]) == (True, [])


def test_a_list_that_cannot_be_checked_is_told_in_every_format(lists: dict[str, Path]) -> None:
    paths, missing = [lists["missing"], lists["right"]], str(lists["missing"])
    told = {
        form: here("check", *paths, "--format", form).stdout
        for form in ("text", "json", "ndjson", "csv", "junit")
    }
    why = "there is no such file"
    whole = valid_json(told["json"])
    assert whole["lists_not_checked"] == [{"file": missing, "why": why}]
    assert whole["complete"] is False and len(whole["lists"]) == 1
    assert valid_ndjson(told["ndjson"])[-1] == {
        "record": "list_not_checked",
        "file": missing,
        "why": why,
    }
    last = list(csv.DictReader(io.StringIO(told["csv"])))[-1]
    assert {name: cell for name, cell in last.items() if cell} == {
        "record": "list_not_checked",
        "file": missing,
        "why": why,
    }
    errors = ET.fromstring(told["junit"]).findall("testsuite/testcase/error")
    assert [why in (error.get("message") or "") for error in errors] == [True]
    assert "NOT CHECKED" in told["text"] and why in told["text"]


def test_the_text_has_one_report_after_another_and_the_counts_of_all() -> None:
    text = several_text([report_of(file="a.csv"), report_of(ROWS[:3], file="b.csv")], [])
    lines = text.splitlines()
    assert lines.index("LIST 1 OF 2") < lines.index("LIST 2 OF 2")
    assert lines[lines.index("LIST 2 OF 2") + 1] == "b.csv: 3 items"
    # 7 rows: 2 wrong, 1 without a size (stock_reports.ROWS); and 3 right ones
    whole = "ALL 2 LISTS: 7 agree, 2 contradicted, 1 not compared, 10 items in all"
    assert lines[-1] == whole


def test_every_record_says_of_which_list_it_is() -> None:
    both = [report_of(file="a.csv"), report_of(file="b.csv")]
    for record in valid_ndjson(to_ndjson(*both)):
        assert (record["file"] if "file" in record else record["list"]["file"]) in (
            "a.csv",
            "b.csv",
        )
    files = [row["file"] for row in csv.DictReader(io.StringIO(to_csv(*both)))]
    assert files.count("a.csv") == files.count("b.csv") == len(files) / 2
    back = pl.read_parquet(io.BytesIO(to_parquet(*both)))
    assert back["file"].to_list() == files
    suites = ET.fromstring(to_junit(*both)).findall("testsuite")
    assert [suite.get("name") for suite in suites] == ["a.csv", "b.csv"]


def test_a_rule_that_crashed_in_one_list_makes_all_incomplete() -> None:
    import dataclasses

    broken = dataclasses.replace(report_of(), crashed={"some-rule": "ZeroDivisionError: no"})
    told = valid_json("".join(several_json_pieces([report_of(), broken], [], {})))
    assert told["complete"] is False
    assert [each["complete"] for each in told["lists"]] == [True, False]


@pytest.mark.parametrize(
    "option",
    [
        ("--html", "page.html"),
        ("--xlsx", "book.xlsx"),
        ("--decisions", "d.csv"),
        ("--since", "r.json"),
        ("--show-columns",),
        ("--save-profile", "p.toml"),
    ],
)
def test_what_is_of_one_list_is_refused_for_several(
    lists: dict[str, Path], option: tuple[str, ...], tmp_path: Path
) -> None:
    values = [str(tmp_path / value) for value in option[1:]]
    done = here("check", lists["right"], lists["wrong"], option[0], *values)
    assert (done.returncode, done.stdout) == (2, "")
    assert done.stderr == (
        f"tallyhook: {option[0]} is for one list; check the lists one by one, or leave it out.\n"
    )


def test_what_is_wrong_with_an_option_is_said_once(lists: dict[str, Path]) -> None:
    done = here("check", lists["right"], lists["wrong"], "--scheme", "martian")
    assert (done.returncode, done.stdout) == (2, "")
    assert done.stderr.count("martian") == 1


def test_a_pattern_that_the_shell_has_filled_in_is_no_feed(lists: dict[str, Path]) -> None:
    done = here("check", lists["right"], lists["wrong"], "--engine", "dask", "-o", "out")
    assert done.returncode == 2 and "put the pattern in quotes" in done.stderr
