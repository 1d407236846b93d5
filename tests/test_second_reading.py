"""What a second reading of the checks found: each line names the document or words it follows."""

from __future__ import annotations

import re
from datetime import date
from pathlib import Path
from typing import Any

import pandas as pd
import polars as pl
import pytest

import tallyhook
from command_line import here, in_a_process
from tallyhook.reporting.decisions import apply_decisions
from tallyhook.reporting.report import Report
from tallyhook.texts.description import describe
from tallyhook.use.leg_tensions import leg_tensions
from tallyhook.use.result import UseRefused
from tallyhook.use.run import in_use

ROOT = Path(__file__).resolve().parents[1]


def row(words: str, wll: str, heading: str = "WLL (kg)", **more: str) -> Report:
    """Check a list of one row of 10 mm grade 80."""
    cells = {"Description": words, "Size": "10 mm", "Grade": "80", heading: wll}
    return tallyhook.check(pd.DataFrame([cells | more]))


def rules(report: Report) -> list[str]:
    return report.findings["rule"].tolist()


# --- angles: EN 818-4, table 3, 10 mm grade 8: 4.25 t to 45 deg, 3.15 t to 60 deg, none beyond


@pytest.mark.parametrize("angle", ["65 degrees to the vertical", "140 degrees included"])
def test_an_angle_beyond_sixty_degrees_is_not_compared(angle: str) -> None:
    report = row(f"2-leg chain sling, {angle}", "4250")
    assert report.counts["not_compared"] == 1


@pytest.mark.parametrize(
    ("heading", "fits", "other"),
    [
        # 60 deg to the horizontal, and 60 between two legs, are 30 deg to the vertical
        ("Angle to horizontal", "4250", "3150"),
        ("Included angle", "4250", "3150"),
        ("Angle from vertical", "3150", "4250"),
    ],
)
def test_a_heading_says_from_where_its_angles_count(heading: str, fits: str, other: str) -> None:
    assert row("2-leg chain sling", fits, **{heading: "60"}).counts["agree"] == 1
    assert row("2-leg chain sling", other, **{heading: "60"}).counts["contradicted"] == 1


def test_a_bare_75_degrees_that_fits_one_reading_alone_is_a_warning() -> None:
    # 75 deg to the horizontal is 15 to the vertical; 75 between two legs is 37.5. ASME B30.9 charts
    # of 3/8 in grade 80: 12,300 lb at 60 deg to the horizontal, 10,000 lb at 45
    report = row("2-leg chain sling, 75 degrees", "12300", "WLL (lb)", Size="3/8 in")
    assert "angle-reference-is-not-said" in rules(report)
    strict = row("2-leg chain sling, 75 degrees", "10000", "WLL (lb)", Size="3/8 in")
    assert "angle-reference-is-not-said" not in rules(strict)


# --- hooks in use: special-hook-ratings and the scope of EN 1677-1 say what is rated as its chain


@pytest.mark.parametrize(
    ("form", "said"),
    [
        ("s-hook", "no table rates a s-hook"),  # common practice: most carry no rating
        ("j-hook", "no table rates"),
        ("grab", "with its cradle or without"),  # AS 3775.2: 75 percent without support
        ("cradle-grab", "with its cradle or without"),
        ("boathook", "is no form of a hook"),
    ],
)
def test_a_hook_that_no_table_rates_is_refused(form: str, said: str) -> None:
    with pytest.raises(UseRefused, match=said):
        in_use("hook", grade=80, size=10, form=form)


@pytest.mark.parametrize("form", ["s-hook", "boathook"])
def test_a_component_that_no_table_rates_is_refused(form: str) -> None:
    with pytest.raises(UseRefused, match=r"no table rates|is no form"):
        in_use(grade=80, size=10, components=[{"form": form, "grade": 80, "size": 10}])


@pytest.mark.parametrize("value", ["abc", None, 0, -1, float("inf"), float("nan"), [1]])
def test_a_rating_that_is_no_load_is_one_sentence(value: Any) -> None:
    with pytest.raises(UseRefused, match="is a load above nothing, not"):
        in_use(grade=80, size=10, components=[{"name": "hook", "wll_kg": value}])
    if value is not None:
        with pytest.raises(UseRefused, match="the marked rating is a load above nothing"):
            in_use(grade=80, size=10, marked_kg=value)


