"""Rules that hold for every table: a bad case, a sound one, and one just inside the tolerance."""

from __future__ import annotations

from package_tables import found


def test_pounds_and_kilograms() -> None:
    # 1 lb = 0.45359237 kg (1959 agreement): 10,000 lb are 4535.92 kg
    assert found(
        "pounds-and-kilograms-do-not-convert",
        """
| row | table   | column   | unit | value |
| --- | ------- | -------- | ---- | ----- |
| 2   | a.loads | wll_kg   | kg   | 4536  |
| 2   | a.loads | wll_lb   | lb   | 10000 |
| 3   | a.loads | wll_kg   | kg   | 4581  |
| 3   | a.loads | wll_lb   | lb   | 10000 |
| 4   | a.loads | wll_kg   | kg   | 4582  |
| 4   | a.loads | wll_lb   | lb   | 10000 |
| 5   | a.loads | wll_kg   | kg   | 4490  |
| 5   | a.loads | wll_lb   | lb   | 10000 |
| 6   | a.loads | proof_kg | kg   | 1     |
| 6   | a.loads | wll_lb   | lb   | 10000 |
| 7   | a.loads | wll_kg   | kg   | 1     |
""",
    ) == [(4, "wll_kg", 4582.0, 4535.9237), (5, "wll_kg", 4490.0, 4535.9237)]


def test_the_same_row_of_two_tables_is_not_mixed() -> None:
    assert (
        found(
            "pounds-and-kilograms-do-not-convert",
            """
| row | table   | column | unit | value |
| --- | ------- | ------ | ---- | ----- |
| 2   | a.loads | wll_kg | kg   | 4536  |
| 2   | b.loads | wll_lb | lb   | 99    |
""",
        )
        == []
    )


def test_inches_and_millimetres() -> None:
    # 1 in = 25.4 mm: 3/64 in is 1.190625 mm
    assert found(
        "inches-and-millimetres-do-not-convert",
        """
| row | table  | column  | unit | value    |
| --- | ------ | ------- | ---- | -------- |
| 2   | a.wear | wear_mm | mm   | 1.19     |
| 2   | a.wear | wear_in | in   | 0.046875 |
| 3   | a.wear | wear_mm | mm   | 1.202    |
| 3   | a.wear | wear_in | in   | 0.046875 |
| 4   | a.wear | wear_mm | mm   | 1.204    |
| 4   | a.wear | wear_in | in   | 0.046875 |
""",
    ) == [(4, "wear_mm", 1.204, 1.1906)]


def test_kilonewtons_and_pounds() -> None:
    # 28,400 lbf are 126.33 kN; small forces are printed to one decimal: 800 lbf, 3.559 kN, as 3.6
    assert found(
        "kilonewtons-and-pounds-do-not-convert",
        """
| row | table    | column   | unit | value  |
| --- | -------- | -------- | ---- | ------ |
| 2   | a.forces | force_kn | kN   | 126.3  |
| 2   | a.forces | force_lb | lb   | 28400  |
| 3   | a.forces | force_kn | kN   | 126.45 |
| 3   | a.forces | force_lb | lb   | 28400  |
| 4   | a.forces | force_kn | kN   | 126.5  |
| 4   | a.forces | force_lb | lb   | 28400  |
| 5   | a.forces | force_kn | kN   | 3.6    |
| 5   | a.forces | force_lb | lb   | 800    |
| 6   | a.forces | force_kn | kN   | 3.7    |
| 6   | a.forces | force_lb | lb   | 800    |
""",
    ) == [(4, "force_kn", 126.5, 126.3295), (6, "force_kn", 3.7, 3.5586)]


def test_fahrenheit_and_celsius() -> None:
    # 400 degF are 204.4 degC; ASTM A973 prints 205
    assert found(
        "fahrenheit-and-celsius-do-not-convert",
        """
| row | table  | column | unit | value |
| --- | ------ | ------ | ---- | ----- |
| 2   | a.heat | top_c  | degC | 204   |
| 2   | a.heat | top_f  | degF | 400   |
| 3   | a.heat | top_c  | degC | 205   |
| 3   | a.heat | top_f  | degF | 400   |
| 4   | a.heat | top_c  | degC | 206   |
| 4   | a.heat | top_f  | degF | 400   |
""",
    ) == [(4, "top_c", 206.0, 204.4444)]


