"""Every form and connection is suggested for one job and refused for another, with a reason.

The jobs are stated here in the words of a shop; which part suits each is common practice of the
trade, or the document named beside it.
"""

from __future__ import annotations

import re
from typing import Any

import pytest

from tallyhook.packages.package import Package
from tallyhook.use.result import UseRefused
from tallyhook.use.suit import suit
from tallyhook.wording import CAUTION

# (what the job is) -> (the part, its answers); suggested
SUGGESTED: dict[str, dict[str, dict[str, Any]]] = {
    "form": {
        "self-closing": {"takes": "lifting-eye", "latch": "possible"},
        "self-locking": {"takes": "lifting-eye", "people": "yes"},  # 29 CFR 1926.1431(g)(1)(i)
        "foundry": {"takes": "trunnion", "latch": "in-the-way", "overhead": "no"},
        "sorting": {"takes": "stack", "hooks": "pair", "overhead": "no"},
        "j-hook": {"takes": "truss", "slack": "no"},  # 29 CFR 1926.1425(c)(2)
        "s-hook": {"purpose": "hanging", "takes": "lifting-eye", "overhead": "no"},
        "grab": {"takes": "chain", "slack": "no"},
        "cradle-grab": {"takes": "chain", "joins": "chain"},
        "double": {"takes": "both-sides", "joins": "hoist-block"},
        "quad": {"takes": "four-sides", "joins": "hoist-block"},
        "ladle": {"takes": "ladle"},
        "drum": {"takes": "drum", "hooks": "pair", "overhead": "no", "slack": "no"},
        "automatic": {"takes": "sling-eye", "release": "from-afar"},
        "container": {"takes": "container", "hooks": "four"},
        "plate": {"takes": "plate-edge", "hooks": "pair", "overhead": "no"},
    },
    "connection": {
        "eye": {"joins": "link-or-shackle", "turn": "no", "eye_lies": "in-line"},
        "reverse-eye": {"joins": "link-or-shackle", "turn": "no", "eye_lies": "across"},
        "clevis": {"joins": "chain", "turn": "no"},
        "cotter-pin-clevis": {"joins": "tie-down-chain", "purpose": "tie-down", "overhead": "no"},
        "shank": {"joins": "hoist-block"},
        "positioning-swivel": {"joins": "link-or-shackle", "turn": "line-up"},
        "bearing-swivel": {"joins": "link-or-shackle", "turn": "under-load"},
        "sliding-choker": {"joins": "rope-body", "hitch": "choke"},
        "synthetic-eye": {"joins": "webbing"},
        "weld-on": {"joins": "steelwork"},
    },
}

