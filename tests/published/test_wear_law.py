"""Wear limits against 29 CFR 1926.251 table H-1 and 1910.184 table N-184-1 (edition of 2015).

Typed from the law as fractions; one table allows a wear, the other asks for a thickness, and the
two add up to the nominal size.
"""

from __future__ import annotations

from fractions import Fraction as Inch

import pytest

from tallyhook.packages.package import Package

# size [in]: largest wear, least size of the link [in]
LAW = {
    "1/4": (Inch(3, 64), Inch(13, 64)), "3/8": (Inch(5, 64), Inch(19, 64)), "1/2": (Inch(7, 64), Inch(25, 64)),
    "5/8": (Inch(9, 64), Inch(31, 64)), "3/4": (Inch(5, 32), Inch(19, 32)), "7/8": (Inch(11, 64), Inch(45, 64)),
    "1": (Inch(3, 16), Inch(13, 16)), "1-1/8": (Inch(7, 32), Inch(29, 32)), "1-1/4": (Inch(1, 4), Inch(1)),
    "1-3/8": (Inch(9, 32), 1 + Inch(3, 32)), "1-1/2": (Inch(5, 16), 1 + Inch(3, 16)),
    "1-3/4": (Inch(11, 32), 1 + Inch(13, 32)),
}  # fmt: skip


def nominal(size: str) -> Inch:
    whole, _, rest = size.rpartition("-")
    return Inch(whole or 0) + Inch(rest)


@pytest.mark.parametrize("size", LAW)
def test_wear_and_thickness_add_up_to_the_size(size: str) -> None:
    wear, thickness = LAW[size]
    assert wear + thickness == nominal(size)


@pytest.mark.parametrize(
    ("table", "source", "column", "place"),
    [
        ("link-wear", "29-cfr-1926-251", "max_wear_in", 0),
        ("link-thickness", "29-cfr-1910-184", "min_thickness_in", 1),
    ],
)
def test_the_package_has_the_law_s_table(
    packages: dict[str, Package], table: str, source: str, column: str, place: int
) -> None:
    rows = packages["chain"][table].filter(source=source)
    stored = dict(rows.select("size_in", column).iter_rows())
    assert stored == pytest.approx({size: float(row[place]) for size, row in LAW.items()})


def test_tables_g_2_and_c_2_print_nine_thirty_seconds_beside_a_quarter(
    packages: dict[str, Package],
) -> None:
    # 29 CFR 1915.118, table G-2, and 1917.42, table C-2: "1/4 (9/32)"; table H-1 prints "1/4"
    wear = packages["chain"]["link-wear"].filter(size_in="1/4")
    printed = dict(wear.select("source", "size_printed").iter_rows())
    assert printed["29-cfr-1915"] == printed["29-cfr-1917"] == "1/4 (9/32)"
    assert printed["29-cfr-1926-251"] == "1/4"
