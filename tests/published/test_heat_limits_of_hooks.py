"""No hook is suggested at a heat or a cold that the documents forbid for its grade.

EN 818-6, temperature table: grade 4 to 475 degC, grade 8 to 400 degC, both from -40 degC. AS 3775.2:
grade T(80) from -10 to 400 degC. ASME B30.9, table 9-1.8.1-1: grades 80 and 100 to 1000 degF; at
-40 degF and below the maker is asked. A973/A973M-21, scope 1.2: grade 100 from -20 degF (-29 degC).
Grade 10 in Europe, as its makers rate it: to 200 degC. Where a family has no document for a grade,
the strictest of the others; of grades that none has (30, 43, 70), the highest that any names.
"""

from __future__ import annotations

import itertools

import pytest

from tallyhook.use.suit import suit

_F1000 = (1000 - 32) / 1.8
HOTTEST = {
    ("european", 40): 475, ("european", 80): 400, ("european", 100): 200,
    ("us", 80): _F1000, ("us", 100): _F1000, ("us", 40): 475,
    ("australian", 80): 400, ("australian", 40): 475, ("australian", 100): 200,
    ("us-tiedown", 40): 475, ("us-tiedown", 80): 400, ("us-tiedown", 100): 200,
}  # fmt: skip
COLDEST = {
    ("australian", 80): -10, ("us", 100): -29, ("european", 40): -40, ("european", 80): -40,
}  # fmt: skip
FAMILIES = ("european", "us", "australian", "us-tiedown")
GRADES = (30, 40, 43, 70, 80, 100)
TEMPERATURES = (
    -60, -41, -40, -30, -29, -11, -10, 20, 200, 201, 300, 350, 400, 401, 475, 476, 537, 538, 600,
    1200,
)  # fmt: skip


def _used(by: str, grade: int, temperature: float, purpose: str) -> list[str]:
    answer = suit(
        takes="sling-eye", joins="chain", latch="possible", turn="no", by=by, grade=grade,
        temperature_c=temperature, purpose=purpose,
    )  # fmt: skip
    return [c.item for c in answer.choices if c.verdict in ("suits", "unusual")]


@pytest.mark.parametrize("purpose", ["lifting", "tie-down", "hanging"])
@pytest.mark.parametrize("by", FAMILIES)
def test_no_hook_is_suggested_outside_of_the_documents_of_its_grade(by: str, purpose: str) -> None:
    for grade, temperature in itertools.product(GRADES, TEMPERATURES):
        hottest = HOTTEST.get((by, grade), _F1000)
        coldest = COLDEST.get((by, grade), -40)
        # ASME B30.9: at -40 and below
        too_cold = temperature < coldest or (by, grade, temperature) == ("us", 80, -40)
        used = _used(by, grade, temperature, purpose)
        if temperature > hottest or too_cold:
            assert used == [], (grade, temperature)
        elif purpose == "tie-down" or grade in (40, 80, 100):
            assert "self-closing" in used and "eye" in used, (grade, temperature)


def test_the_refusal_names_the_document_and_both_figures() -> None:
    answer = suit(takes="sling-eye", joins="chain", grade=80, latch="possible", temperature_c=600)
    hook = {c.item: c for c in answer.choices}["self-closing"]
    assert hook.verdict == "refused"
    assert hook.source == "en-818-6" and "400" in hook.reason and "600" in hook.reason
    assert not any("How hot" in q or "how hot" in q for q in answer.questions)


def test_a_grade_without_a_heat_table_is_asked_about() -> None:
    answer = suit(
        takes="sling-eye", grade=70, by="us-tiedown", purpose="tie-down", temperature_c=300
    )
    assert any("grade 70" in q and "300" in q for q in answer.questions)