@pytest.mark.parametrize(
    ("angle", "factor"),
    [(35, 1.0), (50, 0.267)],  # trade article on sorting hooks: 7.5 t, 2.0 t above 45 deg
)
def test_a_sorting_hook_rates_its_sling_by_its_load_angle(angle: float, factor: float) -> None:
    hook = {"form": "sorting", "grade": 80, "size": 10}
    left = in_use(grade=80, size=10, components=[hook], load_angle=angle)
    assert left.wll_kg == pytest.approx(3150 * factor)
    with pytest.raises(UseRefused, match="give the load angle"):
        in_use(grade=80, size=10, components=[hook])


def test_a_component_marked_above_its_table_is_not_confirmed() -> None:
    # EN 818-2: 10 mm grade 8 is 3.15 t
    hook = {"name": "hook", "grade": 80, "size": 10, "wll_kg": 9000}
    left = in_use(grade=80, size=10, components=[hook])
    assert "the marked rating of the hook" in left.unconfirmed
    assert not in_use(grade=80, size=10, components=[hook | {"wll_kg": 3150}]).unconfirmed
    text = "name=hook,grade=80,size=10,wll_kg=9000"
    done = here("in-use", "--grade", "80", "--size", "10", "--component", text)
    assert done.returncode == 1 and "NOT CONFIRMED" in done.stdout


def test_a_needed_rating_is_rounded_up() -> None:
    # W / (2 cos b) with b = 45 deg: 1333.3333 / 1.41421 = 942.81
    pulls = leg_tensions(
        [(-1, 0, 0), (1, 0, 0)], load_kg=4000 / 3, centre=(0, 0, -1), hook=(0, 0, 1)
    )
    assert pulls.needed_kg == pytest.approx(942.809, abs=1e-3)
    assert "needs by statics: 942.9 kg" in pulls.to_text()
    even = leg_tensions(
        [(-1, 0, 0), (1, 0, 0)], load_kg=1000 * 2**0.5, centre=(0, 0, -1), hook=(0, 0, 1)
    )
    assert "needs by statics: 1,000 kg" in even.to_text()


# --- words of the trade; common practice, no source


@pytest.mark.parametrize(
    "words", ["cradle removed", "lacking a cradle", "sans aucun appui", "sin ninguna cuna"]
)
def test_a_cradle_that_is_not_there_is_not_read_as_one(words: str) -> None:
    assert describe("grab hook with cradle").cradle == "yes"
    assert describe(f"grab hook, {words}").cradle != "yes"


@pytest.mark.parametrize(
    "words",
    ["overhead: no", "overhead lifting prohibited", "for overhead lights"],
)
@pytest.mark.parametrize("grade", ["70", "30"])
def test_what_is_not_for_overhead_lifting_is_no_danger(words: str, grade: str) -> None:
    # ASTM A413, 1.1: grades 30, 43 and 70 are for other purposes than overhead lifting
    assert "grade-is-not-for-overhead-lifting" not in rules(
        row(f"Chain, {words}", "1000", Grade=grade)
    )
    assert "grade-is-not-for-overhead-lifting" in rules(
        row("Chain, overhead lifting", "1000", Grade=grade)
    )


@pytest.mark.parametrize(
    ("words", "danger"),
    [
        ("with G70 hooks", True),
        ("with grade 7 hooks", True),  # 49 CFR 393.108: 7 is a mark of transport chain
        ("with transport hooks", True),  # ASTM A413, 1.2: grade 70 is transport chain
        ("do not use G70 hooks", False),
        ("do not use transport hooks", False),
        ("without grade 7 hooks", False),
        ("grade 7/8 in hooks", False),
        ("for transport, self-locking hooks", False),
    ],
)
def test_a_hook_of_grade_70_in_a_lifting_sling(words: str, danger: bool) -> None:
    found = rules(row(f"2-leg chain sling G80 45 degrees to the vertical, {words}", "4250"))
    assert ("grade-is-not-for-overhead-lifting" in found) is danger


