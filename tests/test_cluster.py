"""A feed checked on a cluster gives the findings of the same rows checked on one machine."""

from __future__ import annotations

import json
import os
import signal
from collections.abc import Iterator
from concurrent.futures import Future
from pathlib import Path
from typing import Any

import polars as pl
import pytest

import tallyhook
from seeding.lists import block
from seeding.shops import SHOPS
from tallyhook.cluster import Feed, check_feed, feed_of, write_feed
from tallyhook.errors import StockListError


class Here:
    """The two calls of a distributed client that the check makes, done in this process."""

    def submit(self, function: Any, *args: Any, key: str, pure: bool) -> Future[Any]:
        done: Future[Any] = Future()
        done.set_result(function(*(a.result() if isinstance(a, Future) else a for a in args)))
        return done

    def gather(self, futures: list[Future[Any]]) -> list[Any]:
        return [future.result() for future in futures]


@pytest.fixture(scope="module")
def frame() -> pl.DataFrame:
    rows = pl.concat([block(SHOPS[0], 4000), block(SHOPS[0], 4000, 2)])
    # part numbers of the first file come back in the third with other ratings, and a block of
    # neighbouring rows across the border of two files holds its ratings in kilograms
    first = rows["WLL (lb)"].str.replace_all(",", "").cast(pl.Float64)
    wrong = (first * 0.45359237).round(0).cast(pl.Int64).cast(pl.String)
    place = pl.int_range(pl.len())
    return rows.with_columns(
        pl.when(place.is_between(3990, 4010)).then(wrong).otherwise("WLL (lb)").alias("WLL (lb)"),
        pl.format("P{}", pl.when(place >= 7900).then(place - 7900).otherwise(place)).alias("Part"),
    )


@pytest.fixture(scope="module")
def folder(frame: pl.DataFrame, tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("feed")
    for number in range(4):
        frame.slice(number * 2000, 2000).write_parquet(folder / f"{number}.parquet")
    return folder


@pytest.fixture(scope="module")
def feed(folder: Path) -> Feed:
    return feed_of(str(folder / "*.parquet"), part_rows=700)


@pytest.fixture(scope="module")
def one_machine(frame: pl.DataFrame) -> tallyhook.Report:
    return tallyhook.check(frame)


def same(found: pl.DataFrame, wanted: pl.DataFrame) -> None:
    assert found.drop("file").to_dicts() == wanted.drop("file").to_dicts()


def test_the_feed_has_what_the_tests_are_about(one_machine: tallyhook.Report) -> None:
    found = one_machine.stock_findings
    assert "same-part-number-has-two-ratings" in found["rule"].to_list()
    blocks = found.filter(pl.col("item").str.contains("block of neighbouring rows"))
    # rows 3992 to 4012 of the list, in the second and the third file
    assert any(min(rows) <= 4001 <= max(rows) for rows in blocks["rows"].to_list())


def test_parts_of_files_give_the_findings_of_one_list(
    feed: Feed, one_machine: tallyhook.Report
) -> None:
    report = check_feed(feed, Here())
    same(report.findings, one_machine.stock_findings)
    assert report.counts == one_machine.counts


def test_the_folder_holds_every_finding_once(
    feed: Feed, one_machine: tallyhook.Report, tmp_path: Path
) -> None:
    write_feed(check_feed(feed, Here()), tmp_path / "out")
    whole = pl.concat([pl.read_parquet(p) for p in (tmp_path / "out").glob("*.parquet")])
    assert whole.height == one_machine.stock_findings.height
    summary = json.loads((tmp_path / "out" / "summary.json").read_text(encoding="utf-8"))
    assert [f["first_row"] for f in summary["files"]] == [2, 2002, 4002, 6002]
    with pytest.raises(StockListError, match="folder cannot be made"):
        write_feed(check_feed(feed, Here()), tmp_path / "out")


def test_a_feed_of_unlike_files_is_refused(folder: Path, tmp_path: Path) -> None:
    (tmp_path / "a.parquet").write_bytes((folder / "0.parquet").read_bytes())
    pl.DataFrame({"Part": ["x"]}).write_parquet(tmp_path / "b.parquet")
    with pytest.raises(StockListError, match="not those of the first file"):
        feed_of(str(tmp_path / "*.parquet"))
    with pytest.raises(StockListError, match="no such file"):
        feed_of(str(tmp_path / "*.nothing"))


@pytest.fixture
def client() -> Iterator[Any]:
    distributed = pytest.importorskip("distributed")
    with (
        distributed.LocalCluster(
            n_workers=2, threads_per_worker=1, processes=True, dashboard_address=None
        ) as cluster,
        distributed.Client(cluster) as client,
    ):
        yield client


def test_two_workers_give_the_same_findings(
    client: Any, feed: Feed, one_machine: tallyhook.Report
) -> None:
    report = check_feed(feed, client)
    same(report.findings, one_machine.stock_findings)
    assert report.counts == one_machine.counts


class KillsOne:
    """A client whose worker is killed once the first results have come in."""

    def __init__(self, client: Any) -> None:
        self.client, self.gathered, self.killed = client, 0, 0

    def submit(self, *args: Any, **how: Any) -> Any:
        return self.client.submit(*args, **how)

    def gather(self, futures: list[Any]) -> Any:
        found = self.client.gather(futures)
        self.gathered += 1
        if self.gathered == 1:
            # the rows that this worker gathered are lost with it
            pids = self.client.run(os.getpid)
            self.killed = next(iter(pids.values()))
            os.kill(self.killed, signal.SIGKILL)
        return found


def test_a_killed_worker_changes_nothing(
    client: Any, feed: Feed, one_machine: tallyhook.Report
) -> None:
    killing = KillsOne(client)
    report = check_feed(feed, killing)
    assert killing.killed
    same(report.findings, one_machine.stock_findings)
    assert report.counts == one_machine.counts
