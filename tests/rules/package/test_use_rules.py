"""Rules on use and inspection: a bad case, a sound one, and one just inside the tolerance."""

from __future__ import annotations

from package_tables import found


def test_heat_factor_rises_with_temperature() -> None:
    # EN 818-6, grade 8: full to 200 degC, 90 % to 300, 75 % to 400; equal factors are no rise
    assert found(
        "heat-factor-rises-with-temperature",
        """
| row | source | grade | temperature_from_c | temperature_to_c | to_included | factor_while_hot | factor_after |
| --- | ------ | ----- | ------------------ | ---------------- | ----------- | ---------------- | ------------ |
| 2   | en     | 80    | -40                | 200              | true        | 1                | 1            |
| 3   | en     | 80    | 200                | 300              | true        | 0.9              | 1            |
| 4   | en     | 80    | 300                | 400              | true        | 0.9              | 0.85         |
| 5   | us     | 80    | -40                | 204              | true        | 0.95             |              |
| 6   | us     | 80    | 205                | 260              | true        | 0.87             |              |
| 7   | old    | 80    |                    | 210              | true        | 1                |              |
""",
    ) == [
        (4, "factor_after", 0.85, 0.9),
        (5, "factor_while_hot", 0.95, 1.0),
        (6, "factor_while_hot", 0.87, 0.95),
        (6, "temperature_from_c", 205.0, 204.0),
        (7, "temperature_to_c", 210, "a round number"),
    ]


def test_leg_factor_is_not_legs_times_cosine() -> None:
    # 2 cos 45 = 1.4142: EN 818-4 prints 1.4 (1 % below); 3 cos 60 = 1.5; choke twice 0.8
    assert found(
        "leg-factor-is-not-legs-times-cosine",
        """
`use.leg-factors`

| row | source   | configuration | angle_from_deg | angle_to_deg | hitch    | leg_factor |
| --- | -------- | ------------- | -------------- | ------------ | -------- | ---------- |
| 2   | en-818-4 | 2-leg         | 0              | 45           | straight | 1.4        |
| 3   | en-818-4 | 2-leg         | 45             | 60           | straight | 1.02       |
| 4   | en-818-4 | 4-leg         | 0              | 45           | straight | 2.1        |
| 5   | en-818-4 | 4-leg         | 40             | 60           | straight | 1.5        |
| 6   | en-818-4 | endless       | 0              | 0            | choke    | 1.6        |
| 7   | as-3775  | endless       | 0              | 0            | choke    | 1.6        |

`use.hitch-factors`

| row | source   | hitch | load_shape | factor | factor_of |
| --- | -------- | ----- | ---------- | ------ | --------- |
| 2   | en-818-6 | choke | any        | 0.8    | sling     |
| 3   | as-3775  | choke | round      | 0.75   | leg       |
| 4   | as-3775  | choke | square     | 0.5    | leg       |

`use.sling-rules`

| row | rule         | source          | count |
| --- | ------------ | --------------- | ----- |
| 2   | legs-counted | bg-bau-slings   | 2     |
| 3   | legs-counted | common-practice | 3     |
| 4   | knots        | 49-cfr-393-104  | 0     |
""",
    ) == [
        (3, "leg_factor", 1.02, 1.0),
        (5, "angle_from_deg", 40, 45.0),
        (7, "leg_factor", 1.6, 1.5),
    ]


def test_hitch_factor_is_out_of_order() -> None:
    # one catalogue page: 120-180 0.80, 90-119 0.65, 60-89 0.55; equal factors are in order
    assert found(
        "hitch-factor-is-out-of-order",
        """
| row | source | hitch  | load_shape | choke_angle | factor | factor_of | choke_angle_from_deg | choke_angle_to_deg |
| --- | ------ | ------ | ---------- | ----------- | ------ | --------- | -------------------- | ------------------ |
| 2   | page   | choke  | any        | 120-180     | 0.8    | leg       | 120                  | 180                |
| 3   | page   | choke  | any        | 90-119      | 0.8    | leg       | 90                   | 119                |
| 4   | page   | choke  | any        | 60-89       | 0.85   | leg       | 60                   | 89                 |
| 5   | book   | choke  | any        | above 120   | 1      | choke     | 110                  | 180                |
| 6   | book   | choke  | any        | below 30    | 0.49   | choke     | 0                    | 30                 |
| 7   | train  | basket | square     | none        | 2      | leg       |                      |                    |
""",
    ) == [
        (3, "factor", 0.8, 0.85),
        (5, "choke_angle_from_deg", 110.0, 120.0),
        (7, "factor", 2.0, 1.0),
    ]


