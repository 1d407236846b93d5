"""An answer that cannot be written is exit code 2 and one sentence, in every format, whole or cut."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
# 49 CFR 393.108: 3/8 in grade 70 is 6,600 lb, so the second row promises too much
LIST = (
    "Item,Size,Grade,WLL (lbs)\nChain,3/8,70,6600\nChain,3/8,70,26400\n" + "Chain,3/8,70,6600\n" * 9
)

FORMATS = ["text", "json", "ndjson", "csv", "junit", "parquet"]
COMMANDS = {
    **{f"check {name}": f"check list.csv --format {name}" for name in FORMATS},
    "columns": "check list.csv --show-columns",
    "tidy": "tidy list.csv -o tidied",
    "ratings": "ratings chain",
    "ratings json": "ratings chain --format json",
    "in-use": "in-use --grade 80 --size 10mm --legs 2 --angle 45",
    "limits": "limits hook --throat 35mm",
    "help": "--help",
    "version": "--version",
}


def shell(line: str, folder: Path, **more: str) -> subprocess.CompletedProcess[bytes]:
    return subprocess.run(
        ["/bin/bash", "-c", line.replace("tallyhook", f"{sys.executable} -m tallyhook")],
        cwd=folder,
        env=os.environ | {"PYTHONPATH": str(ROOT / "validators")} | more,
        capture_output=True,
        timeout=120,
        check=False,
    )


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    (tmp_path / "list.csv").write_text(LIST)
    return tmp_path


@pytest.mark.parametrize("command", COMMANDS.values(), ids=COMMANDS)
def test_a_full_output_is_one_sentence(command: str, folder: Path) -> None:
    run = shell(f"tallyhook {command} >/dev/full", folder)
    assert run.returncode == 2, run.stderr
    assert b"No space left" in run.stderr.splitlines()[-1]
    assert b"Traceback" not in run.stderr
    assert run.stderr.count(b"the answer cannot be written") == 1


def test_a_closed_output_is_one_sentence(folder: Path) -> None:
    run = shell("tallyhook check list.csv >&-", folder)
    assert (run.returncode, run.stderr.count(b"\n")) == (2, 1)
    assert b"the answer cannot be written (it is closed)" in run.stderr


@pytest.mark.parametrize(
    ("streams", "code"),
    [
        (">/dev/full 2>/dev/full", 2),
        (">&- 2>&-", 2),
        (">&- 2>&- <&-", 2),
        (">/dev/null 2>&-", 1),
        (">/dev/null 2>/dev/full", 1),
        (">/dev/null <&-", 1),
    ],
)
def test_closed_streams_change_no_exit_code(streams: str, code: int, folder: Path) -> None:
    run = shell(f"tallyhook check list.csv {streams}", folder)
    assert (run.returncode, run.stdout, run.stderr) == (code, b"", b"")


def test_a_refusal_keeps_its_code_where_nobody_hears_it(folder: Path) -> None:
    for streams in ("2>&-", "2>/dev/full"):
        assert shell(f"tallyhook check no-such-list.csv {streams}", folder).returncode == 2


def test_a_reader_that_leaves_early_is_no_clean_list(folder: Path) -> None:
    run = shell("tallyhook ratings chain --format json | true; exit ${PIPESTATUS[0]}", folder)
    assert (run.returncode, run.stderr) == (2, b"")


def test_without_docstrings_the_answer_is_the_same(folder: Path) -> None:
    for command in ("check list.csv", "explain rated-above-every-source"):
        plain, stripped = (
            shell(f"tallyhook {command}", folder, PYTHONOPTIMIZE=level) for level in ("0", "2")
        )
        assert stripped.stderr == b""
        assert (plain.stdout, plain.returncode) == (stripped.stdout, stripped.returncode)


@pytest.mark.parametrize("after", [0.05, 0.15, 0.3, 0.6, 1.0])
def test_whoever_stops_it_gets_one_sentence_however_early(after: float, folder: Path) -> None:
    # long enough that it is still at work; what is stopped before Python has begun is Python's
    (folder / "long.csv").write_text(
        "".join(f"Code{n},Item,Size,Grade,WLL (lb)\nP,Chain,3/8,80,7100\n" for n in range(900))
    )
    run = subprocess.Popen(
        [sys.executable, "-m", "tallyhook", "tidy", "long.csv", "-o", "tidied"],
        cwd=folder,
        env=os.environ | {"PYTHONPATH": str(ROOT / "validators")},
        stderr=subprocess.PIPE,
        stdout=subprocess.PIPE,
    )
    time.sleep(after)
    run.send_signal(signal.SIGINT)
    _, told = run.communicate(timeout=60)
    begun = b"KeyboardInterrupt" not in told  # the interpreter's own start
    # Python ends by the signal itself where it came while a library was being made
    assert run.returncode in ((2, -signal.SIGINT) if begun else (-signal.SIGINT,)), told
    assert not begun or told == b"tallyhook: Stopped.\n"
    assert not (folder / "tidied").exists()


def test_a_tidy_that_is_told_to_end_leaves_no_draft(folder: Path) -> None:
    program = """
import os, signal
from tallyhook.__main__ import run
from tallyhook.reporting import tidied
write = tidied._write_tables
def told_to_end(*arguments):
    write(*arguments)
    os.kill(os.getpid(), signal.SIGTERM)
tidied._write_tables = told_to_end
run()
"""
    run = subprocess.run(
        [sys.executable, "-c", program, "tidy", "list.csv", "-o", "tidied"],
        cwd=folder,
        env=os.environ | {"PYTHONPATH": str(ROOT / "validators")},
        capture_output=True,
        check=False,
    )
    assert (run.returncode, run.stderr) == (128 + signal.SIGTERM, b"")
    assert {path.name for path in folder.iterdir()} == {"list.csv"}
