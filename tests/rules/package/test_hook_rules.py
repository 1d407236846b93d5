"""Rules on hooks and grab hooks: a bad case, a sound one, and one just inside the tolerance."""

from __future__ import annotations

from package_tables import found

CHAIN = """
`chain.ratings`

| row | scheme   | grade | size_mm | wll_kg | wll_lb |
| --- | -------- | ----- | ------- | ------ | ------ |
| 2   | us-chain | 80    | 10      | 3200   | 7100   |
| 3   | european | 80    | 10      | 3150   |        |
| 4   | european | 100   | 13      | 6700   |        |
"""


def test_hook_rated_unlike_its_chain() -> None:
    assert found(
        "hook-rated-unlike-its-chain",
        """
`hooks.chain-hooks`

| row | scheme   | grade | size_mm | wll_kg | wll_lb |
| --- | -------- | ----- | ------- | ------ | ------ |
| 2   | us-chain | 80    | 10      | 3200   | 7100   |
| 3   | european | 80    | 10      | 3150   |        |
| 4   | european | 80    | 10      | 3200   |        |
| 5   | us-chain | 80    | 12      |        | 7100   |
"""
        + CHAIN,
    ) == [(4, "wll_kg", 3200.0, 3150.0), (5, "wll_lb", 7100.0, None)]


def test_component_force_is_not_the_multiple_of_wll() -> None:
    # EN 1677-1: 2.5, 4 and 1.5 x 2 t x 9.80665 = 49.03, 78.45 and 29.42 kN; 20,000 cycles
    assert found(
        "component-force-is-not-the-multiple-of-wll",
        """
| row | grade | wll_kg | proof_force_kn | breaking_force_kn | fatigue_upper_force_kn | fatigue_cycles |
| --- | ----- | ------ | -------------- | ----------------- | ---------------------- | -------------- |
| 2   | 80    | 2000   | 49.03          | 78.45             | 29.42                  | 20000          |
| 3   | 80    | 2000   | 49.04          | 78.45             | 29.42                  | 20000          |
| 4   | 80    | 2000   | 49.03          | 78.45             | 29.42                  | 2000           |
| 5   | 80    | 2100   | 51.48          | 82.38             | 30.89                  | 20000          |
""",
    ) == [
        (3, "proof_force_kn", 49.04, 49.03),
        (4, "fatigue_cycles", 2000, 20000),
        (5, "wll_kg", 2100, 2000.0),
    ]


def test_grab_hook_rating_is_not_the_chain_less_its_deduction() -> None:
    # single page of a chain engineer: 20 % without a cradle; 0.8 x 3150 = 2520
    assert found(
        "grab-hook-rating-is-not-the-chain-less-its-deduction",
        """
`grab-hooks.ratings`

| row | scheme   | grade | size_mm | deduction    | wll_kg | wll_lb |
| --- | -------- | ----- | ------- | ------------ | ------ | ------ |
| 2   | european | 80    | 10      | no-cradle-20 | 2520   |        |
| 3   | european | 80    | 10      | no-cradle-20 | 3150   |        |
| 4   | european | 80    | 10      | cradle-0     | 3150   |        |
| 5   | us-chain | 80    | 10      | no-cradle-20 | 2560   | 5680   |
| 6   | us-chain | 80    | 10      | no-cradle-20 | 2560   | 5681   |
| 7   | us-chain | 80    | 10      | unheard-of   | 2560   |        |
"""
        + CHAIN
        + """
`grab-hooks.deductions`

| row | deduction    | deduction_percent |
| --- | ------------ | ----------------- |
| 2   | cradle-0     | 0                 |
| 3   | no-cradle-20 | 20                |
""",
    ) == [
        (3, "wll_kg", 3150.0, 2520.0),
        (6, "wll_lb", 5681.0, 5680.0),
        (7, "wll_kg", 2560.0, None),
    ]


def test_deduction_and_shortening_factor_disagree() -> None:
    # AS 3775.2: 25 % without full support of the link, none with it
    assert found(
        "deduction-and-shortening-factor-disagree",
        """
`grab-hooks.deductions`

| row | deduction | deduction_percent | source  |
| --- | --------- | ----------------- | ------- |
| 2   | cradle    | 0                 | as-3775 |
| 3   | none      | 25                | as-3775 |
| 4   | other     | 25                | article |

`use.shortening-factors`

| row | device | factor | source   |
| --- | ------ | ------ | -------- |
| 2   | full   | 1      | as-3775  |
| 3   | half   | 0.75   | as-3775  |
| 4   | grab   | 0.8    | article  |
| 5   | grab   | 0.75   | recalled |
""",
    ) == [
        (4, "deduction_percent", 25, "what a shortening factor of its source leaves"),
        (4, "factor", 0.8, "what a deduction of its source leaves"),
    ]


