"""Write the lists of the corpus that are not text: workbooks and Parquet.

The shop, its part numbers and its prices are invented; the ratings are public ones. The old .xls
format needs the package xlwt, which is not a dependency of the project.
"""

from __future__ import annotations

import zipfile
from pathlib import Path
from xml.sax.saxutils import escape

import openpyxl
import polars as pl

HERE = Path(__file__).parent
SHOP = "Harrow & Pike Rigging (invented shop)"


def spanish_workbook() -> None:
    book = openpyxl.Workbook()
    sheet = book.active
    sheet.title = "Lista"
    sheet.append([SHOP])
    sheet.merge_cells("A1:G1")
    sheet.append([])
    sheet.append(
        [
            "Código",
            "Descripción",
            "Medida cadena (mm)",
            "Grado",
            "Carga máxima de trabajo (kg)",
            "Carga de rotura (kN)",
            "Precio",
        ]
    )
    rows = [
        ("E-206", "Gancho de horquilla con pestillo", 6, 80, 1120, None, 11.2),
        ("E-208", "Gancho de horquilla con pestillo", 8, 80, 2000, None, 13.9),
        ("E-210", "Gancho de horquilla con pestillo", 10, 80, 3150, None, 20.4),
        ("E-310", "Gancho acortador de ojo", 10, 80, 3150, None, 23.1),
        ("E-408", "Gancho fundición de ojo", 8, 80, 2000, None, 27.5),
        ("E-510", "Cadena de elevación", 10, 80, 3150, 126, 8.7),
        ("E-513", "Cadena de elevación", 13, 80, 5300, 212, 14.1),
        ("E-610", "Cadena de elevación", 10, 100, 4000, 157, 11.9),
    ]
    for row in rows:
        sheet.append(row)
    sheet.append(["Total general", None, None, None, None, None, 130.8])
    book.save(HERE / "spanish-workbook" / "list.xlsx")


def sections_workbook() -> None:
    book = openpyxl.Workbook()
    first = book.active
    first.title = "Fittings"
    first.append([SHOP])
    first.append(["Item", "Size", "WLL", "Price"])
    first.append([None, "in", "lb", "USD"])
    blocks = {
        "GRADE 70 FITTINGS": [
            ("Clevis grab hook", "5/16", 4700, 7.25),
            ("Clevis grab hook", "3/8", 6600, 9.4),
        ],
        "GRADE 80 FITTINGS": [
            ("Clevis grab hook", "3/8", 7100, 16.8),
            ("Eye sling hook with latch", "3/8", 7100, 19.9),
            ("Eye sling hook with latch", "1/2", 12000, 31.5),
        ],
        "GRADE 100 FITTINGS": [
            ("Eye self-locking hook", "3/8", 8800, 61),
            ("Eye self-locking hook", "1/2", 15000, 92),
        ],
    }
    for title, rows in blocks.items():
        first.append([title])
        first.merge_cells(
            start_row=first.max_row, end_row=first.max_row, start_column=1, end_column=4
        )
        for row in rows:
            first.append(row)
    second = book.create_sheet("Chain grade 80")
    second.append(["Nominal size", "Working load limit", None, "Price per ft"])
    second.append(["in", "lb", "kg", None])
    for row in [
        ("9/32", 3500, 1570, 3.1),
        ("3/8", 7100, 3200, 4.9),
        ("1/2", 12000, 5400, 8.2),
        ("5/8", 18100, 8200, 12.6),
    ]:
        second.append(row)
    third = book.create_sheet("Contacts")
    third.append(["Name", "Telephone"])
    third.append(["Front counter", "extension 12"])
    book.save(HERE / "sections-workbook" / "list.xlsx")