def test_cell_breaks_its_schema() -> None:
    assert found(
        "cell-breaks-its-schema",
        """
| row | table   | column | observed | expected |
| --- | ------- | ------ | -------- | -------- |
| 3   | a.loads | wll_kg | 3,15     | a number |
| 4   | a.loads |        |          | a cell   |
""",
    ) == [(3, "wll_kg", "3,15", "a number"), (4, "", "", "a cell")]


def test_reference_leads_nowhere() -> None:
    # the same word under another reference is not there either
    assert found(
        "reference-leads-nowhere",
        """
`references`

| row | table   | column | value | refers_to   |
| --- | ------- | ------ | ----- | ----------- |
| 2   | a.loads | source | law   | b.docs.slug |
| 3   | a.loads | source | lore  | b.docs.slug |
| 4   | a.loads | form   | law   | b.forms.id  |

`targets`

| row | refers_to   | value |
| --- | ----------- | ----- |
| 0   | b.docs.slug | law   |
| 0   | b.forms.id  | hook  |
""",
    ) == [
        (3, "source", "lore", "a value of b.docs.slug"),
        (4, "form", "law", "a value of b.forms.id"),
    ]


def test_value_without_source() -> None:
    # a key needs no source of its own; two numbers of a row make one finding
    assert found(
        "value-without-source",
        """
| row | table   | column  | key   | value | source | locator | known_by  |
| --- | ------- | ------- | ----- | ----- | ------ | ------- | --------- |
| 2   | a.loads | wll_kg  | False | 1     | law    | row 1   | recalled  |
| 3   | a.loads | wll_kg  | False | 1     |        | row 1   | published |
| 3   | a.loads | wll_lb  | False | 1     |        | row 1   | published |
| 4   | a.loads | size_mm | True  | 1     |        |         |           |
| 5   | a.loads | wll_kg  | False | 1     | law    | row 1   |           |
""",
    ) == [
        (3, "source", "", "a source"),
        (5, "known_by", "", "published or restated or computed or maker or practice or recalled"),
    ]


def test_unit_disagrees_with_column_name() -> None:
    # stress ends in _n_mm2 and not in a length; a plain word has any unit, but has one
    assert found(
        "unit-disagrees-with-column-name",
        """
| row | table   | column        | type   | unit  | title  | example |
| --- | ------- | ------------- | ------ | ----- | ------ | ------- |
| 1   | a.grade | stress_n_mm2  | number | N/mm2 | Stress | 800     |
| 1   | a.grade | interval      | number | month | Months | 12      |
| 1   | a.grade | size_in       | string |       |        |         |
| 1   | a.grade | wear_in       | number | mm    | Wear   | 1       |
| 1   | a.grade | legs          | number |       | Legs   | 2       |
| 1   | a.grade | wll_kg        | number | kg    | WLL    |         |
""",
    ) == [
        (1, "legs", "unit missing", "unit stated"),
        (1, "wear_in", "unit mm", "unit in"),
        (1, "wll_kg", "example missing", "example in the schema"),
    ]


def test_printed_and_data_disagree() -> None:
    # text against text: 3150 and 3150.0 are one number and two prints
    assert found(
        "printed-and-data-disagree",
        """
| row | table   | key | column | data   | printed |
| --- | ------- | --- | ------ | ------ | ------- |
| 2   | a.loads | 10  | wll_kg | 3150   | 3150    |
| 2   | a.loads | 10  | note   |        |         |
| 3   | a.loads | 13  | wll_kg | 5300.0 | 5300    |
""",
    ) == [(3, "wll_kg", "5300.0", "5300")]