def test_crane_hook_limit_does_not_follow_from_the_nominal() -> None:
    # DIN 15405-1: seat height 0.95, throat 1.1; 63.65 is printed 63.7; No 1.6 prints 49.6 for 49.5
    assert found(
        "crane-hook-limit-does-not-follow-from-the-nominal",
        """
`hooks.crane-hook-limits`

| row | source      | hook_type | hook_number | dimension      | nominal_mm | limit_mm | limit_factor | limit_deg |
| --- | ----------- | --------- | ----------- | -------------- | ---------- | -------- | ------------ | --------- |
| 2   | din-15401   | single    | 4           | seat-height    | 67         | 63.7     | 0.95         |           |
| 3   | din-15401   | single    | 8           | seat-height    | 95         | 90.3     | 0.95         |           |
| 4   | din-15401   | single    | 1.6         | throat-opening | 45         | 49.6     | 1.1          |           |
| 5   | din-15401   | single    | 1           | throat-opening | 40         | 46       | 1.15         |           |
| 6   | din-15401   | single    | 05          | throat-opening | 34         | 37.4     | 1.1          |           |
| 7   | din-15405-1 | any       | any         | seat-height    |            |          | 0.95         |           |
| 8   | gb-t-10051  | any       | any         | throat-opening |            |          | 1.1          |           |
| 9   | gb-t-10051  | any       | any         | wear           |            |          | 0.1          |           |
| 10  | gb-t-10051  | any       | any         | twist          |            |          |              | 11        |
| 11  | din-15401   | single    | 6           | seat-height    | 85.05      | 80.8     | 0.95         |           |

`inspection.limits`

| row | source      | item       | criterion      | value_percent | value_deg |
| --- | ----------- | ---------- | -------------- | ------------- | --------- |
| 2   | din-15405-1 | crane-hook | seat-height    | 5             |           |
| 3   | gb-t-10051  | crane-hook | throat-opening | 15            |           |
| 4   | gb-t-10051  | crane-hook | wear           | 10            |           |
| 5   | gb-t-10051  | crane-hook | twist          |               | 10        |
""",
    ) == [
        (10, "limit_deg", 11.0, 10.0),
        (11, "nominal_mm", 85.05, 85.0),
        (4, "limit_mm", 49.6, 49.5),
        (5, "limit_factor", 1.15, 1.1),
        (8, "limit_factor", 1.1, 1.15),
    ]


def test_ramshorn_proof_load_out_of_line() -> None:
    # BS 3017 type table: 50 t hook, 85 t proof; ships' gear form 1.22 x 50 + 20 = 81, 4.9 % below
    assert found(
        "ramshorn-proof-load-out-of-line",
        """
| row | wll_kg | proof_load_kg | proof_to_wll | max_permanent_set_percent |
| --- | ------ | ------------- | ------------ | ------------------------- |
| 2   | 50000  | 85000         | 1.7          | 0.25                      |
| 3   | 63000  | 100000        | 1.587        | 0.25                      |
| 4   | 63000  | 100000        | 1.59         | 0.25                      |
| 5   | 50000  | 86000         | 1.72         | 0.25                      |
| 6   | 200000 | 266000        | 1.33         | 0.5                       |
""",
    ) == [
        (4, "proof_to_wll", 1.59, 1.587),
        (5, "proof_load_kg", 86000, 81000.0),
        (6, "max_permanent_set_percent", 0.5, 0.25),
    ]


def test_proof_load_contradicts_its_own_row() -> None:
    # 29 CFR 1919.31: 100 % excess up to 20 tons, 20 tons up to 40, 50 % above; 1918.61 in short tons
    assert found(
        "proof-load-contradicts-its-own-row",
        """
| row | source | article | swl_range          | swl_from_kg | swl_to_kg  | proof_to_wll | proof_excess_kg | proof_excess_printed | proof_excess_unit |
| --- | ------ | ------- | ------------------ | ----------- | ---------- | ------------ | --------------- | -------------------- | ----------------- |
| 2   | law    | block   | 0 to 20 ton        |             |            | 2            |                 | 100                  | percent of SWL    |
| 3   | law    | block   | 20 to 40 ton       |             |            |              |                 | 20                   | ton               |
| 4   | law    | block   | above 40 ton       |             |            | 1.5          |                 | 50                   | percent of SWL    |
| 5   | law    | gear    | 0 to 20 short ton  | 0           | 18143.6948 | 1.2          |                 | 25                   | percent of SWL    |
| 6   | law    | gear    | 20 to 50 short ton | 20000       | 45359.237  |              | 4535.9237       | 5                    | short ton         |
| 7   | law    | gear    | above 50 short ton | 45359.237   |            | 1.2          |                 | 20                   | percent of SWL    |
| 8   | list   | hook    | 0.75 to 15 t       | 750         | 15000      | 2            |                 |                      |                   |
""",
    ) == [
        (5, "proof_to_wll", 1.2, 1.25),
        (6, "swl_from_kg", 20000.0, 18143.6948),
        (7, "proof_excess_printed", 20.0, "the step below ends with a proof load of 55"),
    ]


