"""The generated pages in docs/ are those that the code and the packages make."""

from __future__ import annotations

from pathlib import Path

import pytest

from tallyhook.docs.pages import generated_pages

DOCS = Path(__file__).resolve().parents[2] / "docs"


@pytest.mark.parametrize("name", sorted(generated_pages()))
def test_a_generated_page_is_up_to_date(name: str) -> None:
    assert (DOCS / name).read_text(encoding="utf-8") == generated_pages()[name], "run scripts/docs"
