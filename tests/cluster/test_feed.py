"""A feed checked on a cluster gives the findings of the same rows checked on one machine."""

from __future__ import annotations

import json
import os
import signal
import socket
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from contextlib import ExitStack
from pathlib import Path
from threading import Thread
from typing import Any

import polars as pl
import pytest

import tallyhook
from one_process import Here
from programs import UNSHARE, forbidden, library, path_of
from seeding.lists import block
from seeding.shops import SHOPS
from tallyhook.cluster.feed import Feed, feed_of
from tallyhook.cluster.output import write_feed
from tallyhook.cluster.run import check_feed, run_feed
from tallyhook.cluster.workers import ClusterClient
from tallyhook.errors import StockListError


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
    found = one_machine.told_findings
    assert "same-part-number-has-two-ratings" in found["rule"].to_list()
    blocks = found.filter(pl.col("item").str.contains("block of neighbouring rows"))
    # rows 3992 to 4012 of the list, in the second and the third file
    assert any(min(rows) <= 4001 <= max(rows) for rows in blocks["rows"].to_list())


def test_parts_of_files_give_the_findings_of_one_list(
    feed: Feed, one_machine: tallyhook.Report
) -> None:
    report = check_feed(feed, Here())
    same(report.findings, one_machine.told_findings)
    assert report.counts == one_machine.counts


def test_the_folder_holds_every_finding_once(
    feed: Feed, one_machine: tallyhook.Report, tmp_path: Path
) -> None:
    write_feed(check_feed(feed, Here()), tmp_path / "out")
    whole = pl.concat([pl.read_parquet(p) for p in (tmp_path / "out").glob("*.parquet")])
    assert whole.height == one_machine.told_findings.height
    summary = json.loads((tmp_path / "out" / "summary.json").read_text(encoding="utf-8"))
    assert [f["first_row"] for f in summary["files"]] == [2, 2002, 4002, 6002]
    with pytest.raises(StockListError, match="folder cannot be made"):
        write_feed(check_feed(feed, Here()), tmp_path / "out")


def test_a_matrix_counts_alike_in_a_feed(tmp_path: Path) -> None:
    # EN 818-2 prints 3.15 t and 126 kN for 10 mm grade 8; 157 kN is the force of grade 10 (4 t):
    # what is wrong with the force of a row is wrong with both of its items
    right, wrong = ["10", "3150", "4000", ""], ["10", "3150", "4000", "157"]
    names = ["Size (mm)", "Grade 80 WLL (kg)", "Grade 100 WLL (kg)", "Breaking force (kN)"]
    rows = pl.DataFrame([right, wrong, right, right] * 3, schema=names, orient="row")
    rows = rows.insert_column(0, pl.lit("Lifting chain").alias("Description"))
    for number in range(2):
        rows.slice(number * 6, 6).write_parquet(tmp_path / f"{number}.parquet")
    one_machine = tallyhook.check(rows)
    assert one_machine.told_findings["row"].to_list() == [3, 7, 11]
    assert one_machine.counts["contradicted"] == 6
    report = check_feed(feed_of(str(tmp_path / "*.parquet"), part_rows=4), Here())
    same(report.findings, one_machine.told_findings)
    assert report.counts == one_machine.counts


def test_a_feed_of_unlike_files_is_refused(folder: Path, tmp_path: Path) -> None:
    (tmp_path / "a.parquet").write_bytes((folder / "0.parquet").read_bytes())
    pl.DataFrame({"Part": ["x"]}).write_parquet(tmp_path / "b.parquet")
    with pytest.raises(StockListError, match="not those of the first file"):
        feed_of(str(tmp_path / "*.parquet"))
    with pytest.raises(StockListError, match="no such file"):
        feed_of(str(tmp_path / "*.nothing"))