def test_angle_limit_contradicts_itself() -> None:
    # 90 deg between two legs on a hook are 45 to the vertical; 30 to the horizontal are 60
    assert found(
        "angle-limit-contradicts-itself",
        """
| row | reference         | angle_deg | angle_to_vertical_deg |
| --- | ----------------- | --------- | --------------------- |
| 2   | included          | 90        | 45                    |
| 3   | included          | 90        | 90                    |
| 4   | to the horizontal | 30        | 60                    |
| 5   | to the vertical   | 60        | 30                    |
| 6   | of choke          | 120       |                       |
""",
    ) == [(3, "angle_to_vertical_deg", 90.0, 45.0), (5, "angle_to_vertical_deg", 30.0, 60.0)]


def test_rule_of_thumb_does_not_give_its_example() -> None:
    # NAVEDTRA 14251: 3 short tons by square inch are 3 x 907.18474 / 645.16 = 4.218417 kg/mm2,
    # and 0.417 tonnes by square centimetre 4.17; 1.59 cm are rated 1.05 t (1.054 by the formula)
    assert found(
        "rule-of-thumb-does-not-give-its-example",
        """
| row | item    | formula                    | coefficient_kg_mm2 | grade | example_size_mm | example_wll_kg |
| --- | ------- | -------------------------- | ------------------ | ----- | --------------- | -------------- |
| 2   | shackle | SWL_ton = 3 * D^2          | 4.218417           |       | 15.875          | 1063           |
| 3   | shackle | SWL_tonne = 0.417 * D^2    | 4.17               |       | 15.9            | 1050           |
| 4   | hook    | SWL_ton = 2/3 * D^2        | 0.937426           |       |                 |                |
| 5   | hook    | SWL_ton = D^2              | 1.55               |       |                 |                |
| 6   | chain   | SWL_kg = D^2 * grade * 0.4 | 32                 | 80    | 10              | 3150           |
| 7   | chain   | SWC = BS / 6               |                    |       |                 |                |
""",
    ) == [(5, "coefficient_kg_mm2", 1.55, 1.4061), (6, "example_wll_kg", 3150.0, 3200.0)]


def test_interval_is_not_the_printed_one() -> None:
    assert found(
        "interval-is-not-the-printed-one",
        """
| row | interval   | interval_months |
| --- | ---------- | --------------- |
| 2   | quarterly  | 3               |
| 3   | quarterly  | 4               |
| 4   | 4 years    | 48              |
| 5   | each shift |                 |
| 6   | each shift | 1               |
""",
    ) == [(3, "interval_months", 4.0, 3.0), (6, "interval_months", 1.0, None)]


def test_load_position_disagrees_with_the_rating() -> None:
    # a trade article on sorting hooks: 7.5 t at full depth, 2 t where the tip may carry, 0.267
    assert found(
        "load-position-disagrees-with-the-rating",
        """
`use.load-position-factors`

| row | form    | position   | factor | load_t |
| --- | ------- | ---------- | ------ | ------ |
| 2   | sorting | full-depth | 1      | 7.5    |
| 3   | sorting | tip        | 0.27   | 2      |
| 4   | sorting | tip        | 0.267  | 2.1    |
| 5   | double  | equal      |        |        |

`hooks.special-ratings`

| row | form    | printed_value | ratio_to_full |
| --- | ------- | ------------- | ------------- |
| 2   | sorting | 7.5           | 1             |
| 3   | sorting | 2             | 0.267         |
""",
    ) == [(3, "factor", 0.27, 0.267), (4, "load_t", 2.1, "a rating of a hook of this form")]