# refused by a law or a standard, and the document; what no clause is for, by its grade:
# A413/A413M-21, 1.1: grades 30, 43 and 70 are for other purposes than overhead lifting
_A413 = "A413/A413M-21, 1.1"
_PEOPLE = "1926.1431(g)(1)(i)"  # the throat can be closed and locked
BY_LAW: dict[str, dict[str, tuple[dict[str, Any], str]]] = {
    "form": {
        # loads are applied to the throat, as one on the point bends or springs the hook
        "self-closing": ({"takes": "plate-edge"}, "1915.113(b)(2)"),
        "self-locking": ({"takes": "sling-eye", "latch": "in-the-way"}, "10-1.2.3(b)(4)"),
        "foundry": ({"takes": "trunnion", "people": "yes"}, _PEOPLE),
        # a latch that closes by itself where people are in the fall zone
        "sorting": ({"takes": "stack", "overhead": "yes"}, "1926.1425(c)(2)"),
        "j-hook": ({"takes": "lifting-eye"}, "1926.1425(c)(2)"),
        "s-hook": ({"takes": "lifting-eye", "purpose": "lifting"}, "15.E.07"),
        "grab": ({"takes": "sling-eye"}, "1915.113(b)(2)"),
        "cradle-grab": ({"takes": "lifting-eye"}, "1915.113(b)(2)"),
        "double": ({"takes": "lifting-eye"}, "10-1.2.2(b)"),
        "quad": ({"takes": "four-sides", "people": "yes"}, _PEOPLE),
        "ladle": ({"takes": "ladle", "people": "yes"}, _PEOPLE),
        "drum": ({"takes": "drum", "overhead": "yes"}, "1926.1425(c)(2)"),
        "automatic": ({"takes": "sling-eye", "people": "yes"}, _PEOPLE),
        "container": ({"takes": "container", "people": "yes"}, _PEOPLE),
        "plate": ({"takes": "plate-edge", "overhead": "yes"}, "1926.1425(c)(2)"),
    },
    "connection": {
        "eye": ({"joins": "chain", "grade": 43}, _A413),
        "reverse-eye": ({"joins": "link-or-shackle", "grade": 43}, _A413),
        "clevis": ({"joins": "chain", "grade": 70}, _A413),
        "cotter-pin-clevis": ({"joins": "tie-down-chain", "grade": 70}, _A413),
        "shank": ({"joins": "hoist-block", "grade": 30}, _A413),
        "positioning-swivel": ({"joins": "chain", "grade": 43}, _A413),
        "bearing-swivel": ({"joins": "chain", "grade": 43}, _A413),
        "sliding-choker": ({"joins": "rope-body", "hitch": "straight"}, "choker hooks"),
        "synthetic-eye": ({"joins": "webbing", "grade": 70}, _A413),
        "weld-on": ({"joins": "steelwork", "grade": 70}, _A413),
    },
}

# what practice or opinion speaks against, and a word that the reason has to have
BY_PRACTICE: dict[str, dict[str, tuple[dict[str, Any], str]]] = {
    "form": {
        "self-closing": ({"takes": "sling-eye", "release": "from-afar"}, "climb"),
        "self-locking": ({"takes": "sling-eye", "release": "from-afar"}, "climb"),
        "foundry": ({"takes": "sling-eye"}, "tip"),
        "sorting": ({"takes": "stack", "hooks": "one"}, "pairs"),
        "j-hook": ({"takes": "truss", "slack": "yes"}, "slack"),
        "s-hook": ({"takes": "lifting-eye", "purpose": "tie-down"}, "slack"),
        "grab": ({"takes": "chain", "slack": "yes"}, "slack"),
        "cradle-grab": ({"takes": "chain", "release": "from-afar"}, "climb"),
        "double": ({"takes": "both-sides", "release": "from-afar"}, "climb"),
        "quad": ({"takes": "both-sides"}, "four"),
        "ladle": ({"takes": "trunnion"}, "ladle"),
        "drum": ({"takes": "drum", "hooks": "one"}, "pair"),
        "automatic": ({"takes": "sling-eye", "release": "by-hand"}, "too soon"),
        "container": ({"takes": "container", "hooks": "pair"}, "four"),
        "plate": ({"takes": "plate-edge", "hooks": "one"}, "slides"),
    },
    "connection": {
        "eye": ({"joins": "webbing"}, "bunches"),
        "reverse-eye": ({"joins": "link-or-shackle", "eye_lies": "in-line"}, "quarter turn"),
        "clevis": ({"joins": "wire-rope"}, "chain"),
        "cotter-pin-clevis": ({"joins": "tie-down-chain", "purpose": "lifting"}, "cotter"),
        "shank": ({"joins": "chain"}, "block"),
        "positioning-swivel": ({"joins": "chain", "turn": "under-load"}, "seizes"),
        "bearing-swivel": ({"joins": "chain", "turn": "no"}, "inspect"),
        "sliding-choker": ({"joins": "rope-body", "slack": "yes"}, "opens"),
        "synthetic-eye": ({"joins": "chain"}, "soft slings"),
        "weld-on": ({"joins": "chain"}, "welded"),
    },
}