def test_file_is_not_the_sealed_one() -> None:
    assert found(
        "file-is-not-the-sealed-one",
        """
| row | table | hash      | bytes | sealed_hash | sealed_bytes |
| --- | ----- | --------- | ----- | ----------- | ------------ |
| 1   | a.x   | sha256:aa | 120   | sha256:aa   | 120          |
| 1   | a.y   | sha256:ab | 120   | sha256:aa   | 120          |
| 1   | a.z   | sha256:aa | 120   | sha256:aa   | 119          |
""",
    ) == [(1, "bytes", 120, 119), (1, "hash", "sha256:ab", "sha256:aa")]


def test_version_and_changelog_disagree() -> None:
    # 1.10.0 is above 1.9.0, though not as text
    assert found(
        "version-and-changelog-disagree",
        """
| row | table | version | place | changelog_version |
| --- | ----- | ------- | ----- | ----------------- |
| 1   | a.    | 1.10.0  | 0     | 1.10.0            |
| 1   | a.    | 1.10.0  | 1     | 1.9.0             |
| 1   | b.    | 2.0.0   | 0     | 2.0.0             |
| 1   | b.    | 2.0.0   | 1     | 2.0.1             |
| 1   | c.    | 1.0.0   | 0     |                   |
""",
    ) == [
        (1, "changelog_version", "2.0.1", "a lower version than the heading above"),
        (1, "version", "1.0.0", "a heading in CHANGELOG.md"),
    ]


def test_oddity_no_longer_occurs() -> None:
    assert found(
        "oddity-no-longer-occurs",
        """
`known-oddities`

| row | table            | file  | rule | item | column | observed |
| --- | ---------------- | ----- | ---- | ---- | ------ | -------- |
| 2   | a.known-oddities | a.csv | low  | 10   | wll_kg | 900      |
| 3   | a.known-oddities | b.csv | low  | 10   | wll_kg | 900      |

`findings`

| row | file  | rule | item | column | observed |
| --- | ----- | ---- | ---- | ------ | -------- |
| 9   | a.csv | low  | 10   | wll_kg | 900      |
""",
    ) == [(3, "rule", "low", "this finding, with this value")]


def test_grade_is_unknown() -> None:
    assert found(
        "grade-is-unknown",
        """
`values`

| row | table             | column | value |
| --- | ----------------- | ------ | ----- |
| 2   | a.loads           | grade  | 43    |
| 3   | a.loads           | grade  | 8     |
| 4   | vocabulary.marks  | grade  | 120   |

`chain.grades`

| row | scheme   | grade |
| --- | -------- | ----- |
| 2   | us-chain | 43    |
| 3   | us-chain | 80    |
""",
    ) == [(3, "grade", 8, "one of 43, 80")]


def test_limit_is_not_a_round_number() -> None:
    # common practice, no source: set limits are written in round numbers
    assert found(
        "limit-is-not-a-round-number",
        """
| row | table              | column        | unit    | value      |
| --- | ------------------ | ------------- | ------- | ---------- |
| 2   | inspection.limits  | value_percent | percent | 15         |
| 3   | inspection.limits  | value_percent | percent | 15.75      |
| 4   | inspection.limits  | cap_mm        | mm      | 6.35       |
| 5   | inspection.limits  | cap_mm        | mm      | 6.3        |
| 6   | inspection.limits  | value_c       | degC    | -28.9      |
| 7   | inspection.limits  | value_c       | degC    | 205        |
| 8   | inspection.limits  | value_c       | degC    | 210        |
| 9   | inspection.marking-rules | above_kg | kg     | 4535.9237  |
| 10  | use.hitch-factors  | factor        | 1       | 0.84       |
""",
    ) == [
        (10, "factor", 0.84, "a round number"),
        (3, "value_percent", 15.75, "a round number"),
        (5, "cap_mm", 6.3, "a round number"),
        (8, "value_c", 210.0, "a round number"),
    ]


def test_no_round_number_is_five_percent_from_another() -> None:
    from tallyhook.rules.package._round_numbers import FIRST_DIGITS, is_round

    for number in FIRST_DIGITS:
        assert is_round(number, "1")
        assert not is_round(number * 1.05, "1"), number
        assert not is_round(number * 0.95, "1"), number
    # a hostile package may say that a chain is used up to 1e308 degC
    assert not any(is_round(1e308, unit) for unit in ("degC", "mm", "kg", "1"))


