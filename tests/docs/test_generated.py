"""The generated pages in docs/ are those that the code and the packages make."""

from __future__ import annotations

from functools import cache
from pathlib import Path

import pytest

from tallyhook.docs.generated import generated_pages

DOCS = Path(__file__).resolve().parents[2] / "docs"

pages = cache(generated_pages)  # once a process: they take a check of the demo


@pytest.mark.parametrize("name", sorted(pages()))
def test_a_generated_page_is_up_to_date(name: str) -> None:
    path = DOCS / name
    assert path.exists(), f"docs/{name} is not there yet: run scripts/docs"
    text = path.read_text(encoding="utf-8")
    assert text == pages()[name], f"docs/{name} is of an earlier state: run scripts/docs"


def test_no_page_is_left_of_what_is_gone() -> None:
    found = {
        str(p.relative_to(DOCS)) for sub in ("rules", "packages") for p in DOCS.glob(f"{sub}/*")
    }
    left = found - pages().keys()
    assert left == set(), "run scripts/docs"