def test_the_jobs_cover_every_form_and_connection(packages: dict[str, Package]) -> None:
    for kind, table in (("form", "forms"), ("connection", "connections")):
        all_of_them = set(packages["hooks"][table][kind])
        assert set(SUGGESTED[kind]) == all_of_them
        assert set(BY_LAW[kind]) == set(BY_PRACTICE[kind]) == all_of_them


@pytest.mark.parametrize(
    ("kind", "item"), [(k, i) for k, items in SUGGESTED.items() for i in items]
)
def test_each_is_suggested_for_its_job(kind: str, item: str) -> None:
    suggested = {c.item: c for c in suit(**SUGGESTED[kind][item]).of("suits", kind)}
    assert item in suggested
    assert len(suggested[item].reason.split()) >= 5


EVERY = [(kind, item) for kind, items in BY_LAW.items() for item in items]


@pytest.mark.parametrize(("kind", "item"), EVERY)
def test_what_a_law_or_a_standard_forbids_is_refused(kind: str, item: str) -> None:
    job, clause = BY_LAW[kind][item]
    refused = {c.item: c for c in suit(**job).of("refused", kind)}
    assert clause in refused[item].locator


@pytest.mark.parametrize(("kind", "item"), EVERY)
def test_what_practice_speaks_against_is_unusual_with_a_riggers_reason(
    kind: str, item: str
) -> None:
    job, word = BY_PRACTICE[kind][item]
    answer = suit(**job)
    unusual = {c.item: c for c in answer.of("unusual", kind)}
    assert word in unusual[item].reason
    assert item not in {c.item for c in answer.of("suits", kind) + answer.of("refused", kind)}


def test_nothing_recalled_and_no_opinion_refuses(packages: dict[str, Package]) -> None:
    documents = packages["sources"]["documents"].select("source", "kind").iter_rows()
    # EM 385-1-1, Safety and health requirements, binds whoever works for the Corps
    binding = {s for s, kind in documents if kind in ("law", "standard")} | {"usace-em-385-1-1"}
    rules = packages["hooks"]["suits"].to_dicts()
    for row in rules:
        if row["verdict"] == "refused":
            assert row["known_by"] != "recalled" and row["source"] in binding, row
        if row["verdict"] == "unusual":
            assert row["source"] not in binding, row


def test_every_form_and_connection_has_exactly_one_verdict_and_reason() -> None:
    answer = suit(takes="sling-eye", joins="chain")
    assert len(answer.choices) == len({(c.kind, c.item) for c in answer.choices}) == 25
    assert all(c.reason for c in answer.choices)


@pytest.mark.parametrize("grade", [30, 43, 70])
def test_no_form_of_a_carbon_grade_is_suggested_for_lifting(grade: int) -> None:
    # ASTM A413/A413M-21, 1.1
    answer = suit(takes="lifting-eye", joins="chain", grade=grade, by="us")
    assert not answer.of("suits")
    assert "A413" in {c.item: c for c in answer.choices}["self-closing"].locator


def test_only_a_hook_that_locks_carries_people() -> None:
    # 29 CFR 1926.1431(g)(1)(i): the throat can be closed and locked
    assert [c.item for c in suit(takes="lifting-eye", people="yes").of("suits", "form")] == [
        "self-locking"
    ]


def test_the_smallest_size_is_that_of_the_sling_table() -> None:
    # EN 818-4, table 3, two legs to 45 deg: 8 mm 2.8 t, 10 mm 4.25 t; a fifth less without cradle
    job: dict[str, Any] = {"takes": "chain", "joins": "chain", "legs": 2, "leg_angle_deg": 40}
    for kg, with_cradle, without in (
        (2800, "8 mm", "10 mm"),
        (2801, "10 mm", "10 mm"),
        (3400, "10 mm", "10 mm"),
        (3401, "10 mm", "13 mm"),
    ):
        sizes = {s.form: s.size for s in suit(**job, load_kg=kg).smallest}
        assert sizes == {"cradle-grab": f"{with_cradle} grade 80", "grab": f"{without} grade 80"}


