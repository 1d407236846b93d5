"""Words of recognition as parts of patterns."""

from __future__ import annotations

import re

from tallyhook.recognising.words import grade_letters, grade_names, grade_numbers, one_of


def test_the_longest_word_is_taken_first() -> None:
    assert re.fullmatch(one_of(["to", "up to", "u.p"]), "up to")
    assert not re.fullmatch(one_of(["u.p"]), "up")
    assert not re.fullmatch(one_of(["u.p"]), "uxp")


def test_a_star_stands_for_any_ending() -> None:
    pattern = re.compile(one_of(["senkrecht*", "to"]))
    assert pattern.fullmatch("senkrechten") and pattern.fullmatch("senkrecht")
    assert not pattern.fullmatch("tow")


def test_what_stands_between_the_words_of_a_phrase() -> None:
    assert re.fullmatch(one_of(["high test"], between="[- ]"), "high-test")


def test_marks_and_names_of_grades() -> None:
    # 49 CFR 393.108: marks of chain; EN 818-1: grade letters
    assert {"3", "43", "70", "80", "100", "800"} <= set(grade_numbers())
    assert {"t", "v", "m", "s"} == grade_letters()
    assert {"t", "v"} == grade_letters(metric=False)
    assert "60" in grade_numbers() and "60" not in grade_numbers(metric=False)
    assert "proof coil" in grade_names(sure=True)
    assert "alloy" in grade_names() and "alloy" not in grade_names(sure=True)
    assert "trucker chain" not in grade_names()