def test_special_rating_contradicts_its_own_row() -> None:
    # a short ton is 2,000 lb; European 13 mm grade 10 is 6.7 t (trade practice)
    assert found(
        "special-rating-contradicts-its-own-row",
        """
`hooks.special-ratings`

| row | hook    | condition | form    | grade | size_mm | printed_value | printed_unit | wll_kg | wll_lb | ratio_to_full |
| --- | ------- | --------- | ------- | ----- | ------- | ------------- | ------------ | ------ | ------ | ------------- |
| 2   | clevis  | 13 mm     |         | 100   | 13      | 6.7           | t            | 6700   |        | 1             |
| 3   | clevis  | 13 mm     |         | 100   | 13      | 6.8           | t            | 6800   |        | 1             |
| 4   | clevis  | 14 mm     |         | 100   | 14      | 6.7           | t            | 6700   |        | 1             |
| 5   | pipe    | size 2    |         |       |         | 4             | short ton    |        | 8000   |               |
| 6   | pipe    | size 2    |         |       |         | 4             | short ton    |        | 8818   |               |
| 7   | sorting | full      | sorting |       |         | 7.5           | ton          |        |        | 1             |
| 8   | sorting | tip       | sorting |       |         | 2             | ton          |        |        | 0.267         |
| 9   | sorting | tip       | sorting |       |         | 2             | ton          |        |        | 0.25          |
"""
        + CHAIN,
    ) == [
        (3, "wll_kg", 6800.0, 6700.0),
        (4, "size_mm", 14.0, "a size of chain of that grade"),
        (6, "wll_lb", 8818.0, 8000.0),
        (9, "ratio_to_full", 0.25, 0.2667),
    ]


def test_hoist_hook_design_factor_disagrees() -> None:
    # hoist hook family, common practice: alloy eye hooks 5, from 30 t 4.5
    assert found(
        "hoist-hook-design-factor-disagrees",
        """
`hooks.hoist-hooks`

| row | material | wll_kg | design_factor_eye | design_factor_shank_swivel |
| --- | -------- | ------ | ----------------- | -------------------------- |
| 2   | alloy    | 22000  | 5                 | 4.5                        |
| 3   | alloy    | 30000  | 4.5               | 4.5                        |
| 4   | carbon   | 30000  | 4.5               | 4.5                        |
| 5   | carbon   | 30000  | 5                 | 4                          |

`hooks.design-factors`

| row | item                            | design_factor |
| --- | ------------------------------- | ------------- |
| 2   | hoist-hook-carbon-eye           | 5             |
| 3   | hoist-hook-alloy-eye-below-30-t | 5             |
| 4   | hoist-hook-alloy-eye-from-30-t  | 4.5           |
| 5   | hoist-hook-shank-and-swivel     | 4.5           |
""",
    ) == [(4, "design_factor_eye", 4.5, 5.0), (5, "design_factor_shank_swivel", 4.0, 4.5)]


def test_crane_hook_capacity_is_out_of_its_series() -> None:
    # DIN 15400, table 3: number 6 in class P and group 2m 10 t, in 3m 8 t
    assert found(
        "crane-hook-capacity-is-out-of-its-series",
        """
`hooks.crane-hooks`

| row | source    | hook_type     | hook_number | strength_class | duty_group | wll_kg |
| --- | --------- | ------------- | ----------- | -------------- | ---------- | ------ |
| 2   | din-15400 | forged        | 025         | P              | 2m         | 400    |
| 3   | din-15400 | forged        | 1.6         | P              | 2m         | 2500   |
| 4   | din-15400 | forged        | 4           | P              | 2m         | 6300   |
| 5   | din-15400 | forged        | 6           | P              | 2m         | 8000   |
| 6   | din-15400 | forged        | 16          | P              | 2m         | 25000  |
| 7   | din-15400 | forged        | 25          | P              | 2m         | 4000   |
| 8   | din-15400 | forged        | 32          | P              | 2m         | 52500  |
| 9   | din-15400 | forged        | 10          | P              | 2m         | 16000  |
""",
    ) == [
        (5, "wll_kg", 8000.0, 9412.5),
        (7, "wll_kg", 4000.0, 25000.0),
        (8, "wll_kg", 52500.0, "a number of the series R10"),
    ]


def test_ladle_hook_is_not_half_of_its_crane() -> None:
    # DIN 15407-1, table 1: hook 320 t, crane 630 t; hook 25 t, crane 50 t
    assert found(
        "ladle-hook-is-not-half-of-its-crane",
        """
`hooks.ladle-hooks`

| row | wll_kg | crane_capacity_kg |
| --- | ------ | ----------------- |
| 2   | 320000 | 630000            |
| 3   | 25000  | 50000             |
| 4   | 50000  | 25000             |
| 5   | 25000  | 52500             |
""",
    ) == [(4, "crane_capacity_kg", 25000.0, 100000.0), (5, "crane_capacity_kg", 52500.0, 50000.0)]
