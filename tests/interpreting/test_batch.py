"""A list taken in batches gives the report of the same list taken whole.

The outside measure here is the whole reading itself: where a batch alone cannot decide, the list
must be read as a whole, and where it can, nothing in the report may change.
"""

from __future__ import annotations

import tempfile
from pathlib import Path
from typing import Any

import polars as pl
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import tallyhook
from seeding.lists import block
from seeding.shops import SHOPS, Shop
from tallyhook.errors import StockListError
from tallyhook.interpreting import list_items
from tallyhook.reading import batches
from tallyhook.reporting.report import Report


@pytest.fixture
def small_batches(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(batches, "LONG_FILE", 1)
    monkeypatch.setattr(batches, "LONG_TABLE", 1)
    monkeypatch.setattr(batches, "BATCH", 333)


def whole(path: Path) -> dict[str, Any]:
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(list_items, "open_batches", lambda _: None)
        return tallyhook.check(path).to_dict()


def streamed_layouts(report: Report) -> bool:
    """Whether the list was taken in batches: its rows then keep no cells."""
    return report.layouts[0].body.columns == ["row"]


@pytest.mark.usefixtures("small_batches")
@pytest.mark.parametrize("suffix", ["csv", "parquet"])
@pytest.mark.parametrize("shop", SHOPS, ids=lambda shop: shop.name)
def test_batches_give_the_report_of_the_whole(shop: Shop, suffix: str, tmp_path: Path) -> None:
    path = tmp_path / f"list.{suffix}"
    frame = block(shop, 3000)
    # part numbers that come back in another batch with another rating
    frame = pl.concat([frame, frame.head(200).with_columns(frame["Part"][1000:1200])])
    frame.write_csv(path) if suffix == "csv" else frame.write_parquet(path)
    report = tallyhook.check(path)
    assert streamed_layouts(report)
    assert report.stock_findings["rule"].is_in(["same-part-number-has-two-ratings"]).any()
    assert report.to_dict() == whole(path)


def plain_lines(count: int = 2000) -> list[str]:
    sizes = {7: 1500, 8: 2000, 10: 3150, 13: 5300}
    lines = ["Part,Description,Size (mm),Grade,WLL (kg)"]
    for n in range(count):
        size = list(sizes)[n % 4]
        lines.append(f"P{n},Lifting chain,{size},80,{sizes[size]}")
    return lines


BREAKS = {
    "a heading of a group": lambda n: "GRADE 100 CHAIN,,,,",
    "an item whose other cells are blank": lambda n: ",Lifting chain 10 mm grade 100,,,",
    "another heading": lambda n: "Item,Name,Diameter (mm),Class,Working load (t)",
    "a ditto mark": lambda n: f"P{n},ditto,10,80,3150",
    "a longer line": lambda n: f"P{n},Lifting chain,10,80,3,150",
    "a quoted cell": lambda n: f'P{n},"Lifting chain",10,80,3150',
    "a quote mark never closed": lambda n: f'P{n},"Lifting chain,10,80,3150',
    "a cell over two lines": lambda n: f'P{n},"Lifting\nchain",10,80,3150',
    "a byte that is not UTF-8": lambda n: f"P{n},Kette 10 \udcfc,10,80,3150",
    "a blank line": lambda n: "",
    "a total": lambda n: "Total,,,,3150",
    "a note": lambda n: "all ratings are for one leg.,,,,",
}


@pytest.mark.usefixtures("small_batches")
@pytest.mark.parametrize("broken", BREAKS)
@pytest.mark.parametrize("place", [900, 1998])
def test_what_a_batch_cannot_decide_changes_nothing(
    broken: str, place: int, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    # nothing but the top is looked at beforehand, so that the batches themselves meet it
    monkeypatch.setattr(batches, "_HEAD", 4096)
    monkeypatch.setattr(batches, "_PIECES", 0)
    lines = plain_lines()
    lines[place] = BREAKS[broken](place)
    path = tmp_path / "list.csv"
    path.write_text("\n".join(lines) + "\n", encoding="utf-8", errors="surrogateescape")
    assert tallyhook.check(path).to_dict() == whole(path)


@pytest.mark.usefixtures("small_batches")
def test_items_without_ratings_stay_items_in_batches(tmp_path: Path) -> None:
    kinds = ("10 mm grade 100 chain,", *["10 mm grade 80 chain,3150"] * 6)
    lines = ["Description,WLL kg", *(kinds[n % 7] for n in range(3000))]
    path = tmp_path / "list.csv"
    path.write_text("\n".join(lines) + "\n", encoding="utf-8")
    report = tallyhook.check(path)
    assert streamed_layouts(report)
    assert report.counts["rows"] == 3000
    assert report.counts["not_compared"] == len(range(0, 3000, 7))
    assert report.to_dict() == whole(path)


@pytest.mark.usefixtures("small_batches")
def test_a_supplier_may_be_a_ditto_mark(tmp_path: Path) -> None:
    # wrong ratings of one supplier share their causes: 10 mm grade 80 is 3,150 kg (EN 818-2)
    head, *lines = plain_lines(1200)
    lines = [f"{line},Invented {n % 2}" for n, line in enumerate(lines)]
    lines[900:902] = [
        "P900,Lifting chain,10,80,31500,Invented 0",
        "P901,Lifting chain,10,80,315,do.",
    ]
    path = tmp_path / "list.csv"
    path.write_text("\n".join([f"{head},Supplier", *lines]) + "\n", encoding="utf-8")
    report = tallyhook.check(path)
    assert not streamed_layouts(report)
    assert report.to_dict() == whole(path)


MALFORMED = ('"2000"0', '"2000" lb', '"2" t', '"2000" each', '"20""00', '""2000"')
"""Cells with something behind or before their quote marks."""


@pytest.mark.usefixtures("small_batches")
@pytest.mark.parametrize("cell", MALFORMED)
@pytest.mark.parametrize("column", [1, 4])
@pytest.mark.parametrize("seen", [True, False])
def test_nothing_is_lost_behind_a_quote_mark(
    cell: str, column: int, seen: bool, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    if not seen:
        monkeypatch.setattr(batches, "_HEAD", 4096)
        monkeypatch.setattr(batches, "_PIECES", 0)
    lines = [f'"P{n}",Lifting chain,8,80,2000' for n in range(1200)]
    cells = lines[1100].split(",")
    cells[column] = cell
    lines[1100] = ",".join(cells)
    path = tmp_path / "list.csv"
    path.write_text("\n".join(["Part,Description,Size (mm),Grade,WLL (kg)", *lines]) + "\n")
    assert tallyhook.check(path).to_dict() == whole(path)


@pytest.mark.usefixtures("small_batches")
def test_a_zero_byte_far_down_is_refused(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(batches, "_HEAD", 4096)
    monkeypatch.setattr(batches, "_PIECES", 0)
    path = tmp_path / "list.csv"
    path.write_text("\n".join([*plain_lines(), "P1,Lifting\0chain,10,80,3150"]) + "\n")
    with pytest.raises(StockListError, match="not a text file"):
        tallyhook.check(path)


@pytest.mark.usefixtures("small_batches")
@pytest.mark.parametrize("count", [2, 3])
def test_control_characters_are_counted_as_in_the_whole(count: int, tmp_path: Path) -> None:
    # the short list was streamed and checked, and refused as a whole
    path = tmp_path / "list.csv"
    lines = plain_lines(12)
    lines[5] = f"P5,Lifting{chr(1) * count}chain,8,80,2000"
    path.write_text("\n".join(lines) + "\n")
    if count == 2:
        assert tallyhook.check(path).to_dict() == whole(path)
        return
    for check in (tallyhook.check, whole):
        with pytest.raises(StockListError, match="not a text file"):
            check(path)


@pytest.mark.usefixtures("small_batches")
def test_a_quoted_list_is_streamed(tmp_path: Path) -> None:
    path = tmp_path / "list.csv"
    lines = [f'"P{n}",Lifting chain,8,80,2000' for n in range(1200)]
    path.write_text("\n".join(["Part,Description,Size (mm),Grade,WLL (kg)", *lines]) + "\n")
    assert streamed_layouts(tallyhook.check(path))


@pytest.mark.usefixtures("small_batches")
@pytest.mark.parametrize("place", [1200, 1330, 1331, 1332, 1333, 1900])
def test_a_late_heading_of_a_group_rates_the_rows_below_it(
    place: int, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    # the sample ends before the heading, and each kind of row below it stood above it already
    monkeypatch.setattr(batches, "_HEAD", 4096)
    monkeypatch.setattr(batches, "_PIECES", 0)
    lines = plain_lines()
    lines[3::10] = [f"P{n},Lifting chain,10,,4000" for n in range(3, 2001, 10)]
    lines.insert(place, "GRADE 80 CHAIN,,,,")
    path = tmp_path / "list.csv"
    path.write_text("\n".join(lines) + "\n", encoding="utf-8")
    # EN 818-2 prints 3.15 t for 10 mm grade 8: 4 t is too much, wherever the grade stands
    report = tallyhook.check(path)
    below = sum(",,4000" in line for line in lines[place:])
    assert report.counts["severity"].get("danger") == below
    assert report.to_dict() == whole(path)


@pytest.fixture
def batches_of_seven(small_batches: None, monkeypatch: pytest.MonkeyPatch) -> None:
    for name, value in (("BATCH", 7), ("_HEAD", 400), ("_PIECES", 0)):
        monkeypatch.setattr(batches, name, value)


# 3/8 in grade 80 is rated 7,100 lb, 1/2 in 12,000 lb (ASTM A391, as restated)
POUNDS = ("Lifting chain 3/8 grade 80,7100", "Lifting chain 1/2 grade 80,12000")


@pytest.mark.usefixtures("batches_of_seven")
def test_items_above_the_heading_are_items_in_batches(tmp_path: Path) -> None:
    # 28,400 lb is the breaking force; 8,800 lb would be right of the grade of row 2
    above = ["Q1,Lifting chain 3/8 grade 80,28400", "Q2,Lifting chain 3/8 grade 100,8800"]
    kinds = (*POUNDS, "Lifting chain 3/8,8800")
    rows = [f"P{n},{kinds[n % 3]}" for n in range(60)]
    path = tmp_path / "list.csv"
    path.write_text("\n".join([*above, "Part,Description,WLL (lb)", *rows]) + "\n")
    report = tallyhook.check(path)
    assert streamed_layouts(report)
    counts = report.counts
    assert (counts["agree"], counts["contradicted"], counts["not_compared"]) == (41, 1, 20)
    assert report.stock_findings["severity", "row"].rows() == [("danger", 1)]
    assert report.to_dict() == whole(path)


@pytest.mark.usefixtures("batches_of_seven")
@pytest.mark.parametrize(
    ("heading", "later"),
    [
        # of these a part number, and here a price, are not what an item is read from
        ("Part,Description,WLL (lb)", "Item no.,Item name,WLL (kg)"),
        ("Part,Price,Description,WLL (lb)", "Code,Unit price,Item,WLL (kg)"),
    ],
)
def test_a_later_heading_told_by_cells_that_are_not_read_is_met(
    heading: str, later: str, tmp_path: Path
) -> None:
    price = "1.50," if "Price" in heading else ""

    def rows(count: int) -> list[str]:
        return [f"P{n},{price}{POUNDS[n % 2]}" for n in range(count)]

    path = tmp_path / "list.csv"
    path.write_text("\n".join([heading, *rows(60), later, *rows(8)]) + "\n")
    report = tallyhook.check(path)
    # 7,100 kg of 3/8 in are far above its 3,200 kg
    assert report.stock_findings.filter(pl.col("severity") == "danger")["rows"].to_list() == [
        list(range(63, 71))
    ]
    assert report.to_dict() == whole(path)


@pytest.mark.usefixtures("small_batches")
def test_a_plain_list_is_streamed(tmp_path: Path) -> None:
    path = tmp_path / "list.csv"
    path.write_text("\n".join(plain_lines()) + "\n", encoding="utf-8")
    report = tallyhook.check(path)
    assert streamed_layouts(report)
    # EN 818-2 prints 3.15 t for 10 mm grade 8: every row is right
    assert report.counts["agree"] == 2000


@pytest.mark.usefixtures("small_batches")
def test_a_list_longer_than_the_report_lists_keeps_its_counts(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    lines = plain_lines(400)
    lines[7] = "P6,Lifting chain,10,80,31500"
    path = tmp_path / "list.csv"
    path.write_text("\n".join(lines) + "\n", encoding="utf-8")
    monkeypatch.setattr("tallyhook.reporting.report.LONG_LIST", 100)
    report = tallyhook.check(path)
    assert report.counts["rows"] == 400
    assert report.counts["agree"] == 399
    assert report.items["row"].tolist() == [8]


CORPUS = Path(__file__).resolve().parents[1] / "corpus"


@pytest.mark.parametrize(
    "path",
    sorted([*CORPUS.glob("*/*.csv"), *CORPUS.glob("*/*.parquet")]),
    ids=lambda p: p.parent.name,
)
def test_lists_of_the_corpus_taken_in_batches(
    path: Path, monkeypatch: pytest.MonkeyPatch, small_batches: None
) -> None:
    monkeypatch.setattr(batches, "BATCH", 5)
    assert tallyhook.check(path).to_dict() == whole(path)


ODD_ROWS = (
    "Total,Lifting chain,10,80,3150",
    "Totals,,,,9450",
    "P1,Total of the chain,10,80,3150",
    "P1 ,Lifting chain,10,80,3150",
    " P1,Lifting chain,8,80,2000",
    " ,Lifting chain,10,80,3150",
    ",Lifting chain,10,80,3150",
    "P7,Lifting chain,10,80,",
    "P7,Lifting chain,10,80,on request",
    "P8,LIFTING CHAIN,10,80,3150",
    "Part,Description,Size (mm),Grade,WLL (kg)",
    "C80,CHAIN GRADE 80,,,",
    "see the maker's sheet,,,,",
    "P9,,10,,",
    ",,,,",
    "P9,Lifting chain,10,80,9450",
    "P9,Lifting chain,10,80,3150,,",
    "P9, Lifting chain ,10 , 80,3150",
)
"""Rows that are looked at for themselves, or whose cells differ in white space alone."""


@settings(max_examples=60, deadline=None, derandomize=True)
@given(
    rows=st.lists(st.sampled_from(ODD_ROWS) | st.sampled_from(plain_lines(40)[1:]), max_size=90),
    size=st.sampled_from([7, 40]),
)
def test_any_mix_of_rows_gives_the_report_of_the_whole(rows: list[str], size: int) -> None:
    lines = [*plain_lines(60), *rows]
    with (
        pytest.MonkeyPatch.context() as patch,
        tempfile.TemporaryDirectory() as folder,
    ):
        patch.setattr(batches, "LONG_FILE", 1)
        patch.setattr(batches, "BATCH", size)
        # the batches meet what the sample has not seen
        patch.setattr(batches, "_HEAD", 1500)
        patch.setattr(batches, "_PIECES", 0)
        path = Path(folder) / "list.csv"
        path.write_text("\n".join(lines) + "\n", encoding="utf-8")
        assert tallyhook.check(path).to_dict() == whole(path)
