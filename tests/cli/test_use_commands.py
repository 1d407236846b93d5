"""The commands on use: in-use, leg-tensions, suit, fit and limits, as they are typed."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from command_line import here
from tallyhook.wording import CAUTION


@pytest.mark.parametrize(
    ("words", "code", "said"),
    [
        ("in-use --grade 80 --size 10 --legs 2 --angle 45", 0, "4.25 t"),  # EN 818-4, table 3
        ("in-use --grade 80 --size 3/8 --by us --load 7101lb", 1, "is above the"),
        ("in-use --grade 80 --size 3/8 --by us --marked 5t", 1, "NOT CONFIRMED"),
        (
            "in-use hook --grade 80 --size 10 --form sorting --load-angle 35 --marked 3t",
            0,
            "3 t",
        ),
        (
            "leg-tensions --load 1t --point=-1,0,0 --point 1,0,0 --centre 0,0,-1 --hook 0,0,1",
            0,
            "707.2 kg",  # 1 t / (2 cos 45 deg) is 707.107 kg; what a leg has to carry is cut up
        ),
        ("suit --takes drum --hooks pair", 0, "Drum hook"),
        ("fit --legs 2 --included 100", 1, "does not fit"),
        ("limits hook --throat 40mm --measured throat=47mm", 1, "past the limit"),
        ("limits hook --throat 40mm --measured throat=41mm", 0, "within the limit"),
        ("limits hook --measured twist=4", 1, "past the limit"),
        ("limits hook --area 100 --measured area=89mm2", 1, "past the limit"),
    ],
)
def test_commands(words: str, code: int, said: str) -> None:
    ended = here(*words.split())
    assert ended.returncode == code and not ended.stderr
    text = " ".join(ended.stdout.split())
    assert said in text and "Follow the maker" in text


@pytest.mark.parametrize(
    "words",
    ["in-use --grade 80 --size 10", "suit --takes drum", "fit --legs 1", "limits chain --size 10"],
)
def test_json_of_every_command(words: str) -> None:
    assert json.loads(here(*words.split(), "--format", "json").stdout)["caution"] == CAUTION


def test_a_refused_command_shows_the_other_documents() -> None:
    ended = here(
        *["in-use", "--grade", "80", "--size", "10", "--by", "us", "--edge-radius", "15mm"]
    )
    assert ended.returncode == 2
    assert "no us document read here has a factor for chain over an edge" in ended.stderr
    assert "european: 2.205 t" in ended.stdout  # EN 818-6: 0.7 x 3.15 t


def test_a_card_goes_to_a_file(tmp_path: Path) -> None:
    page = tmp_path / "card.html"
    ended = here("limits", "chain", "--size", "10", "--format", "html", "-o", page)
    assert ended.returncode == 0 and not ended.stdout
    assert page.read_text(encoding="utf-8").startswith("<!doctype html>")


@pytest.mark.parametrize(
    "words",
    [
        "in-use --grade 80 --size 10 --legs 2 --angle 45",
        "limits hook --throat 35mm",
        "fit --legs 2 --included 100",
        "suit --takes drum --hooks pair",
    ],
)
def test_every_command_is_as_wide_as_the_terminal(words: str) -> None:
    lines = {}
    for columns in (40, 80, 120):
        lines[columns] = here(*words.split(), columns=columns).stdout.splitlines()
        assert max(map(len, lines[columns])) <= columns
    assert len(lines[40]) > len(lines[80]) > len(lines[120])


def test_a_grab_hook_is_told_the_option_of_the_command_line() -> None:
    done = here("in-use", "grab-hook", "--grade", "80", "--size", "10")
    assert done.returncode == 2 and "--shortened cradle" in done.stderr