def test_a_feed_with_a_late_heading_of_a_group_is_refused(
    folder: Path, frame: pl.DataFrame, tmp_path: Path
) -> None:
    # the rows below it hang on it, and may stand in another part
    (tmp_path / "a.parquet").write_bytes((folder / "0.parquet").read_bytes())
    heading = {"Description": "Grade 100 chain"}
    late = frame.head(1).select(pl.lit(heading.get(c, "")).alias(c) for c in frame.columns)
    pl.concat([frame.head(1500), late, frame.tail(500)]).write_parquet(tmp_path / "b.parquet")
    with pytest.raises(StockListError, match="not one plain table"):
        check_feed(feed_of(str(tmp_path / "*.parquet"), part_rows=700), Here())


@pytest.fixture
def client() -> Iterator[Any]:
    distributed = library("distributed")
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
    same(report.findings, one_machine.told_findings)
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
    same(report.findings, one_machine.told_findings)
    assert report.counts == one_machine.counts


# --- a scheduler and workers that are processes of their own -----------------------------------

ROOT = Path(__file__).resolve().parents[2]
Process = subprocess.Popen[bytes]


class Members:
    """A scheduler and its workers, started by dask's own commands on 127.0.0.1."""

    def __init__(self, folder: Path, *, environment: dict[str, str] | None = None) -> None:
        self.folder = folder
        # members that were started elsewhere: relative paths mean something else to them
        folder.mkdir()
        self.environment = os.environ | {"PYTHONPATH": str(ROOT / "validators")}
        self.environment |= environment or {}
        self.stack = ExitStack()
        self.workers: list[Process] = []
        self.scheduler = self.start("scheduler", "--port", "0", "--scheduler-file", "at.json")
        self.wait_for(lambda: (folder / "at.json").exists())
        self.address = json.loads((folder / "at.json").read_text(encoding="utf-8"))["address"]

    def start(self, what: str, *options: str, before: tuple[str, ...] = ()) -> Process:
        command = [*before, sys.executable, "-m", "dask", what, *options, "--no-dashboard"]
        command += ["--host", "127.0.0.1"]
        log = self.stack.enter_context((self.folder / f"{what}-{len(self.workers)}.log").open("wb"))
        started = subprocess.Popen(
            command, cwd=self.folder, env=self.environment, stdout=log, stderr=log
        )
        self.stack.callback(started.wait)
        self.stack.callback(started.kill)
        return started

    def worker(self, *options: str, before: tuple[str, ...] = ()) -> Process:
        started = self.start(
            "worker", self.address, "--nthreads", "1", "--no-nanny", *options, before=before
        )
        log = self.folder / f"worker-{len(self.workers)}.log"
        self.workers.append(started)
        self.wait_for(lambda: "Registered to" in log.read_text(encoding="utf-8"))
        return started

    @staticmethod
    def wait_for(there: Callable[[], bool]) -> None:
        until = time.monotonic() + 60
        while not there():
            assert time.monotonic() < until
            time.sleep(0.05)


@pytest.fixture
def members(tmp_path: Path) -> Iterator[Members]:
    library("distributed")
    started = Members(tmp_path / "elsewhere")
    with started.stack:
        yield started


# a scheduler has 10 seconds to answer; where none does, a test need not wait as long
IN_HASTE = """
import sys
from tallyhook.cli.main import main
from tallyhook.cluster import workers
workers.ANSWER = 2.0
main()
"""


def check(
    address: str, feed: Path, out: Path, *, in_haste: bool = False
) -> tuple[subprocess.CompletedProcess[str], float]:
    started = time.monotonic()
    program = ["-c", IN_HASTE] if in_haste else ["-m", "tallyhook"]
    how = ["--engine", "dask", "--scheduler", address, "-o", str(out)]
    done = subprocess.run(
        [sys.executable, *program, "check", *how, f"{feed.name}/*.parquet"],
        cwd=feed.parent,
        env=os.environ | {"PYTHONPATH": str(ROOT / "validators")},
        capture_output=True,
        text=True,
        check=False,
        timeout=120,
    )
    return done, time.monotonic() - started