def sling_chart_european() -> None:
    book = openpyxl.Workbook()
    sheet = book.active
    sheet.title = "Tragfähigkeiten"
    sheet.append(["Anschlagketten Güteklasse 8, Tragfähigkeit in t (erfundener Betrieb)"])
    sheet.merge_cells("A1:F1")
    sheet.append(["Nenndicke mm", "1-strängig", "2-strängig", None, "3- und 4-strängig", None])
    sheet.merge_cells("C2:D2")
    sheet.merge_cells("E2:F2")
    sheet.append([None, "0°", "0-45°", "45-60°", "0-45°", "45-60°"])
    sheet.merge_cells("A2:A3")
    for row in [
        (6, 1.12, 1.6, 1.12, 2.36, 1.7),
        (8, 2, 2.8, 2, 4.25, 3),
        (10, 3.15, 4.25, 3.15, 6.7, 4.75),
        (13, 5.3, 7.5, 5.3, 11.2, 8),
        (16, 8, 11.2, 8, 17, 11.8),
    ]:
        sheet.append(row)
    sheet.append(["Hinweis: bei ungleicher Belastung Tragfähigkeit mindern."])
    book.save(HERE / "sling-chart-european" / "list.xlsx")


def two_units() -> None:
    book = openpyxl.Workbook()
    sheet = book.active
    sheet.title = "Hooks"
    sheet.append(
        [
            "Ref",
            "Description",
            "Chain size",
            None,
            "Grade",
            "Working Load Limit",
            None,
            "Proof load",
            "Weight",
        ]
    )
    sheet.append([None, None, "in", "mm", None, "lb", "kg", "kN", "lb"])
    sheet.merge_cells("C1:D1")
    sheet.merge_cells("F1:G1")
    for row in [
        ("A-1", "Clevis grab hook", "5/16", 8, 80, 4500, 2000, 40, 0.9),
        ("A-2", "Clevis grab hook", "3/8", 10, 80, 7100, 3200, 63.2, 1.4),
        ("A-3", "Clevis grab hook", "1/2", 13, 80, 12000, 5400, 106.8, 3.0),
        ("B-1", "Eye foundry hook", "3/8", 10, 100, 8800, 4000, 78.3, 2.9),
        ("B-2", "Eye foundry hook", "1/2", 13, 100, 15000, 6800, 133.4, 5.8),
    ]:
        sheet.append(row)
    book.save(HERE / "two-units" / "list.xlsx")


def hidden_rows() -> None:
    book = openpyxl.Workbook()
    sheet = book.active
    sheet.title = "Stock"
    sheet.append(["Part No", "Description", "Size", "Grade", "SWL (tonnes)", "Qty"])
    rows = [
        ("S1", "Clevis hook c/w latch", "7/8 mm", "8", 2, 12),
        ("S2", "Clevis hook c/w latch", "10 mm", "8", 3.15, 30),
        ("S2-old", "Clevis hook c/w latch", "10 mm", "8", 31.5, 0),
        ("S3", "Clevis hook c/w latch", "13 mm", "8", 5.3, 8),
        ("S3-old", "Clevis hook c/w latch", "13 mm", "8", 53, 0),
        ("S4", "Eye self-locking hook", "10 mm", "10", 4, 6),
        ("S5", "Eye self-locking hook", "16 mm", "10", 10, 3),
    ]
    for row in rows:
        sheet.append(row)
    for hidden in (4, 6):
        sheet.row_dimensions[hidden].hidden = True
    secret = book.create_sheet("Old prices")
    secret.append(["Part No", "WLL (t)"])
    secret.append(["S9", 99])
    secret.sheet_state = "hidden"
    book.save(HERE / "hidden-rows" / "list.xlsx")


def parquet_table() -> None:
    pl.DataFrame(
        {
            "item_code": ["K1", "K2", "K3", "K4"],
            "item_description": [
                "Alloy chain",
                "Alloy chain",
                "Foundry hook, clevis",
                "Grab hook, eye",
            ],
            "nominal_size_mm": [8, 10, 13, 10],
            "grade": [80, 100, 80, 80],
            "wll_kg": [2000.0, 4000.0, 5300.0, 3150.0],
            "mbl_kn": [80.4, 157.0, 212.0, None],
            "unit_cost": [6.1, 11.4, 71.0, 19.8],
        }
    ).write_parquet(HERE / "parquet-table" / "list.parquet")


