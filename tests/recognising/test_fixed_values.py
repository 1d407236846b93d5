"""What a heading fixes for the cells below it, in four languages; each is plain to a reader."""

from __future__ import annotations

import pytest

from tallyhook.recognising.headings import read_heading


@pytest.mark.parametrize(
    ("heading", "expected"),
    [
        ("Class 80", {"grade": "80"}),
        ("Gk 10", {"grade": "10"}),
        ("classe 8", {"grade": "8"}),
        ("Clase 100", {"grade": "100"}),
        ("Proof coil", {"grade": "proof coil"}),
        ("70", {"grade": "70"}),
        ("Grade 70/80", {}),  # of two grades, none
    ],
)
def test_grades(heading: str, expected: dict[str, str]) -> None:
    assert read_heading(heading).gives == expected


@pytest.mark.parametrize(
    ("heading", "legs"),
    [
        ("2 legs", "2"),
        ("1-strängig", "1"),
        ("2 brins", "2"),
        ("3 and 4 legs", "3-4"),
        ("3- und 4-strängig", "3-4"),
        ("4 ramales", "4"),
        ("3 to 4 leg", "3-4"),
        ("Double", "2"),
    ],
)
def test_legs(heading: str, legs: str) -> None:
    assert read_heading(heading).gives == {"legs": legs}


@pytest.mark.parametrize(
    ("heading", "angle"),
    [
        ("45°", "45"),
        ("45 deg", "45"),
        ("0-45°", "0-45"),
        ("45 bis 60 Grad", "45-60"),
        ("0 à 45°", "0-45"),
        ("up to 60°", "0-60"),
        ("bis 45°", "0-45"),
        ("jusqu'à 60°", "0-60"),
        ("hasta 45 grados", "0-45"),
        ("60° to horizontal", "60 to horizontal"),
        ("60° waagerecht", "60 to horizontal"),
        ("β 45°", "45 to vertical"),
        ("45° senkrechter Neigungswinkel", "45 to vertical"),
    ],
)
def test_angles(heading: str, angle: str) -> None:
    assert read_heading(heading).gives.get("angle") == angle


@pytest.mark.parametrize("heading", ["17°", "Size 45", "Price 60"])
def test_other_numbers_are_no_angles(heading: str) -> None:
    # no table of slings is printed for 17 degrees, and a bare number needs a sign or a range
    assert "angle" not in read_heading(heading).gives


@pytest.mark.parametrize(
    ("heading", "connection"),
    [
        ("Clevis", "clevis"),
        ("Haken kugelgelagert", "kugelgelagert"),
        ("nicht kugelgelagert", "nicht kugelgelagert"),
    ],
)
def test_a_denial_stays_with_what_it_denies(heading: str, connection: str) -> None:
    assert read_heading(heading).gives["connection"] == connection


def test_a_hitch_that_is_denied_is_not_fixed() -> None:
    assert read_heading("Choker hitch").gives == {"hitch": "choke"}
    assert "hitch" not in read_heading("not choked").gives


def test_the_line_of_an_angle_is_no_hitch() -> None:
    assert read_heading("45° to vertical").gives == {"angle": "45 to vertical"}
