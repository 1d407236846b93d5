"""Every option of `check` does the same for a list on one machine and for a feed on a cluster.

The outside measure is the other engine: one file of Parquet is a list, and a feed of one file.
Either both give the same findings, counts and exit code, or both refuse in the same sentence.
"""

from __future__ import annotations

import json
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import polars as pl
import pytest
import typer

from command_line import Ended, here
from one_process import Here
from package_folders import make_package
from seeding.lists import block
from seeding.shops import SHOPS
from tallyhook.cli.main import app_for
from tallyhook.cluster import run
from tallyhook.rules import all_rules

PROFILE = """
[[columns]]
heading = "{heading}"
role = "{role}"
"""

OPTIONS: dict[str, tuple[tuple[str, ...], ...]] = {
    "--sheet": (("--sheet", "Sheet1"),),
    "--column": (
        ("--column", "wll=WLL (lb)"),
        ("--column", "part=Supplier"),
        ("--column", "unit=kg"),
        ("--column", "wll=No such heading"),
        ("--column", "weight=WLL (lb)"),
        ("--column", "wll"),
    ),
    "--profile": (
        ("--profile", "{folder}/good.toml"),
        ("--profile", "{folder}/bad-role.toml"),
        ("--profile", "{folder}/other-list.toml"),
        ("--profile", "{folder}/not-there.toml"),
        ("--profile", "{folder}/list.parquet"),
    ),
    "--scheme": (
        ("--scheme", "european"),
        ("--scheme", "us-chain"),
        ("--scheme", "nonsense"),
        ("--scheme", ""),
    ),
    "--with": (
        ("--with", "{folder}/maker"),
        ("--with", "{folder}/not-there"),
        ("--with", "{folder}/maker", "--scheme", "nonsense"),
    ),
    "--minutes": (("--minutes", "5"),),
    "--most-not-compared": tuple(
        ("--most-not-compared", bound) for bound in ("0", "0%", "100%", "101%", "-1", "few")
    ),
    "--fail-on": tuple(("--fail-on", s) for s in ("danger", "error", "warning", "note", "doubt")),
}
"""The options that both engines have, with good and with bad values."""

LISTS_ONLY: dict[str, tuple[str, ...]] = {
    "--leave-out": ("row 3",),
    "--bound": ("rows=1000000",),
    "--show-columns": (),
    "--save-profile": ("{folder}/saved.toml",),
    "--format": ("json",),
    "--html": ("{folder}/page.html",),
    "--xlsx": ("{folder}/book.xlsx",),
    "--decisions": ("{folder}/decisions.csv",),
    "--since": ("{folder}/before.json",),
}
"""What a feed refuses by name, with a value."""

FEEDS_ONLY: dict[str, tuple[str, ...]] = {
    "--scheduler": ("tcp://127.0.0.1:1",),
    "--output": ("{folder}/out",),
}
"""What one list refuses by name, with a value."""


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("both")
    block(SHOPS[0], 600).write_parquet(folder / "list.parquet")
    make_package(folder / "maker")
    good, other = ("WLL (lb)", "wll"), ("A column of another list", "wll")
    for name, (heading, role) in {
        "good": good,
        "other-list": other,
        "bad-role": ("WLL (lb)", "weight"),
    }.items():
        text = PROFILE.format(heading=heading, role=role)
        (folder / f"{name}.toml").write_text(text, encoding="utf-8")
    return folder


@pytest.fixture(autouse=True)
def one_process(monkeypatch: pytest.MonkeyPatch) -> None:
    @contextmanager
    def cluster(_: str) -> Iterator[Here]:
        yield Here()

    monkeypatch.setattr(run, "cluster_here", cluster)


def on_one_machine(stock: Path, *options: str) -> tuple[Ended, object]:
    done = here("check", stock, *options, "--format", "json")
    if done.returncode == 2:
        return done, None
    report = json.loads(done.stdout)
    rows = [f.get("rows") or [f["row"]] for f in report["findings"]]
    found = [(f["rule"], r, f["cause"]) for f, r in zip(report["findings"], rows, strict=True)]
    return done, (report["counts"], report["list"]["passed_over"], sorted(found, key=str))


def on_a_cluster(stock: Path, out: Path, *options: str) -> tuple[Ended, object]:
    done = here("check", stock, *options, "--engine", "dask", "-o", out)
    if done.returncode == 2:
        assert not out.exists() or json.loads((out / "summary.json").read_text())["crashed"]
        return done, None
    found = pl.concat(pl.read_parquet(path) for path in sorted(out.glob("*.parquet")))
    told = [(f["rule"], f["rows"] or [f["row"]], f["cause"]) for f in found.iter_rows(named=True)]
    summary = json.loads((out / "summary.json").read_text(encoding="utf-8"))
    return done, (summary["counts"], summary["passed_over"], sorted(told, key=str))


CASES = [(), *(values for cases in OPTIONS.values() for values in cases)]