def test_the_rating_of_a_breaking_force_is_cut_down() -> None:
    # 29 CFR 1910.184: a rating is the breaking force over the design factor, and never more
    report = row(
        "Eye hook", "29999", "WLL (lb)", **{"Breaking force (lb)": "29999"}, Grade="", Size=""
    )
    told = report.findings[report.findings["rule"] == "rated-at-its-breaking-force"]["expected"]
    assert len(told) == 1
    numbers = [
        float(n.replace(",", "")) for n in re.findall(r"[\d,]+(?:\.\d+)?(?= lb)", told.iloc[0])
    ]
    factors = [float(n) for n in re.findall(r"\d+", told.iloc[0].partition("over ")[2])]
    assert numbers and all(
        n <= 29999 / f for n, f in zip(sorted(numbers), sorted(factors, reverse=True), strict=True)
    )


def test_a_grab_hook_with_no_word_of_a_cradle_says_for_which_its_figure_is() -> None:
    report = row("Grab hook", "8000")
    assert report.findings["note"].str.contains("no cradle is said").any()
    assert (
        not row("Grab hook with cradle", "8000")
        .findings["note"]
        .str.contains("no cradle is said", na=False)
        .any()
    )


# --- decisions


def decided(path: Path, key: str) -> tuple[pl.DataFrame, pl.DataFrame]:
    book = path / "list.xlsx"
    with pd.ExcelWriter(book) as writer:
        for sheet in ("Chain", "More"):
            cells = {
                "Description": ["Lifting chain"] * 2,
                "Size": ["10 mm"] * 2,
                "Grade": ["80"] * 2,
            }
            pd.DataFrame(cells | {"WLL (kg)": ["2500", "3150"]}).to_excel(
                writer, sheet_name=sheet, index=False
            )
    file = path / "decisions.csv"
    file.write_text(
        "row_key,rule,decision,who,why,date\n"
        f"{key},rated-below-every-source,accept,Ann,marked so,2026-11-20\n"
    )
    done = apply_decisions(tallyhook.check(book), file, today=date(2026, 11, 25))
    return done.accepted, done.report.stock_findings


def test_a_decision_of_one_sheet_accepts_nothing_on_another(tmp_path: Path) -> None:
    accepted, left = decided(tmp_path, "Chain!row 2")
    assert accepted["sheet"].to_list() == ["Chain"]
    assert left.filter(pl.col("rule") == "rated-below-every-source")["sheet"].to_list() == ["More"]


def test_a_bare_row_of_several_sheets_is_told_how_to_name_it(tmp_path: Path) -> None:
    accepted, left = decided(tmp_path, "row 2")
    assert accepted.is_empty()
    idle = left.filter(pl.col("rule") == "decision-matches-nothing")["expected"].to_list()
    assert idle == ["'Chain!row 2' or 'More!row 2', or no decision"]


# --- the command line


LEGS = "leg-tensions --load 2t --point 0,0,0 --point 2,0,0 --centre 1,0,-1 --hook 1,0,1"


@pytest.mark.parametrize(
    "command",
    [LEGS, "audit", "explain other-grade", "suit --takes trunnion --load 2t", "explain x"],
)
def test_a_narrow_terminal_is_kept_to(command: str) -> None:
    done = here(*command.split(), columns=40)
    assert max(map(len, (done.stdout + done.stderr).splitlines())) <= 40


def test_a_refusal_is_one_line_where_no_terminal_is() -> None:
    assert len(in_a_process("explain", "x", columns=None).stderr.splitlines()) == 1


def test_a_grab_hook_is_told_the_option_of_the_command_line() -> None:
    done = here("in-use", "grab-hook", "--grade", "80", "--size", "10")
    assert done.returncode == 2 and "--shortened cradle" in done.stderr


def test_the_figures_of_causes_in_the_readme_are_the_measured_ones() -> None:
    measured = (ROOT / "docs" / "cause-measure.md").read_text("utf-8")
    readme = (ROOT / "README.md").read_text("utf-8")
    seeded = re.search(r"Mistakes seeded: ([\d,]+); found: ([\d.]+ %)", measured)
    first = re.search(r"where it can be known: ([\d.]+ %)", measured)
    clean = re.search(r"Clean lists: ([\d,]+) rows, (\d+) at", measured)
    assert seeded and first and clean
    assert f"| seeded mistakes found | {seeded[2]} of {seeded[1]} |" in readme
    assert f"where it can be known | {first[1]} |" in readme
    assert f"| {clean[2]} of {clean[1]} |" in readme
