"""Hostile inputs, each made from its seed alone: the same seed gives the same bytes."""

from __future__ import annotations

import csv
import functools
import io
import json
import random
import zipfile
from collections.abc import Callable
from pathlib import Path

from fuzzing import xlsb

ROOT = Path(__file__).resolve().parents[2]

NAMES = (
    "list.csv",
    "list",
    "-o.csv",
    "a b;c.csv",
    "*?[x].csv",
    "$(id).csv",
    "line\nbreak.csv",
    "ключ-鉤.csv",
    "'\"`.xlsx",
    "%2e%2e%2f.csv",
    "n" * 200 + ".csv",
)
CELLS = (
    "",
    "=1+1",
    '=HYPERLINK("http://example.invalid","x")',
    "='[http://example.invalid/x.xlsx]A'!A1",
    "=cmd|' /C calc'!A0",
    "@SUM(A1)",
    "-7100",
    "1e400",
    "-1e-400",
    "9" * 5000,
    "NaN",
    "inf",
    "\x00",
    "\x1b[2J",
    "\u202e7100 lb",
    "\u200b",
    "\ufffe",
    "😀" * 50,
    "٣٫١٥ t",
    "½ in",
    "1/0",
    "0/0 in",
    "3/8/8/8",
    "3-3/8-3/8",
    '3/8"',
    '"',
    "'",
    "7,100.50.50 lb",
    "1.2.3.4.5 t",
    "7100 lb / 3200 kg / 1 t",
    "ton" * 200,
    "(" * 300,
    "1 " * 1500,
    "1/2 x " * 400,
    "grade 80 " * 200,
    "WLL (" * 100,
    "a" * 33_000,
    "9" * 400 + " kg",
    "0 kg",
    "-0",
    "²³ mm",
    "1_000",
    "0x10",
)
_HEADINGS = (
    "Item",
    "WLL",
    "WLL (lbs)",
    "WLL kg",
    "WLL (t)",
    "Size",
    "Size in",
    "Diameter mm",
    "Grade",
    "MBL",
    "Proof load kN",
    "Legs",
    "Angle",
    "Qty",
    "Tragfähigkeit",
    "CMU",
    "1",
    "",
    "=A1",
    "Description",
)
_GOOD = (
    "3/8 grab hook G70 clevis",
    "7,100 lb",
    "3.15 t",
    "3/8",
    "1-1/4",
    "10",
    "10 mm",
    "80",
    "G100",
    "70",
    "2000",
    "6600",
    "chain grade 43 1/2 in",
    "2-leg sling 10 mm 60 deg",
    "112 kN",
)


@functools.cache
def corpus() -> tuple[tuple[str, bytes], ...]:
    """The lists of the corpus and the demo, the long ones cut to their first 12 KB of text."""
    found = []
    for path in sorted((ROOT / "tests" / "corpus").glob("*/list.*")):
        data = path.read_bytes()
        found.append((path.name, data if path.suffix[1:] in _PACKED else data[:12_000]))
    demo = ROOT / "datasets" / "demo" / "harrow-and-pike.csv"
    return (*found, (demo.name, demo.read_bytes()[:12_000]))


_PACKED = ("xlsx", "xls", "ods", "parquet")


def mutated(random_: random.Random, data: bytes) -> bytes:
    """Bytes with a few of the usual damages."""
    raw = bytearray(data)
    for _ in range(random_.choice((1, 1, 2, 4, 16))):
        if not raw:
            break
        at = random_.randrange(len(raw))
        kind = random_.randrange(8)
        if kind == 0:
            del raw[at:]
        elif kind == 1:
            raw[at] = random_.randrange(256)
        elif kind == 2:
            del raw[at : at + random_.randrange(1, 200)]
        elif kind == 3:
            raw[at:at] = raw[at : at + random_.randrange(1, 400)] * random_.randrange(1, 4)
        elif kind == 4:
            raw[at:at] = random_.randbytes(random_.randrange(1, 16))
        elif kind == 5:
            raw[at:at] = random_.choice(CELLS).encode("utf-8", "surrogatepass")
        elif kind == 6:
            raw[at:at] = random_.choice((b"\0", b'"', b"\r", b"\n", b";", b"\t", b",", b"\xff\xfe"))
        else:
            raw[at] ^= 1 << random_.randrange(8)
    return bytes(raw)