def test_the_smallest_size_in_pounds() -> None:
    # 49 CFR 393.108 and the chain tables: grade 80, 5/16 in 4,500 lb, 3/8 in 7,100 lb
    pound = 0.45359237
    for pounds, size in ((4500, "5/16 in"), (4501, "3/8 in"), (7100, "3/8 in")):
        found = suit(
            takes="lifting-eye", joins="chain", by="us", load_kg=pounds * pound - 1e-6
        ).smallest
        assert {s.size for s in found} == {f"{size} grade 80"}


def test_a_load_that_no_size_carries_is_said_so() -> None:
    found = suit(takes="lifting-eye", joins="chain", load_kg=90000).smallest
    assert {s.size for s in found} == {""}
    assert all("carries it" in s.why for s in found)


def test_drum_hooks_are_rated_by_their_mark_alone() -> None:
    # one maker's catalogue rated a pair; no document does
    job: dict[str, Any] = {"takes": "drum", "hooks": "pair"}
    [found] = suit(**job, load_kg=450).smallest
    assert found.wll_kg is None and "marked rating" in found.why


def test_open_questions_are_those_that_could_turn_it() -> None:
    asked = " ".join(suit(takes="trunnion").questions)
    assert "latch" in asked and "people" in asked
    told = " ".join(suit(takes="trunnion", latch="in-the-way", people="no").questions)
    assert "Does it carry people" not in told and "Can a latch close" not in told


def test_heat_is_told_with_its_document() -> None:
    # EN 818-6, grade 8: 0.9 to 300 degC, not above 400
    assert "0.9" in suit(takes="trunnion", temperature_c=250).notes[0]
    assert "400" in suit(takes="trunnion", temperature_c=450).notes[0]


@pytest.mark.parametrize("wrong", [{"takes": "elephant"}, {"turn": "maybe"}, {"by": "nobody"}])
def test_an_answer_that_no_question_knows_is_refused(wrong: dict[str, Any]) -> None:
    with pytest.raises(UseRefused):
        suit(**wrong)


def test_the_text_claims_nothing_and_carries_the_caution() -> None:
    text = suit(takes="sling-eye", joins="chain", load_kg=3000, turn="no").to_text()
    assert " ".join(CAUTION.split()) in " ".join(text.split())
    assert not re.search(r"\bsafe\b", text)
    assert max(map(len, text.splitlines())) <= 80


def test_every_rule_can_fire(packages: dict[str, Package]) -> None:
    questions = {
        q["condition"]: q["answers"].split(";")
        for q in packages["hooks"]["suit-questions"].to_dicts()
    }
    for row in packages["hooks"]["suits"].to_dicts():
        for condition, value in (
            (row["condition"], row["value"]),
            (row["and_condition"], row["and_value"]),
        ):
            if condition == "any":
                continue
            if value.startswith("above-"):
                assert float(value.removeprefix("above-")) in (row["above_c"], row["above_deg"])
            else:
                assert value == "other" or value in questions[condition], row


def test_drum_hooks_stand_at_30_to_45_degrees_by_common_practice(
    packages: dict[str, Package],
) -> None:
    # common practice, no source: it raises a question and turns nothing down
    job: dict[str, Any] = {"takes": "drum", "hooks": "pair"}
    flat = {c.item: c for c in suit(**job, leg_angle_deg=50).of("suits", "form")}["drum"]
    assert "30 to 45 degrees" in flat.questions[0]
    assert not {c.item: c for c in suit(**job, leg_angle_deg=45).choices}["drum"].questions
    rules = packages["hooks"]["suits"].to_dicts()
    [row] = [r for r in rules if r["item"] == "drum" and r["condition"] == "leg-angle"]
    assert (row["verdict"], row["locator"]) == ("ask", "common practice, no source")
