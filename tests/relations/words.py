"""What invented shops write: headings, words of things, forms of numbers, sizes and grades.

Typed from lists as people make them, by hand; nothing here is taken from the vocabulary that
tallyhook reads with.
"""

from __future__ import annotations

__all__ = [
    "BLANKS",
    "GRADES_EUROPEAN",
    "GRADES_US",
    "HEADINGS",
    "HEADING_FORMS",
    "NUMBERS",
    "SECTIONS",
    "SIZES_INCH",
    "SIZES_MM",
    "TEMPTING",
    "UNITS",
    "UNREADABLE",
    "UNRELATED",
    "WORDS",
]

HEADINGS: dict[str, dict[str, tuple[str, ...]]] = {
    "en": {
        "part": ("Part", "Part No.", "Item no", "SKU", "Stock code", "Catalog No."),
        "description": ("Description", "Item description", "Product", "Desc."),
        "size": ("Size", "Chain size", "Chain dia.", "Nominal size", "For chain"),
        "grade": ("Grade", "Chain grade", "Gr.", "Grade of chain"),
        "wll": (
            "WLL",
            "W.L.L.",
            "Working Load Limit",
            "Rated load",
            "Rated capacity",
            "Safe working load",
            "SWL",
            "Max. working load",
        ),
        "breaking": ("Breaking force", "Min. breaking load", "MBF", "Breaking strength"),
        "unit": ("WLL unit", "Load unit"),
        "legs": ("Legs", "No. of legs", "Number of legs"),
    },
    "de": {
        "part": ("Artikelnummer", "Art.-Nr.", "Bestell-Nr."),
        "description": ("Bezeichnung", "Beschreibung", "Artikelbezeichnung"),
        "size": ("Nenndicke", "Kettendurchmesser", "Nenngröße"),
        "grade": ("Güteklasse", "Güte", "GK"),
        "wll": ("Tragfähigkeit", "Tragf.", "Traglast", "zul. Tragfähigkeit"),
        "breaking": ("Bruchkraft", "Mindestbruchkraft", "Bruchlast"),
        "unit": ("Einheit",),
        "legs": ("Strangzahl", "Stränge"),
    },
    "fr": {
        "part": ("Référence", "Réf.", "Code article"),
        "description": ("Désignation", "Libellé", "Désignation article"),
        "size": ("Diamètre", "Diamètre chaîne", "Ø chaîne"),
        "grade": ("Classe", "Grade", "Classe de qualité"),
        "wll": ("CMU", "C.M.U.", "Charge maximale d'utilisation", "Charge utile"),
        "breaking": ("Charge de rupture", "Force de rupture", "Charge de rupture minimale"),
        "unit": ("Unité",),
        "legs": ("Nb de brins", "Brins"),
    },
    "es": {
        "part": ("Código", "Referencia", "Cód. artículo"),
        "description": ("Descripción", "Denominación", "Producto"),
        "size": ("Diámetro", "Diámetro de cadena", "Medida cadena"),
        "grade": ("Grado", "Clase", "Grado de cadena"),
        "wll": ("CMT", "Carga máxima de trabajo", "Carga máxima", "Carga de trabajo"),
        "breaking": ("Carga de rotura", "Carga mínima de rotura"),
        "unit": ("Unidad",),
        "legs": ("Ramales", "N.º de ramales"),
    },
}

HEADING_FORMS = ("{name} ({unit})", "{name} {unit}", "{name} [{unit}]", "{name}, {unit}")

UNITS = {
    "lb": ("lb", "lbs", "LB", "LBS", "lb."),
    "kg": ("kg", "KG", "kgs", "Kg"),
    "t": ("t", "tonnes"),
}

NUMBERS: dict[str, tuple[str, str]] = {
    "plain": ("", "."),
    "comma thousands": (",", "."),
    "dot thousands": (".", ","),
    "blank thousands": (" ", "."),
    "blank thousands, decimal comma": (" ", ","),
    "narrow no-break blank": ("\u202f", ","),
    "apostrophe": ("'", "."),
    "decimal comma": ("", ","),
}
"""Thousands separator and decimal mark."""

SIZES_INCH = ("{f}", '{f}"', "{f} in", "{f} in.", "{f} inch", "{f}in", "{f}''")
SIZES_MM = ("{n} mm", "{n}mm", "{n} MM", "{c} mm", "Ø {n} mm", "{n}.0 mm")
GRADES_US = ("{g}", "G{g}", "Gr {g}", "Gr. {g}", "Grade {g}", "GR{g}", "G-{g}", "grade {g}")
GRADES_EUROPEAN = (
    "{g}",
    "{e}",
    "GK{e}",
    "GK {e}",
    "Grade {e}",
    "Grade {g}",
    "Gr. {e}",
    "G{g}",
    "Güteklasse {e}",
    "Classe {e}",
)