def refused(done: subprocess.CompletedProcess[str], out: Path, *words: str) -> None:
    assert (done.returncode, done.stdout) == (2, "")
    sentence = done.stderr.strip()
    assert sentence.startswith("tallyhook: ") and sentence.endswith(".") and "\n" not in sentence
    for word in words:
        assert word in sentence
    assert not out.exists()


def test_the_workers_of_a_scheduler_give_the_same_findings(
    members: Members, folder: Path, one_machine: tallyhook.Report, tmp_path: Path
) -> None:
    members.worker()
    members.worker()
    done, _ = check(members.address, folder, tmp_path / "out")
    assert (done.returncode, done.stderr) == (1, "")
    found = pl.concat([pl.read_parquet(p) for p in sorted((tmp_path / "out").glob("*.parquet"))])
    wanted = one_machine.told_findings
    assert set(map(str, found.drop("file").to_dicts())) == set(
        map(str, wanted.drop("file").to_dicts())
    )
    assert found.height == wanted.height
    summary = json.loads((tmp_path / "out" / "summary.json").read_text(encoding="utf-8"))
    assert summary["counts"] == one_machine.counts


@pytest.fixture
def after_the_first_results(monkeypatch: pytest.MonkeyPatch) -> list[Callable[[], None]]:
    """What is to happen once the first results of a check have come in."""
    waiting: list[Callable[[], None]] = []
    gather = ClusterClient.gather

    def gather_and(self: ClusterClient, futures: Any) -> Any:
        found = gather(self, futures)
        while waiting:
            waiting.pop()()
        return found

    monkeypatch.setattr(ClusterClient, "gather", gather_and)
    return waiting


def test_a_worker_killed_on_the_way_changes_nothing(
    members: Members,
    folder: Path,
    one_machine: tallyhook.Report,
    tmp_path: Path,
    after_the_first_results: list[Callable[[], None]],
) -> None:
    lost, kept = members.worker(), members.worker()
    after_the_first_results.append(lost.kill)
    report = run_feed(str(folder / "*.parquet"), tmp_path / "out", scheduler=members.address)
    assert lost.wait() == -signal.SIGKILL and kept.poll() is None
    same(report.findings, one_machine.told_findings)
    assert report.counts == one_machine.counts