def test_rating_id_is_not_what_its_template_gives() -> None:
    assert found(
        "rating-id-is-not-what-its-template-gives",
        """
| row | table   | rating_id        | expected        |
| --- | ------- | ---------------- | --------------- |
| 2   | a.loads | load/x/80/5.5mm  | load/x/80/5.5mm |
| 3   | a.loads | load/x/80/5.6mm  | load/x/80/5.5mm |
| 4   | a.loads | load/x/80/7mm-   | load/x/80/7mm-  |
| 5   | a.loads | load/x/80/7 mm   | load/x/80/7 mm  |
| 6   | a.loads | Load/x/80/7mm    | Load/x/80/7mm   |
| 7   | a.loads | load//80/7mm     | load//80/7mm    |
| 8   | a.loads | load             | load            |
| 3   | b.loads | load/y/80/5.6mm  | load/y/80/5.5mm |
""",
    ) == [
        (3, "rating_id", "load/x/80/5.6mm", "load/x/80/5.5mm"),
        (3, "rating_id", "load/y/80/5.6mm", "load/y/80/5.5mm"),
        (4, "rating_id", "load/x/80/7mm-", "a name that the table's ratingId makes"),
        (5, "rating_id", "load/x/80/7 mm", "a name that the table's ratingId makes"),
        (6, "rating_id", "Load/x/80/7mm", "a name that the table's ratingId makes"),
        (7, "rating_id", "load//80/7mm", "a name that the table's ratingId makes"),
        (8, "rating_id", "load", "a name that the table's ratingId makes"),
    ]


def test_rating_id_is_used_twice() -> None:
    assert found(
        "rating-id-is-used-twice",
        """
`names`

| row | table   | rating_id | expected |
| --- | ------- | --------- | -------- |
| 2   | a.loads | load/1    | load/1   |
| 3   | a.loads | load/2    | load/2   |
| 4   | a.loads | load/2    | load/2   |
| 5   | a.loads | load/3    | load/3   |
| 6   | a.loads |           |          |
| 2   | a.marks | load/11   | load/11  |

`all-names`

| row | table     | rating_id | retired |
| --- | --------- | --------- | ------- |
| 2   | a.loads   | load/1    | false   |
| 3   | a.loads   | load/2    | false   |
| 4   | a.loads   | load/2    | false   |
| 5   | a.loads   | load/3    | false   |
| 2   | a.marks   | load/11   | false   |
| 2   | b.retired | load/3    | true    |
""",
    ) == [
        (4, "rating_id", "load/2", "a name that no other rating has or had"),
        (5, "rating_id", "load/3", "a name that no other rating has or had"),
    ]


def test_retired_name_leads_nowhere() -> None:
    assert found(
        "retired-name-leads-nowhere",
        """
`retired-names`

| row | table     | rating_id | reason   | successor | since | known_version |
| --- | --------- | --------- | -------- | --------- | ----- | ------------- |
| 2   | a.retired | load/1    | mistyped | load/2    | 2.0.0 | true          |
| 3   | a.retired | load/3    | mistyped | load/1    | 2.0.0 | true          |
| 4   | a.retired | load/4    | mistyped |           | 2.0.0 | true          |
| 5   | a.retired | load/5    | mistyped | load/5    | 2.0.0 | true          |
| 6   | a.retired | load/6    | mistyped | load/22   | 2.0.0 | true          |
| 7   | a.retired | load/7    |          | load/2    | 3.0.0 | false         |

`all-names`

| row | table     | rating_id | retired |
| --- | --------- | --------- | ------- |
| 9   | b.loads   | load/2    | false   |
| 2   | a.retired | load/1    | true    |
| 5   | a.retired | load/5    | true    |
""",
    ) == [
        (5, "successor", "load/5", "the name of another rating"),
        (6, "successor", "load/22", "the name of another rating"),
        (7, "reason", "", "why it was withdrawn"),
        (7, "since", "3.0.0", "a version of the changelog"),
    ]