def old_workbook() -> None:
    import xlwt

    book = xlwt.Workbook()
    sheet = book.add_sheet("Liste")
    heading = ["Bezeichnung", "Größe", "Gkl", "Tragf. kg", "Lief."]
    rows = [
        ["Ösenhaken mit Sicherung", "6 mm", "GK8", 1120, "HP"],
        ["Ösenhaken mit Sicherung", "8 mm", "GK8", 2000, "HP"],
        ["Gabelkopfhaken, selbstverriegelnd", "10 mm", "GK10", 4000, "HP"],
        ["Gabelkopfhaken, selbstverriegelnd", "13 mm", "GK10", 6700, "HP"],
        ["Rundstahlkette", "13 mm", "GK8", 5300, "HP"],
    ]
    sheet.write(0, 0, SHOP)
    for r, row in enumerate([heading, *rows]):
        for c, value in enumerate(row):
            sheet.write(r + 2, c, value)
    book.save(str(HERE / "old-workbook" / "list.xls"))


def notes_and_subtotals() -> None:
    rows: list[list[object]] = [
        [SHOP],
        ["Stock valuation, spring"],
        [],
        ["Code", "Item", "For chain", "Gr.", "Rated load", "Unit", "Qty", "Value"],
        ["Hooks"],
        ["N-01", "Clevis grab hook", "3/8 in", "G70", 6600, "lb", 310, 2914],
        ["N-02", "Clevis grab hook", "1/2 in", "G70", 11300, "lb", 40, 632],
        ["N-03", "Eye sling hook, with latch", "10 mm", "G80", 3.15, "t", 75, 1492.5],
        [None, "Subtotal hooks", None, None, None, None, 425, 5038.5],
        [],
        ["Chain"],
        ["N-11", "High test chain", "3/8 in", "G43", 5400, "lb", 650, 1690],
        ["N-12", "Alloy chain", "13 mm", "G80", 5.3, "t", 260, 3692],
        [None, "Subtotal chain", None, None, None, None, 910, 5382],
        ["Code", "Item", "For chain", "Gr.", "Rated load", "Unit", "Qty", "Value"],
        ["N-13", "Alloy chain", "16 mm", "G100", 10, "t", 90, 2511],
        ["Grand total", None, None, None, None, None, 1425, 12931.5],
        ["Note: values at cost; ratings are for a single leg in a straight line."],
        ["Counted by the night shift"],
    ]
    cells = []
    for row in rows:
        line = "".join(_ods_cell(value) for value in row)
        cells.append(f"<table:table-row>{line or '<table:table-cell/>'}</table:table-row>")
    content = (
        '<?xml version="1.0" encoding="UTF-8"?>'
        '<office:document-content xmlns:office="urn:oasis:names:tc:opendocument:xmlns:office:1.0" '
        'xmlns:table="urn:oasis:names:tc:opendocument:xmlns:table:1.0" '
        'xmlns:text="urn:oasis:names:tc:opendocument:xmlns:text:1.0" office:version="1.2">'
        '<office:body><office:spreadsheet><table:table table:name="Count">'
        f"{''.join(cells)}</table:table></office:spreadsheet></office:body></office:document-content>"
    )
    manifest = (
        '<?xml version="1.0" encoding="UTF-8"?>'
        '<manifest:manifest xmlns:manifest="urn:oasis:names:tc:opendocument:xmlns:manifest:1.0">'
        '<manifest:file-entry manifest:full-path="/" '
        'manifest:media-type="application/vnd.oasis.opendocument.spreadsheet"/>'
        '<manifest:file-entry manifest:full-path="content.xml" manifest:media-type="text/xml"/>'
        "</manifest:manifest>"
    )
    with zipfile.ZipFile(HERE / "notes-and-subtotals" / "list.ods", "w") as archive:
        archive.writestr("mimetype", "application/vnd.oasis.opendocument.spreadsheet")
        archive.writestr("content.xml", content)
        archive.writestr("META-INF/manifest.xml", manifest)


def _ods_cell(value: object) -> str:
    if value is None:
        return "<table:table-cell/>"
    if isinstance(value, (int, float)):
        return (
            f'<table:table-cell office:value-type="float" office:value="{value}">'
            f"<text:p>{value}</text:p></table:table-cell>"
        )
    text = escape(str(value))
    return (
        f'<table:table-cell office:value-type="string"><text:p>{text}</text:p></table:table-cell>'
    )


if __name__ == "__main__":
    for write in (
        spanish_workbook,
        sections_workbook,
        sling_chart_european,
        two_units,
        hidden_rows,
        parquet_table,
        old_workbook,
        notes_and_subtotals,
    ):
        write()
