"""The corpus of invented lists reads to what a person wrote down for each of them."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

CORPUS = Path(__file__).parent / "corpus"
sys.path.insert(0, str(CORPUS))

import score as scoring  # noqa: E402


@pytest.fixture(scope="module")
def scores() -> Iterator[dict[str, scoring.Score]]:
    yield {folder.name: scoring.score(folder) for folder in scoring.lists()}


def test_nothing_is_misread_and_nearly_everything_read(scores: dict[str, scoring.Score]) -> None:
    total = scoring.Score()
    for one in scores.values():
        total += one
    assert len(scores) >= 14
    assert total.misread == 0, "\n".join(total.faults)
    assert total.share >= 0.98, "\n".join(total.faults)


@pytest.mark.parametrize("folder", scoring.lists(), ids=lambda f: f.name)
def test_list(scores: dict[str, scoring.Score], folder: Path) -> None:
    one = scores[folder.name]
    assert one.right > 0
    assert one.misread == 0 and one.share >= 0.9, "\n".join(one.faults)


def test_the_score_sees_faults(tmp_path: Path) -> None:
    original = CORPUS / "json-lines"
    (tmp_path / "list.jsonl").write_bytes(
        (original / "list.jsonl").read_bytes().replace(b"4700", b"4800")
    )
    (tmp_path / "expected.csv").write_bytes((original / "expected.csv").read_bytes())
    one = scoring.score(tmp_path)
    assert (one.missed, one.misread) == (0, 1)
    (tmp_path / "list.jsonl").write_bytes(
        (original / "list.jsonl").read_bytes().replace(b'"value": 4700', b'"value": null')
    )
    one = scoring.score(tmp_path)
    assert (one.missed, one.misread) == (1, 0)
