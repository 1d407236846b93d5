"""Sizes, against 49 CFR 393.108 (mm beside inches), EN 818-2 (metric sizes) and catalogue habits.

49 CFR 393.108 prints 7 (1/4), 8 (5/16), 10 (3/8), 11 (7/16), 13 (1/2) and 16 mm (5/8). The names of
grades 80 and 100 (7/32, 9/32) and the catalogue forms "18/20", "10-8" and "7/32 (6mm)" are common
practice of the trade.
"""

from __future__ import annotations

import pytest

from tallyhook.texts.description import describe
from tallyhook.texts.scan import Context
from tallyhook.texts.sizes import Size, read_size, settle_size

CFR = [("1/4", 7), ("5/16", 8), ("3/8", 10), ("7/16", 11), ("1/2", 13), ("5/8", 16)]


@pytest.mark.parametrize(("name", "mm"), CFR)
@pytest.mark.parametrize(
    "form",
    [
        "{}",
        '{}"',
        "{} in",
        "{} in.",
        "{} inch",
        "{}in",
        "{}''",
        "{}”",
        "{}-inch",
        "Ø {}",
        "{} Zoll",
    ],
)
def test_an_inch_name_gives_the_millimetres_the_law_prints_beside_it(
    name: str, mm: float, form: str
) -> None:
    read = read_size(form.format(name))
    assert read.size is not None and (read.size.mm, read.size.inch) == (mm, name)


@pytest.mark.parametrize(("name", "mm"), CFR)
def test_an_inch_name_with_its_millimetres_is_one_size(name: str, mm: float) -> None:
    for form in ('{}" ({} mm)', "{}-{}", "{} in / {}mm", "{} ({})"):
        read = read_size(form.format(name, mm))
        assert read.size is not None and (read.size.mm, read.size.inch) == (mm, name)
    read = read_size(f'{mm} mm ({name}")')
    assert read.size is not None and (read.size.mm, read.size.inch) == (mm, name)


@pytest.mark.parametrize("text", [".375", "0.375", '0.375"', "⅜", '.38"'])
def test_a_decimal_inch_is_its_fraction(text: str) -> None:
    read = read_size(text)
    assert read.size is not None and read.size.inch == "3/8"


@pytest.mark.parametrize("mm", [6, 7, 8, 10, 13, 16, 18, 19, 20, 22, 26, 32])
@pytest.mark.parametrize("form", ["{}", "{}mm", "{} mm", "Ø{}", "Ø {} mm", "{},0 mm"])
def test_every_size_of_en_818_2_is_read(mm: int, form: str) -> None:
    read = read_size(form.format(mm))
    assert read.size is not None and (read.size.mm, read.size.inch, read.size.mm_to) == (
        mm,
        None,
        None,
    )


@pytest.mark.parametrize(
    ("text", "unit", "low", "high"),
    [("7/8", "mm", 7, 8), ("7/8 mm", None, 7, 8), ("18/20", None, 18, 20), ("5/6", None, 5, 6), ("6-7", None, 6, 7), ("7-8", "mm", 7, 8), ("1/4-5/16", None, 7, 8), ('9/32" - 5/16"', None, 7, 8)],
)  # fmt: skip
def test_a_part_for_two_sizes_has_both(
    text: str, unit: str | None, low: float, high: float
) -> None:
    read = read_size(text, unit=unit)
    assert read.size is not None and (read.size.mm, read.size.mm_to) == (low, high)


def test_ten_dash_eight_is_ten_millimetres_in_grade_eight() -> None:
    read = read_size("10-8")
    assert read.size is not None and (read.size.mm, read.size.grade) == (10, 80)


@pytest.mark.parametrize("text", ["8-10", "7-8", "6-8", "8/10", "6-10/8"])
def test_rising_numbers_that_may_be_a_size_and_a_grade_are_not_read(text: str) -> None:
    read = read_size(text)
    assert read.size is None and read.note is not None