@pytest.mark.parametrize("options", CASES, ids=" ".join)
def test_both_engines_give_the_same_or_refuse_in_the_same_sentence(
    options: tuple[str, ...], folder: Path, tmp_path: Path
) -> None:
    given = [option.format(folder=folder) for option in options]
    list_, of_list = on_one_machine(folder / "list.parquet", *given)
    feed, of_feed = on_a_cluster(folder / "list.parquet", tmp_path / "out", *given)
    assert (feed.returncode, feed.stderr) == (list_.returncode, list_.stderr)
    assert of_feed == of_list
    if feed.returncode == 2:
        assert len(feed.stderr.splitlines()) == 1, feed.stderr


@pytest.mark.parametrize("option", LISTS_ONLY)
def test_what_is_for_one_list_is_refused_for_a_feed(
    option: str, folder: Path, tmp_path: Path
) -> None:
    values = [value.format(folder=tmp_path) for value in LISTS_ONLY[option]]
    done, _ = on_a_cluster(folder / "list.parquet", tmp_path / "out", option, *values)
    assert done.returncode == 2
    assert done.stderr == f"tallyhook: {option} is for one list, not for a feed; leave it out.\n"


@pytest.mark.parametrize("option", FEEDS_ONLY)
def test_what_is_for_a_feed_is_refused_for_one_list(
    option: str, folder: Path, tmp_path: Path
) -> None:
    values = [value.format(folder=tmp_path) for value in FEEDS_ONLY[option]]
    done, _ = on_one_machine(folder / "list.parquet", option, *values)
    assert done.returncode == 2
    assert f"{option} is for a feed" in done.stderr


def test_every_option_of_check_is_held_against_both_engines() -> None:
    command = typer.main.get_command(app_for(())).commands["check"]  # type: ignore[attr-defined]
    names = {max(p.opts, key=len) for p in command.params if p.param_type_name == "option"}
    assert names - {"--engine", "--help"} == {*OPTIONS, *LISTS_ONLY, *FEEDS_ONLY}


def test_a_rule_that_crashes_is_named_by_both_engines(
    folder: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def crash(*_: object) -> pl.DataFrame:
        raise ZeroDivisionError("on purpose")

    broken = all_rules("stock")[0]
    monkeypatch.setattr(type(broken), "check", crash)
    list_, _ = on_one_machine(folder / "list.parquet")
    feed, _ = on_a_cluster(folder / "list.parquet", tmp_path / "out")
    assert list_.returncode == feed.returncode == 2
    assert f"the rule {broken.name} crashed" in feed.stderr
    assert feed.stderr == list_.stderr


@pytest.mark.parametrize("rows", [0, 1])
def test_a_list_without_rows_is_refused_by_both_engines(
    rows: int, folder: Path, tmp_path: Path
) -> None:
    path = tmp_path / "short.parquet"
    pl.read_parquet(folder / "list.parquet").head(rows).write_parquet(path)
    list_, of_list = on_one_machine(path)
    feed, of_feed = on_a_cluster(path, tmp_path / "out")
    assert (feed.returncode, feed.stderr) == (list_.returncode, list_.stderr)
    assert of_feed == of_list


def test_a_first_file_without_rows_changes_nothing(folder: Path, tmp_path: Path) -> None:
    rows = pl.read_parquet(folder / "list.parquet")
    rows.clear().write_parquet(tmp_path / "0.parquet")
    rows.write_parquet(tmp_path / "1.parquet")
    _, of_list = on_one_machine(folder / "list.parquet")
    _, of_feed = on_a_cluster(tmp_path / "*.parquet", tmp_path / "out")
    assert of_feed == of_list


def test_rows_that_hold_no_item_are_counted_by_both_engines(folder: Path, tmp_path: Path) -> None:
    rows = pl.read_parquet(folder / "list.parquet")
    empty = rows.head(2).select(pl.lit("").alias(c) for c in rows.columns)
    total = empty.head(1).with_columns(pl.lit("Total").alias(rows.columns[0]))
    pl.concat([rows.head(300), empty, rows.tail(300), total]).write_parquet(tmp_path / "a.parquet")
    _, of_list = on_one_machine(tmp_path / "a.parquet")
    _, of_feed = on_a_cluster(tmp_path / "a.parquet", tmp_path / "out")
    assert of_feed == of_list
    assert isinstance(of_list, tuple) and sum(of_list[1].values()) == 3


def test_a_tidied_list_is_no_feed(folder: Path, tmp_path: Path) -> None:
    # its items stand in it: reading them anew as texts would give other findings
    assert here("tidy", folder / "list.parquet", "-o", tmp_path / "tidied").returncode == 0
    tidied = pl.read_csv(tmp_path / "tidied" / "list.csv", infer_schema=False)
    tidied.write_parquet(tmp_path / "tidied.parquet")
    done, _ = on_one_machine(tmp_path / "tidied.parquet")
    assert done.returncode in (0, 1)
    feed, _ = on_a_cluster(tmp_path / "tidied.parquet", tmp_path / "out")
    assert feed.returncode == 2
    assert "check its files one by one, without --engine" in feed.stderr
