"""No character that steers a terminal or turns the reading direction leaves in any text."""

from __future__ import annotations

import io
import json
import os
import pty
import subprocess
import sys
import unicodedata
from pathlib import Path

import openpyxl
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tallyhook.controls import without_controls

ROOT = Path(__file__).resolve().parents[1]

# Unicode: general category Cc, and the bidirectional controls (UAX 9, section 2)
BIDI = {chr(c) for c in (0x61C, 0x200E, 0x200F, *range(0x202A, 0x202F), *range(0x2066, 0x206A))}


def is_control(letter: str) -> bool:
    return letter in BIDI or (unicodedata.category(letter) == "Cc" and letter not in "\t\n")


@given(st.text())
def test_every_control_is_shown_as_a_mark_and_nothing_else_changes(text: str) -> None:
    shown = without_controls(text)
    assert not any(map(is_control, shown))
    plain = text.replace("\r\n", "\n")
    assert shown == "".join("\ufffd" if is_control(c) else c for c in plain)


def test_of_all_characters_just_the_controls_go() -> None:
    every = "".join(map(chr, [*range(0xD800), *range(0xE000, 0x11000)]))
    changed = {c for c, d in zip(every, without_controls(every), strict=True) if c != d}
    assert changed == set(filter(is_control, every))


EVIL = "\x1b[31mred\x07\u202e0017\u2066\x9b2J"


def evil_list(folder: Path) -> Path:
    # 49 CFR 393.108: 3/8 in grade 70 is 6,600 lb
    path = folder / f"list{EVIL}.csv"
    path.write_text(
        f"Part,Item {EVIL},Size,Grade,WLL (lb),Note {EVIL}\n"
        f"P{EVIL},Chain {EVIL},3/8,70,26400,{EVIL}\nP-2,Chain,3/8,70,6600,\n"
        f"P-3,Chain,3/8,70,{EVIL},\nP-5,Chain,3/8,70,26400,\n" + "P-4,Chain,3/8,70,6600,\n" * 299,
        encoding="utf-8",
    )
    return path


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    evil_list(tmp_path)
    (tmp_path / "decisions.csv").write_text(
        "row_key,rule,decision,who,why,date,document,observed\n"
        f"row 2,rated-above-every-source,accept,{EVIL},{EVIL},2026-11-01,{EVIL},\n"
        f"P-5,rated-above-every-source,accept,{EVIL},{EVIL},2026-11-01,{EVIL},26400 lb\n"
        f"row 77 {EVIL},{EVIL},{EVIL},me,x,2026-11-01,,\n",
        encoding="utf-8",
    )
    (tmp_path / f"profile{EVIL}.toml").write_text(f"columns = [{{heading = '{EVIL[1:3]}'}}]\n")
    return tmp_path


def run(folder: Path, *arguments: str | Path) -> subprocess.CompletedProcess[bytes]:
    return subprocess.run(
        [sys.executable, "-m", "tallyhook", *map(str, arguments)],
        cwd=folder,
        env=os.environ | {"PYTHONPATH": str(ROOT / "validators")},
        capture_output=True,
        check=False,
    )


WAYS = {
    **{f: ("check", "LIST", "--format", f) for f in ("text", "json", "ndjson", "csv", "junit")},
    "decisions": ("check", "LIST", "--decisions", "decisions.csv"),
    "decisions in json": ("check", "LIST", "--decisions", "decisions.csv", "--format", "json"),
    "columns": ("check", "LIST", "--show-columns"),
    "column": ("check", "LIST", "--column", f"wll={EVIL}"),
    "scheme": ("check", "LIST", "--scheme", EVIL),
    "profile": ("check", "LIST", "--profile", f"profile{EVIL}.toml"),
    "no such list": ("check", f"no{EVIL}.csv"),
    "several": ("check", "LIST", "LIST"),
    "tidy": ("tidy", "LIST", "-o", f"tidied{EVIL}"),
    "explain": ("explain", EVIL),
    "ratings": ("ratings", "chain", "--where", f"grade={EVIL}"),
    "no such option": ("check", f"--{EVIL}"),
}


@pytest.mark.parametrize("way", WAYS.values(), ids=WAYS)
def test_no_output_of_a_command_holds_one(way: tuple[str, ...], folder: Path) -> None:
    done = run(folder, *(f"list{EVIL}.csv" if part == "LIST" else part for part in way))
    assert b"Traceback" not in done.stderr
    for text in (done.stdout.decode(), done.stderr.decode()):
        assert not list(filter(is_control, text))
    assert "\ufffd" in done.stdout.decode() + done.stderr.decode()


def test_pages_and_workbooks_hold_none(folder: Path) -> None:
    done = run(folder, "check", f"list{EVIL}.csv", "--html", "page.html", "--xlsx", "book.xlsx")
    assert done.returncode == 1, done.stderr
    assert not list(filter(is_control, (folder / "page.html").read_text(encoding="utf-8")))
    book = openpyxl.load_workbook(io.BytesIO((folder / "book.xlsx").read_bytes()))
    written = [
        str(cell)
        for sheet in book.worksheets[1:]  # the first is the shop's own, as it was
        for row in sheet.iter_rows(values_only=True)
        for cell in row
        if cell is not None
    ]
    assert written and not list(filter(is_control, "".join(written)))


def test_a_terminal_gets_the_colours_and_no_other_code(folder: Path) -> None:
    master, slave = pty.openpty()
    with subprocess.Popen(
        [sys.executable, "-m", "tallyhook", "check", f"list{EVIL}.csv"],
        cwd=folder,
        env=os.environ | {"PYTHONPATH": str(ROOT / "validators"), "TERM": "xterm-256color"},
        stdout=slave,
        stderr=subprocess.DEVNULL,
    ):
        os.close(slave)
        shown = b""
        while True:
            try:
                block = os.read(master, 65536)
            except OSError:
                break
            if not block:
                break
            shown += block
    os.close(master)
    text = shown.decode().replace("\r\n", "\n")
    assert "\x1b[" in text  # the colours of our own
    assert "\x07" not in text and "\x9b" not in text and "\u202e" not in text
    assert "\x1b[2J" not in text


def test_json_still_holds_the_row(folder: Path) -> None:
    report = json.loads(run(folder, "check", f"list{EVIL}.csv", "--format", "json").stdout)
    assert report["counts"]["rows"] == 303