def test_seven_eighths_keeps_both_readings_until_something_settles_it() -> None:
    read = read_size("7/8")
    assert read.size is None and read.either is not None
    assert (read.either[0].mm, read.either[1].mm, read.either[1].mm_to) == (22, 7, 8)


@pytest.mark.parametrize(
    ("wll_kg", "system", "mm"),
    [
        (2000, None, 7),  # EN 818-2: 8 mm grade 8, 2 t
        (15500, None, 22),  # 7/8 in grade 80, 34,200 lb (restated ASTM A391 ratings)
        (None, "us", 22),
        (None, "metric", 7),
        (None, None, None),
        (4000, "us", None),  # neither
        (2000, "us", None),  # the load and the list disagree
    ],
)
def test_seven_eighths_is_settled_by_load_and_list(
    wll_kg: float | None, system: str | None, mm: float | None
) -> None:
    either = read_size("7/8").either
    assert either is not None
    settled = settle_size(either, wll_kg=wll_kg, system=system)
    assert (settled.mm if settled else None) == mm


def test_seven_thirty_seconds_labelled_six_keeps_the_bar_of_its_inch_name() -> None:
    # common practice, no source: makers print 6 mm beside 7/32 in, whose bar is 5.5 mm
    assert read_size('7/32" (6mm)').size == Size(mm=5.5, inch="7/32", text='7/32" (6mm)')


@pytest.mark.parametrize(
    "text",
    ["3/8 (13 mm)", "10 mm 1/2", "11/32", "2-3/8", "M12", "10 x 30 x 5", "2026-03-08", "size M", "3.7", "100", "1/2 - 1", "0.8", "3/8-16"],
)  # fmt: skip
def test_what_is_no_one_chain_size_is_not_read(text: str) -> None:
    read = read_size(text)
    assert read.size is None and read.either is None and read.note is not None


def test_one_is_an_inch_only_among_inches() -> None:
    assert read_size("1").size is None
    read = read_size("1", inches=True)
    assert read.size is not None and read.size.mm == 26
    assert read_size("10", inches=True).size is None


def test_a_column_in_inches_holds_no_millimetres() -> None:
    assert read_size("13", unit="in").size is None
    assert read_size("0,375", unit="in", context=Context(decimal=",")).size == Size(
        mm=10, inch="3/8", text="0,375"
    )


def test_a_free_text_size_is_the_one_that_is_left_when_all_else_is_read() -> None:
    for text, mm, mm_to in [
        ("hook 3/8 in, throat 1-1/8 in, 20 ft, wt 2.1 lb", 10, None),
        ("fits 5/16 & 3/8 in chain", 8, 10),
        ("chain 10 x 30 mm", 10, None),  # diameter by pitch of EN 818-2: the pitch is 3 d
        ("hook B = 30 mm for 8 mm chain", 8, None),
        ("master link 3/4 in for 3/8 in chain", 10, None),
        ("clevis hook 13-8", 13, None),
    ]:
        size = describe(text).size
        assert size is not None and (size.mm, size.mm_to) == (mm, mm_to)


@pytest.mark.parametrize(
    "text",
    [
        "hook throat 1-1/8",
        "chain 20 ft",
        "chain 5 m",
        "hook 30 mm opening",
        "master link 3/4 in",
        "shackle 7/8",
        "hook 10",
        "hook CG-10-8",
        "hook item 3/8-77",
        "hook 8-10",
        "chain 2 3/8",
        "hoist hook, hole 1/2 in",
        "chain 3/8 and 1/2 and 5/8",
        "hook M12",
        "chain 25.4.2026",
        "bolt 1/2-13 x 3",
    ],
)
def test_other_numbers_of_a_description_are_no_size(text: str) -> None:
    assert describe(text).size is None


def test_millimetres_said_outright_are_read_though_no_table_rates_them() -> None:
    # the check then warns that no source rates the size; it cannot if the size goes unread
    assert read_size("33 mm").size == Size(mm=33.0, text="33 mm")
    assert read_size("90 mm").size is None  # no chain is that thick