def test_a_check_whose_workers_are_all_gone_ends(
    members: Members,
    folder: Path,
    tmp_path: Path,
    after_the_first_results: list[Callable[[], None]],
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr("tallyhook.cluster.workers.PATIENCE", 3.0)
    after_the_first_results.append(members.worker().kill)
    with pytest.raises(StockListError, match="all workers are gone, and none came back in 3 s"):
        run_feed(str(folder / "*.parquet"), tmp_path / "out", scheduler=members.address)
    assert not (tmp_path / "out").exists()


def test_a_check_whose_scheduler_is_lost_ends(
    members: Members,
    folder: Path,
    tmp_path: Path,
    after_the_first_results: list[Callable[[], None]],
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr("tallyhook.cluster.workers.ANSWER", 5.0)
    members.worker()
    after_the_first_results.append(members.scheduler.kill)
    started = time.monotonic()
    with pytest.raises(StockListError, match="the scheduler was lost during the check"):
        run_feed(str(folder / "*.parquet"), tmp_path / "out", scheduler=members.address)
    assert time.monotonic() - started < 30
    assert not (tmp_path / "out").exists()


def test_a_scheduler_without_workers_is_told(
    members: Members, folder: Path, tmp_path: Path
) -> None:
    done, _ = check(members.address, folder, tmp_path / "out")
    refused(done, tmp_path / "out", members.address, "the scheduler has no workers")


@pytest.mark.parametrize("address", ["", "nowhere", "tcp://127.0.0.1:9", "tls://127.0.0.1:9"])
def test_an_address_without_a_scheduler_is_told(address: str, folder: Path, tmp_path: Path) -> None:
    library("distributed")
    done, seconds = check(address, folder, tmp_path / "out", in_haste=True)
    refused(done, tmp_path / "out", address or "--scheduler")
    assert seconds < 20


@pytest.mark.parametrize("answer", [b"", b"HTTP/1.1 400 Bad Request\r\n\r\n"])
def test_what_is_no_scheduler_learns_nothing_of_the_list(
    answer: bytes, folder: Path, tmp_path: Path
) -> None:
    library("distributed")
    heard = bytearray()

    def listen(server: socket.socket) -> None:
        while True:
            try:
                peer, _ = server.accept()
            except OSError:
                return
            Thread(target=hear, args=(peer,), daemon=True).start()

    def hear(peer: socket.socket) -> None:
        with peer:
            peer.sendall(answer)
            try:
                while got := peer.recv(65536):
                    heard.extend(got)
            except OSError:
                pass

    with socket.create_server(("127.0.0.1", 0)) as server:
        Thread(target=listen, args=(server,), daemon=True).start()
        address = f"tcp://127.0.0.1:{server.getsockname()[1]}"
        done, seconds = check(address, folder, tmp_path / "out", in_haste=True)
        refused(done, tmp_path / "out", address, "no dask scheduler answers there")
    assert seconds < 20
    assert heard  # it was spoken to
    for told in (b"parquet", bytes(folder), b"WLL", b"Part"):
        assert told not in heard


def own_files(folder: Path) -> tuple[str, ...]:
    """Give the words before a command for which a folder is empty, as it is on another machine."""
    emptied = ("--mount", "sh", "-c", f'mount -t tmpfs none "{folder}" && exec "$@"', "sh")
    for right in ((), ("--map-root-user",)):  # root, or who may be root among files of their own
        own = (path_of(UNSHARE), *right, *emptied)
        if subprocess.run([*own, "true"], check=False, capture_output=True).returncode == 0:
            return own
    return forbidden("a worker with files of its own needs the right to mount")


def test_a_worker_without_the_files_is_told(members: Members, folder: Path, tmp_path: Path) -> None:
    members.worker()
    members.worker(before=own_files(folder))
    done, _ = check(members.address, folder, tmp_path / "out")
    refused(done, tmp_path / "out", "does not see the same file", "(4 such files)", "127.0.0.1")


def test_a_worker_of_another_version_is_told(
    members: Members, folder: Path, tmp_path: Path
) -> None:
    (members.folder / "older.py").write_text(
        "import tallyhook\ntallyhook.__version__ = '0.0.1'\n", encoding="utf-8"
    )
    members.worker("--preload", "older.py")
    done, _ = check(members.address, folder, tmp_path / "out")
    refused(done, tmp_path / "out", f"tallyhook 0.0.1, this machine {tallyhook.__version__}")


def test_what_a_worker_cannot_do_is_told(tmp_path: Path) -> None:
    distributed = library("distributed")
    setting = {"DASK_DISTRIBUTED__SCHEDULER__ALLOWED_FAILURES": "0"}
    members = Members(tmp_path / "elsewhere", environment=setting)
    with members.stack:
        members.worker()
        with distributed.Client(members.address) as client:
            watched = ClusterClient(client=client, where="feed")

            def asked(function: Any, *args: Any) -> str:
                with pytest.raises(StockListError) as told:
                    watched.gather([watched.submit(function, *args, key=f"{function}", pure=False)])
                return str(told.value)

            lost = asked(pl.read_parquet, "/nowhere/0.parquet")
            assert lost.startswith("feed: a worker could not read its part of the feed (No such")
            with pytest.raises(StockListError) as here:
                feed_of("/nowhere/*.parquet")
            assert asked(feed_of, "/nowhere/*.parquet") == str(here.value)
            died = asked(os._exit, 1)
            assert died.startswith("feed: workers died at the same part of the feed again")
