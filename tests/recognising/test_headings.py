"""What a heading says and what it fixes; each was decided by hand."""

from __future__ import annotations

import pytest

from tallyhook.recognising.headings import read_heading


@pytest.mark.parametrize(
    ("heading", "role", "unit"),
    [
        ("WLL (lbs)", "wll", "lb"),
        ("W.L.L. [t]", "wll", "t"),
        ("wll_kg", "wll", "kg"),
        ("Safe Working Load, tonnes", "wll", "t"),
        ("Rated Capacity (Metric Tons)", "wll", "t"),
        ("Working Load Limit in Tons", "wll", "ton"),  # which ton is not said
        ("SWL (T)", "wll", "ton"),
        ("TRAGFÄHIGKEIT T", "wll", "t"),  # the German heading says which
        ("Max. Tragfähigkeit kg", "wll", "kg"),
        ("Hakentragfähigkeit kN", "wll", "kN"),
        ("C.M.U. (kg)", "wll", "kg"),
        ("CMT (t)", "wll", "t"),
        ("Carga máxima de trabajo", "wll", None),
        ("Min. Breaking Load (kN)", "breaking", "kN"),
        ("Mindestbruchkraft kN", "breaking", "kN"),
        ("Charge de rupture", "breaking", None),
        ("Prüfkraft", "proof", None),
        ("Proof Test lb", "proof", "lb"),
        ("Chain Size (in.)", "size", "in"),
        ("Nenngröße mm", "size", "mm"),
        ("Ø chaîne (mm)", "size", "mm"),
        ("Güteklasse", "grade", None),
        ("Neigungswinkel", "angle", None),
        ("Nombre de brins", "legs", None),
        ("Price per WLL", "ignore", None),
        ("Weight (lbs)", "ignore", "lb"),
        ("Kettengewicht kg", "ignore", "kg"),
        ("Max Load Height", "ignore", None),
        ("Lashing capacity LC daN", "ignore", "daN"),
        ("Qty on hand", "ignore", None),
        ("Throat Opening (in)", "ignore", "in"),
        ("Part #", "part", None),
        ("Wibble", None, None),
    ],
)
def test_headings(heading: str, role: str | None, unit: str | None) -> None:
    reading = read_heading(heading)
    assert (reading.role("en"), reading.unit) == (role, unit)


@pytest.mark.parametrize(
    ("heading", "expected"),
    [
        ("Grade 80", {"grade": "80"}),
        ("G100", {"grade": "100"}),
        ("2-leg 0-45°", {"legs": "2", "angle": "0-45"}),
        ("3- und 4-strängig", {"legs": "3-4"}),
        ("Triple & Quad 60°", {"legs": "3-4", "angle": "60"}),
        ("WLL 5:1 (lb)", {"design_factor": "5"}),
        ("Choker hitch", {"hitch": "choke"}),
        ("1-1/4", {"size": "1-1/4"}),
        ("10 mm", {"size": "10 mm"}),
        ("Price 2024", {}),
    ],
)
def test_what_a_heading_fixes(heading: str, expected: dict[str, str]) -> None:
    assert read_heading(heading).gives == expected
