"""A list through a pipe is the list: read once and whole, and what never ends is refused."""

from __future__ import annotations

import json
import os
import subprocess
import sys
import threading
from pathlib import Path

import pytest

from tallyhook import extras
from tallyhook.checking import check
from tallyhook.errors import MissingExtra, StockListError
from tallyhook.reading import streams
from tallyhook.reading.streams import on_disk

# ASTM chain, grade 80, 3/8 in: 7,100 lb; grade 70: 6,600 lb (49 CFR 393.108)
HEADING = "Part,Description,Size,Grade,WLL (lb)\n"
ROWS = "".join(
    f"P-{n},Alloy chain,3/8,80,7100\nT-{n},Transport chain,3/8,70,6600\n" for n in range(4000)
)
LIST = (HEADING + ROWS).encode()  # longer than what a pipe holds at a time

command = [sys.executable, "-m", "tallyhook", "check", "--format", "json"]


def counts_of(out: bytes) -> dict[str, int]:
    counts = json.loads(out)["counts"]
    return {name: counts[name] for name in ("rows", "agree", "contradicted", "not_compared")}


WHOLE = {"rows": 8000, "agree": 8000, "contradicted": 0, "not_compared": 0}


@pytest.mark.parametrize("name", ["-", "/dev/stdin"])
def test_standard_input_loses_no_row(name: str) -> None:
    run = subprocess.run([*command, name], input=LIST, capture_output=True, check=False)
    assert (run.stderr, run.returncode) == (b"", 0)
    assert counts_of(run.stdout) == WHOLE
    assert json.loads(run.stdout)["list"]["file"] == name


def test_a_named_pipe_loses_no_row_and_is_called_by_its_name(tmp_path: Path) -> None:
    pipe = tmp_path / "list.fifo"
    os.mkfifo(pipe)

    def write() -> None:
        with pipe.open("wb") as stream:
            stream.write(LIST)

    writer = threading.Thread(target=write)
    writer.start()
    report = check(pipe)
    writer.join()
    assert report.counts["rows"] == report.counts["agree"] == 8000
    assert report.file == str(pipe)


def test_tidy_of_standard_input_keeps_every_row(tmp_path: Path) -> None:
    run = subprocess.run(
        [sys.executable, "-m", "tallyhook", "tidy", "-", "-o", str(tmp_path / "tidied")],
        input=LIST,
        capture_output=True,
        check=False,
    )
    assert (run.stderr, run.returncode) == (b"", 0)
    assert (tmp_path / "tidied" / "list.csv").read_text().count("\n") == 8001


@pytest.mark.parametrize("device", ["/dev/zero", "/dev/urandom", "/dev/null"])
def test_a_device_that_holds_no_list_is_refused_at_its_beginning(device: str) -> None:
    with pytest.raises(StockListError, match=f"^{device}: it is (not a text|empty)"):
        check(device)


def test_what_does_not_end_is_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(streams, "_blocks", lambda _: iter(lambda: LIST, b""))
    with pytest.raises(StockListError, match=r"^-: it holds 5 MiB or more, .* --bound mib=8"):
        check("-", bounds={"mib": 4})


def test_a_pipe_without_a_writer_is_refused(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(streams, "_SILENT_S", 0.5)
    pipe = tmp_path / "nobody.fifo"
    os.mkfifo(pipe)
    with pytest.raises(StockListError, match=r"nobody.fifo: nobody has written to the pipe"):
        check(pipe)


def test_a_refusal_names_the_stream_and_the_copy_goes(tmp_path: Path) -> None:
    with pytest.raises(StockListError) as refused, on_disk("/dev/null"):
        pass
    assert "tallyhook-" not in str(refused.value)
    run = subprocess.run(
        [*command, "-"],
        input=b"only,words\nand,no,ratings\n",
        capture_output=True,
        check=False,
        env=os.environ | {"TMPDIR": str(tmp_path)},
    )
    assert run.returncode == 2
    assert run.stderr.startswith(b"tallyhook: -: ")
    assert not list(tmp_path.iterdir())


def test_a_closed_standard_input_is_one_sentence() -> None:
    run = subprocess.run(
        ["/bin/sh", "-c", f"exec {sys.executable} -m tallyhook check - <&-"],
        capture_output=True,
        check=False,
    )
    assert run.returncode == 2
    assert run.stderr.decode().count("\n") == 1
    assert b"there is no standard input" in run.stderr


@pytest.mark.parametrize("option", ["--decisions", "--since", "--profile"])
@pytest.mark.parametrize("device", ["/dev/zero", "/dev/urandom"])
def test_files_beside_the_list_are_bounded_as_it_is(
    option: str, device: str, tmp_path: Path
) -> None:
    (tmp_path / "list.csv").write_bytes(LIST[:1000])
    run = subprocess.run(
        [*command, "list.csv", option, device], cwd=tmp_path, capture_output=True, check=False
    )
    assert (run.returncode, run.stdout) == (2, b"")
    assert run.stderr.startswith(f"tallyhook: {device}: it is not a text".encode())


def test_decisions_may_come_through_a_pipe(tmp_path: Path) -> None:
    (tmp_path / "list.csv").write_bytes(LIST[:1000])
    decisions = "row_key,rule,decision,who,why,date,document,observed\n"
    run = subprocess.run(
        [*command, "list.csv", "--decisions", "-"],
        input=decisions.encode(),
        cwd=tmp_path,
        capture_output=True,
        check=False,
    )
    assert run.returncode in (0, 1), run.stderr


def test_a_library_that_is_missing_for_a_stream_is_told_by_its_name(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    pipe = tmp_path / "list.fifo"
    os.mkfifo(pipe)
    data = (Path(__file__).parents[1] / "corpus/parquet-table/list.parquet").read_bytes()
    writer = threading.Thread(target=lambda: pipe.write_bytes(data))
    writer.start()
    monkeypatch.setattr(extras, "installed", lambda module: False)
    with pytest.raises(MissingExtra) as caught:
        check(pipe)
    writer.join()
    assert str(caught.value) == (
        f'{pipe}: pyarrow is not installed here; run pip install "tallyhook[parquet]".'
    )
