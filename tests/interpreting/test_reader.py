"""Headings and cells that a list's readers understand by the words of the vocabulary."""

from __future__ import annotations

import pytest

from tallyhook.interpreting.reader import _names_chain


@pytest.mark.parametrize(
    ("heading", "wanted"),
    [
        # common practice of headings, no source
        ("Chain size", True),
        ("Kettennenndicke [mm]", True),
        ("Für Rundstahlkette", True),
        ("Ø chaîne", True),
        ("Diámetro cadena", True),
        ("Chn size", True),
        ("Techn. Größe", False),  # "chn" inside a word is no chain
        ("Size", False),
    ],
)
def test_a_heading_says_that_sizes_are_those_of_chain(heading: str, wanted: bool) -> None:
    assert _names_chain(heading) is wanted