def _corpus_mutant(random_: random.Random) -> bytes:
    name, data = random_.choice(corpus())
    if name.endswith(("xlsx", "ods")) and random_.random() < 0.7:
        return _repacked(random_, data)
    return mutated(random_, data)


def _repacked(random_: random.Random, data: bytes) -> bytes:
    """A workbook whose packing is sound and one of whose parts is damaged, gone or doubled."""
    packed = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(data)) as old, zipfile.ZipFile(packed, "w", 8) as new:
        names = old.namelist()
        victim = random_.choice(names)
        for name in names:
            part = old.read(name)
            if name == victim:
                if random_.random() < 0.15:
                    continue
                part = mutated(random_, part)
                if random_.random() < 0.2:
                    part = _xml_trick(random_, part)
            new.writestr(name, part)
    return packed.getvalue()


def _xml_trick(random_: random.Random, part: bytes) -> bytes:
    tricks = (
        (b"<row ", b'<row r="1048576" '),
        (b' r="A1"', b' r="XFD1048576"'),
        (b"<v>", b"<f>'[http://example.invalid/a.xlsx]S'!A1</f><v>"),
        (b'Target="', b'Target="../../../../etc/passwd#'),
        (b"<?xml", b'<!DOCTYPE a [<!ENTITY x SYSTEM "file:///etc/passwd">]><?xml'),
        (b"table:number-columns-repeated", b'table:number-columns-repeated="99999999" a:b'),
        (b"<v>", b"<v>" + b"9" * 400),
    )
    return part.replace(*random_.choice(tricks), random_.choice((1, -1)))


def _text_table(random_: random.Random) -> bytes:
    mark = random_.choice((",", ";", "\t", "|"))
    wide = random_.choice((1, 2, 3, 4, 6, 8)) if random_.random() < 0.985 else 12_000
    rows = [[random_.choice(_HEADINGS) for _ in range(wide)]] if random_.random() < 0.8 else []
    for _ in range(random_.randrange(1, 25) if wide < 100 else 2):
        width = max(0, wide + random_.choice((0, 0, 0, 0, 1, -1)))
        rows.append(
            [random_.choice(CELLS if random_.random() < 0.15 else _GOOD) for _ in range(width)]
        )
    quoted = random_.random() < 0.5
    text = random_.choice(("\n", "\n", "\r\n", "\r")).join(
        mark.join('"' + c.replace('"', '""') + '"' if quoted else c for c in row) for row in rows
    )
    code = random_.choice(("utf-8", "utf-8-sig", "utf-16", "utf-16-be", "cp1252", "cp850"))
    return text.encode(code, errors="replace")


def _json(random_: random.Random) -> bytes:
    values: tuple[Callable[[], object], ...] = (
        lambda: random_.choice(CELLS),
        lambda: random_.choice(_GOOD),
        lambda: random_.choice((10**400, -1, 0.1, 1e308, True, None, [], {}, [[1], {"a": 2}])),
        lambda: "\ud800",
        lambda: functools.reduce(lambda inner, _: {"a": inner}, range(12), 1),
    )
    weights = (2, 8, 2, 0.3, 0.3)

    def record() -> str:
        keys = random_.sample(_HEADINGS, random_.randrange(0, 6))
        return json.dumps({k: random_.choices(values, weights)[0]() for k in keys})

    lines = [record() for _ in range(random_.randrange(1, 12))]
    if random_.random() < 0.2:
        depth = random_.choice((50, 900, 100_000))
        deep = random_.choice(('{"a":' * depth + "1" + "}" * depth, '{"a":' + "[" * depth))
        lines.insert(random_.randrange(len(lines) + 1), deep)
    if random_.random() < 0.1:
        lines.append('{"WLL kg": ' + "9" * random_.choice((100, 5000)) + "}")
    text = "[" + ",".join(lines) + "]" if random_.random() < 0.4 else "\n".join(lines)
    data = text.encode()
    return mutated(random_, data) if random_.random() < 0.4 else data