WORDS: dict[str, dict[str, tuple[str, ...]]] = {
    "en": {
        "chain": ("Lifting chain", "Chain", "Chain, short link"),
        "hook": ("Eye hook with latch", "Clevis hook with latch", "Eye self-locking hook"),
        "cradle": ("Clevis grab hook with cradle", "Eye grab hook with cradle"),
        "no cradle": ("Clevis grab hook without cradle", "Eye grab hook without cradle"),
        "sling": ("{legs}-leg chain sling",),
        "angle": (", to {angle} deg to the vertical",),
    },
    "de": {
        "chain": ("Kette zum Heben", "Kette", "Kette, kurzgliedrig"),
        "hook": (
            "Ösenhaken mit Sicherung",
            "Gabelhaken mit Sicherung",
            "Selbstverriegelnder Ösenhaken",
        ),
        "cradle": ("Gabelverkürzungshaken mit Auflage", "Ösenverkürzungshaken mit Auflage"),
        "no cradle": ("Gabelverkürzungshaken ohne Auflage", "Ösenverkürzungshaken ohne Auflage"),
        "sling": ("Kettengehänge {legs}-strängig",),
        "angle": (", bis {angle}° zur Vertikalen",),
    },
    "fr": {
        "chain": ("Chaîne de levage", "Chaîne", "Chaîne, maillons courts"),
        "hook": (
            "Crochet à œil avec linguet",
            "Crochet à chape avec linguet",
            "Crochet à œil à verrouillage automatique",
        ),
        "cradle": (
            "Crochet raccourcisseur à chape avec berceau",
            "Crochet raccourcisseur à œil avec berceau",
        ),
        "no cradle": (
            "Crochet raccourcisseur à chape sans berceau",
            "Crochet raccourcisseur à œil sans berceau",
        ),
        "sling": ("Élingue chaîne {legs} brins",),
        "angle": (", jusqu'à {angle}° par rapport à la verticale",),
    },
    "es": {
        "chain": ("Cadena de elevación", "Cadena", "Cadena de eslabones cortos"),
        "hook": (
            "Gancho de ojo con pestillo",
            "Gancho de horquilla con pestillo",
            "Gancho de ojo autobloqueante",
        ),
        "cradle": (
            "Gancho acortador de horquilla con cuna",
            "Gancho acortador de ojo con cuna",
        ),
        "no cradle": (
            "Gancho acortador de horquilla sin cuna",
            "Gancho acortador de ojo sin cuna",
        ),
        "sling": ("Eslinga de cadena de {legs} ramales",),
        "angle": (", hasta {angle}° respecto a la vertical",),
    },
}
"""What a thing is called; the words of one place say the same in every language."""

SECTIONS = {
    "en": ("GRADE {g} FITTINGS", "Grade {g}", "Grade {g} chain and fittings"),
    "de": ("Güteklasse {g}",),
    "fr": ("Classe {g}",),
    "es": ("Grado {g}",),
}

UNREADABLE: dict[str, tuple[str, ...]] = {
    "wll": ("see tag", "#REF!", "181O00", "~7100", "2x3550", "on request", "7100?"),
    "size": ("#N/A", "1/2?", "see drawing", "5-Aug"),
    "grade": ("1OO", "70?", "80 or 70", "C70", "#REF!"),
    "breaking": ("#VALUE!", "1O2", "see cert"),
}
BLANKS = ("", "-", "n/a", "tbd")

UNRELATED: tuple[tuple[str, tuple[str, ...]], ...] = (
    ("Price", ("12.50", "7.25", "140.00", "33.10")),
    ("Qty on hand", ("4", "12", "0", "250")),
    ("Bin", ("A-01", "B-17", "C-03")),
    ("Supplier", ("Fenwick Forge", "Tarn Chainworks", "Orrin Tool")),
    ("Weight each (lb)", ("1.4", "2.75", "11", "0.9")),
    ("Lead time (days)", ("10", "14", "45")),
    ("Country", ("Country A", "Country B")),
    ("Last counted", ("2026-03-01", "2025-11-17", "2026-01-09")),
    ("Length (ft)", ("10", "20", "100")),
    ("Package quantity", ("1", "5", "10")),
    ("Warehouse", ("North", "South")),
)
"""Headings and cells of columns that say nothing of a rating."""

TEMPTING: tuple[tuple[str, tuple[str, ...]], ...] = (
    ("Stock unit", ("EA", "FT", "M")),
    ("Unit of sale", ("EA", "PK", "DRUM")),
    ("Paint grade", ("2", "3", "1")),
    ("Quality class", ("A", "B", "A")),
    ("Crane capacity (t)", ("5", "10", "20")),
    ("Shelf load limit (kg)", ("500", "800", "250")),
    ("Previous WLL (lb)", ("4100", "6600", "9200")),
)
"""The same, and their headings have a word of a column that does."""