def _parquet(random_: random.Random) -> bytes:
    import polars as pl

    height = random_.randrange(1, 20)
    made: tuple[Callable[[], list[object]], ...] = (
        lambda: [random_.choice(CELLS + _GOOD) for _ in range(height)],
        lambda: [random_.choice((1.5, float("nan"), float("inf"), None)) for _ in range(height)],
        lambda: [random_.randrange(-(2**63), 2**63) for _ in range(height)],
        lambda: [random_.randbytes(4) for _ in range(height)],
        lambda: [[1, 2]] * height,
        lambda: [{"a": {"b": 1}}] * height,
        lambda: [None] * height,
        lambda: [True] * height,
    )
    names = random_.sample(_HEADINGS, random_.randrange(1, 6))
    buffer = io.BytesIO()
    pl.DataFrame({n: random_.choice(made)() for n in names}, strict=False).write_parquet(buffer)
    data = buffer.getvalue()
    return mutated(random_, data) if random_.random() < 0.7 else data


def _bomb(random_: random.Random) -> bytes:
    part = random_.choice(
        ("xl/worksheets/sheet1.xml", "content.xml", "xl/sharedStrings.xml", "xl/workbook.xml")
    )
    size = random_.choice((1, 1, 1, 1, 8)) * 2**20
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w", 8, compresslevel=1) as archive:
        archive.writestr("xl/workbook.xml" if part[0] == "c" else "[Content_Types].xml", "<a/>")
        body = random_.choice((b" ", b"<row/>", b"<table:table-row/>", b"<a>"))
        archive.writestr(part, b"<a>" + body * (size // len(body)))
    data = packed.getvalue()
    if random_.random() < 0.5:  # a header that lies about the size
        data = data.replace(size.to_bytes(4, "little"), (2**32 - 2).to_bytes(4, "little"))
    return data


def _noise(random_: random.Random) -> bytes:
    heads = (b"", b"PK\x03\x04", b"PAR1", b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1", b"\xff\xfe", b'{"')
    tails = (b"", b"PAR1")
    body = random_.randbytes(random_.choice((0, 1, 40, 3000)))
    return random_.choice(heads) + body + random_.choice(tails)


def _huge_cell(random_: random.Random) -> bytes:
    unit = random_.choice((b"9", b" ", b'"', b"a,", b"(", b"1/2 ", b"\n", b"7,100 ", b"\t", b"x"))
    return b"Item,WLL kg\nhook," + unit * (random_.choice((10, 100, 400)) * 1000 // len(unit))


_KINDS = (_corpus_mutant, _text_table, _json, _parquet, _noise, _bomb, _huge_cell)
_WEIGHTS = (30, 34, 16, 8, 10, 0.5, 1)


_ROWS = (("Item", "Size", "Grade", "WLL (lbs)"), ("Grab hook", "3/8", 70.0, 6600.0))


def workbook(seed: int) -> bytes:
    """A damaged XLS, or an XLSB of which a part is damaged."""
    random_ = random.Random(seed)
    if random_.random() < 0.5:
        return mutated(random_, next(data for name, data in corpus() if name.endswith(".xls")))
    data = xlsb.workbook([*_ROWS, *_ROWS[1:] * random_.randrange(4)])
    return _repacked(random_, data) if random_.random() < 0.8 else mutated(random_, data)


def stock_list(seed: int) -> tuple[str, bytes]:
    """The name and the bytes of a hostile stock list."""
    random_ = random.Random(seed)
    make = random_.choices(_KINDS, _WEIGHTS)[0]
    return random_.choice(NAMES), make(random_)


MARKUP = (
    "<script>alert(1)</script>",
    "</script><script>alert(1)</script>",
    '"><img src=x onerror=alert(1)>',
    "' onmouseover='alert(1)",
    "<!--",
    "]]>",
    "</style><svg onload=alert(1)>",
    "&lt;b&gt; &amp; &#60;i&#62;",
    "{{ 7*7 }}{% raw %}",
    "${7*7}",
    "javascript:alert(1)",
    "\u2028\u2029",
    "=1+1",
    " =1+1",
    "\n@SUM(A1)",
    "'=1+1",
    "\x01\x0b",
    "\ufffe\uffff",
    "x\ty\rz",
)


def readable_list(seed: int) -> bytes:
    """A list that is understood, with markup, formulas and mistakes in its texts."""
    random_ = random.Random(seed)
    hostile = MARKUP + tuple(cell for cell in CELLS[:32] if "\0" not in cell)

    def text(usual: str, share: float) -> str:
        if random_.random() >= share:
            return usual
        return random_.choice((random_.choice(hostile), f"{usual} {random_.choice(hostile)}"))

    rows = [[text(h, 0.05) for h in ("Item", "Part", "Size", "Grade", "WLL (lbs)", "Supplier")]]
    for number in range(random_.randrange(3, 30)):
        size, load = random_.choice((("3/8", "6600"), ("1/2", "11300"), ("5/16", "4700")))
        load = random_.choice((load, load, load + "0", "2994", "0"))
        usual = ("Grab hook", f"P-{number % 9}", size, "70", load, random_.choice(("A", "B")))
        rows.append([text(c, 0.3 if i in (0, 1, 5) else 0.04) for i, c in enumerate(usual)])
    return csv_of(rows, random_.choice(("\n", "\r\n")))


def csv_of(rows: list[list[str]], end: str = "\n") -> bytes:
    out = io.StringIO()
    csv.writer(out, lineterminator=end).writerows(rows)
    return out.getvalue().encode("utf-8", errors="replace")


VALUES = (
    "", " ", "0", "-1", "1e400", "nan", "inf", "-inf", "9" * 400, "9" * 5000, " " * 5000 + "x",
    "3 t", "6500 lb", "3.15 t", "80", "100", "g80", "3/8", "1/0", "3/8 in", "10 mm", "35mm",
    "1-3/8 in", "²", "٣", "½", "\udcff", "\x00", "\n", "../../x", "/etc/passwd", "-", "--",
    "=1+1", "🙂" * 300, "a" * 9000, "250 C", "480F", "1,2,3", "0,0,0", "nan,0,0",
    "1e308,1e308,1e308", "a=b", "=", "name=hook,grade=80,size=3/8", "throat=38mm", "twist=4",
    "cracks=no", "80,3/8", "2", "3", "4", "endless", "45", "60", "vertical", "sling", "chain",
    "hook", "grab-hook", "crane-hook", "lifting", "choke", "basket", "yes", "no", "pair", "clean",
)  # fmt: skip
"""Values that a command line may be given."""

_COMMANDS = {
    "in-use": (
        "--grade --size --load --legs --angle --angle-to --plan-angle --hitch --load-shape "
        "--choke-angle --edge-radius --temperature --exposed --shortened --shortened-legs --form "
        "--load-position --load-angle --component --marked --format"
    ),
    "leg-tensions": "--load --point --point --point --centre --hook --length --format",
    "suit": (
        "--takes --joins --purpose --grade --size --load --legs --leg-angle --hitch --included "
        "--hooks --turn --eye-lies --latch --overhead --people --slack --release --temperature "
        "--environment --format"
    ),
    "fit": (
        "--throat --bowl --item --sling-width --hook-width --legs --included --grab --chain "
        "--link-width --crane-hook --format"
    ),
    "limits": "--throat --section --gauge --seat --area --size --length --document --measured --format",
    "ratings": "--where --where --format",
    "explain": "",
}
_USUAL = {
    "leg-tensions": [
        "--load=2t",
        "--point=0,0,0",
        "--point=2,0,0",
        "--centre=1,0,0",
        "--hook=1,0,2",
    ],
    "in-use": ["sling", "--grade", "80", "--size", "10"],
    "ratings": ["chain"],
    "limits": ["hook"],
}


def arguments(seed: int) -> list[str]:
    """A command line with hostile values; it neither reads nor writes a file."""
    random_ = random.Random(seed)
    command = random_.choice(sorted(_COMMANDS))
    found = [command, *(_USUAL.get(command, []) if random_.random() < 0.7 else [])]
    options = _COMMANDS[command].split()
    for option in random_.sample(options, min(len(options), random_.randrange(5))):
        value = random_.choice(VALUES)
        found += random_.choice(([f"{option}={value}"], [option, value]))
    if random_.random() < 0.4:
        found.insert(1, random_.choice(VALUES))
    return found
