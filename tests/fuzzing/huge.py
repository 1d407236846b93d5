"""Files that are too large somewhere, and what a whole process of tallyhook does with each.

Each must end within `LIMIT_S` and `MOST_MEMORY` in exit 2 and one sentence on the standard error.
"""

from __future__ import annotations

import io
import multiprocessing
import os
import subprocess
import sys
import tempfile
import time
import zipfile
import zlib
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from pathlib import Path

LIMIT_S = 10.0
MOST_MEMORY = 2400 * 2**20
_MB = 10**6
_ROWS = b"Item,Size,Grade,WLL kg\nhook,10,80,2000\n"
_OFFICE = (
    b'<office:document-content xmlns:office="urn:oasis:names:tc:opendocument:xmlns:office:1.0" '
    b'xmlns:table="urn:oasis:names:tc:opendocument:xmlns:table:1.0" '
    b'xmlns:text="urn:oasis:names:tc:opendocument:xmlns:text:1.0"><office:body>'
    b'<office:spreadsheet><table:table table:name="S"><table:table-row>'
)
_OFFICE_END = (
    b"</table:table-row></table:table></office:spreadsheet></office:body></office:document-content>"
)
_FILLED = b'<table:table-cell office:value-type="string"'


@dataclass(frozen=True, slots=True)
class Run:
    """How a process ended: exit code, what it said, seconds and bytes at their most."""

    code: int
    said: str
    seconds: float
    memory: int

    @property
    def fault(self) -> str | None:
        """What is wrong with the way it ended, or None."""
        sentence = self.said.strip()
        if self.code != 2:
            return f"exit {self.code}: {sentence[-300:]}"
        if "Traceback" in sentence or sentence.count("\n") > 3 or not sentence:
            return f"no one sentence: {sentence[:300]}"
        if self.seconds > LIMIT_S:
            return f"{self.seconds:.1f} s"
        return f"{self.memory / 2**20:.0f} MiB" if self.memory > MOST_MEMORY else None


def run(*arguments: str | Path) -> Run:
    """Run the command line in a process of its own, ended when it takes three times too long."""
    with tempfile.TemporaryFile() as errors:
        started = time.monotonic()
        process = subprocess.Popen(
            [sys.executable, "-m", "tallyhook", *map(str, arguments)],
            stdin=subprocess.DEVNULL,
            stdout=subprocess.DEVNULL,
            stderr=errors,
            env=os.environ | {"COLUMNS": "400", "NO_COLOR": "1"},
        )
        while True:
            ended, status, used = os.wait4(process.pid, os.WNOHANG)
            if ended:
                break
            if time.monotonic() - started > 3 * LIMIT_S:
                process.kill()
            time.sleep(0.02)
        process.returncode = os.waitstatus_to_exitcode(status)
        errors.seek(0)
        said = errors.read().decode(errors="replace")
    # a busy machine makes the clock run on, and threads count twice: the lesser of both
    spent = min(time.monotonic() - started, used.ru_utime + used.ru_stime)
    return Run(process.returncode, said, spent, used.ru_maxrss * 1024)


def cell_of_csv(size: int) -> bytes:
    """A cell of so many characters in the last row, without quotes."""
    return _ROWS + b"x" * size + b",10,80,2000\n"


def cell_of_csv_in_quotes(size: int) -> bytes:
    """A cell of so many characters, line ends among them, in quotes."""
    return _ROWS + b'"' + b"hook,\n" * (size // 6) + b'",10,80,2000\n'


def quote_never_closed(size: int) -> bytes:
    """A quote mark in the first row that nothing closes."""
    return b'Item,WLL kg\n"hook,2000\n' + b"hook,2000\n" * (size // 10)


def quote_marks(size: int) -> bytes:
    """Nothing but quote marks."""
    return _ROWS + b'"' * size


def blank_lines(size: int) -> bytes:
    """Nothing but line ends."""
    return b"\n" * size


def noise(size: int) -> bytes:
    """Bytes without a meaning that no magic number names."""
    return bytes(range(1, 255)) * (size // 254)


def line_of_csv(columns: int) -> bytes:
    """A heading line and a row of so many cells."""
    return b",".join(b"c%d" % n for n in range(columns)) + b"\n" + b"1," * columns + b"\n"


def value_of_json_line(size: int) -> bytes:
    """A JSON line with a value of so many characters."""
    return b'{"Item": "hook", "WLL kg": 2000}\n{"Item": "' + b"x" * size + b'", "WLL kg": 1}\n'


def value_of_json_array(size: int) -> bytes:
    """The same in one array."""
    return b'[{"Item": "' + b"x" * size + b'", "WLL kg": 1}]'


def keys_of_json(columns: int) -> bytes:
    """An object of so many keys."""
    return b"{" + b", ".join(b'"k%d": 1' % n for n in range(columns)) + b"}"


def keys_of_json_lines(columns: int) -> bytes:
    """Lines of fifty keys each, all of them different."""
    lines = (
        b"{" + b", ".join(b'"k%d": 1' % n for n in range(first, first + 50)) + b"}"
        for first in range(0, columns, 50)
    )
    return b"\n".join(lines)


def deep_json(depth: int) -> bytes:
    """Objects in objects."""
    return b'{"a":' * depth + b"1" + b"}" * depth


def deep_json_array(depth: int) -> bytes:
    """Arrays in arrays, as the value of a key."""
    return b'[{"Item": ' + b"[" * depth + b"]" * depth + b"}]"


def cell_of_parquet(size: int) -> bytes:
    """A cell of so many characters."""
    import polars as pl

    buffer = io.BytesIO()
    pl.DataFrame({"Item": ["hook", "x" * size], "WLL kg": [1, 2]}).write_parquet(buffer)
    return buffer.getvalue()


def columns_of_parquet(columns: int) -> bytes:
    """So many columns of one row."""
    import pyarrow as pa
    import pyarrow.parquet as pq

    one = pa.array([1], pa.int8())
    buffer = io.BytesIO()
    table = pa.table([one] * columns, names=[f"c{n}" for n in range(columns)])
    pq.write_table(table, buffer, compression="none", use_dictionary=False, write_statistics=False)
    return buffer.getvalue()


def shared_string(size: int) -> bytes:
    """A shared string of so many characters."""
    return _book(b'<row r="1"><c r="A1" t="s"><v>0</v></c></row>', strings=[b"x" * size])


def inline_string(size: int) -> bytes:
    """The same in the cell itself."""
    text = b"x" * size
    return _book(b'<row r="1"><c r="A1" t="inlineStr"><is><t>' + text + b"</t></is></c></row>")


def cells_of_row(columns: int) -> bytes:
    """A row of so many cells that do not say where they are."""
    return _book(b'<row r="1">' + b"<c><v>1</v></c>" * columns + b"</row>")


def far_cell(_: int) -> bytes:
    """A cell in the last column of the last row, its place in single quotes."""
    return _book(
        b"<row r='1'><c r='A1'><v>1</v></c></row><row r='2'><c r='XFD1048576'><v>1</v></c></row>"
    )


def blanks_in_sheet(size: int) -> bytes:
    """A sheet that is packed a thousandfold."""
    return _book(b" " * size)


def strings_that_lie(size: int) -> bytes:
    """Shared strings that say that they unpack to a few bytes."""
    import struct

    data = bytearray(_book(b"", strings=[b"x" * size]))
    with zipfile.ZipFile(io.BytesIO(data)) as archive:
        entry = archive.getinfo("xl/sharedStrings.xml")
    check, few = struct.pack("<I", zlib.crc32(b"<")), struct.pack("<I", 1)
    real = struct.pack("<I", entry.file_size)
    return bytes(data).replace(real, few).replace(struct.pack("<I", entry.CRC), check)


def repeats_of_ods(times: int) -> bytes:
    """A filled cell that is repeated so many times."""
    repeat = b' table:number-columns-repeated="%d">' % times
    return _ods(_FILLED + repeat + b"<text:p>x</text:p></table:table-cell>")


def cell_of_ods(size: int) -> bytes:
    """A cell of so many characters."""
    return _ods(_FILLED + b"><text:p>" + b"x" * size + b"</text:p></table:table-cell>")


def blanks_of_ods(times: int) -> bytes:
    """A cell with an element that stands for so many blanks."""
    return _ods(_FILLED + b'><text:p>x<text:s text:c="%d"/></text:p></table:table-cell>' % times)


def long_text_of_ods(times: int) -> bytes:
    """A cell as long as one may be, in so many equal rows."""
    from tallyhook.reading.shape import LARGEST_CELL

    row = b'</table:table-row><table:table-row table:number-rows-repeated="%d">' % times
    cell = _FILLED + b"><text:p>" + b"x" * LARGEST_CELL + b"</text:p></table:table-cell>"
    return _ods(cell + row + cell)


def deep_ods(depth: int) -> bytes:
    """Elements in elements."""
    return _ods(
        _FILLED + b">" + b"<text:p>" * depth + b"</text:p>" * depth + b"</table:table-cell>"
    )


def _ods(row: bytes) -> bytes:
    kind = b"application/vnd.oasis.opendocument.spreadsheet"
    manifest = (
        b'<manifest:manifest xmlns:manifest="urn:oasis:names:tc:opendocument:xmlns:manifest:1.0">'
        b'<manifest:file-entry manifest:full-path="/" manifest:media-type="%b"/>'
        b"</manifest:manifest>" % kind
    )
    parts = (("mimetype", [kind]), ("META-INF/manifest.xml", [manifest]))
    return _packed((*parts, ("content.xml", [_OFFICE, row, _OFFICE_END])))


def _book(rows: bytes, strings: Iterable[bytes] = ()) -> bytes:
    from openpyxl import Workbook

    base, buffer = Workbook(), io.BytesIO()
    base.active.append(["x"])
    base.save(buffer)
    replaced = {
        "xl/worksheets/sheet1.xml": [
            b'<worksheet xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main">'
            b"<sheetData>",
            rows,
            b"</sheetData></worksheet>",
        ]
    }
    texts = [b"<si><t>" + s + b"</t></si>" for s in strings]
    if texts:
        head = b'<sst xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main">'
        replaced["xl/sharedStrings.xml"] = [head, *texts, b"</sst>"]
    with zipfile.ZipFile(buffer) as old:
        kept = {n: [old.read(n)] for n in old.namelist()}
    return _packed((kept | replaced).items())


def _packed(parts: Iterable[tuple[str, list[bytes]]]) -> bytes:
    buffer = io.BytesIO()
    with zipfile.ZipFile(buffer, "w", zipfile.ZIP_DEFLATED, compresslevel=1) as archive:
        for name, pieces in parts:
            archive.writestr(name, b"".join(pieces))
    return buffer.getvalue()


def _write(path: Path, make: Callable[[int], bytes], size: int) -> None:
    path.write_bytes(make(size))


Make = Callable[[int], bytes]
FILES: tuple[tuple[Make, int], ...] = (
    (cell_of_csv, 100 * _MB),
    (cell_of_csv_in_quotes, 100 * _MB),
    (quote_never_closed, 100 * _MB),
    (quote_marks, 100 * _MB),
    (blank_lines, 100 * _MB),
    (noise, 100 * _MB),
    (line_of_csv, _MB),
    (value_of_json_line, 100 * _MB),
    (value_of_json_array, 100 * _MB),
    (keys_of_json, _MB),
    (keys_of_json_lines, _MB),
    (deep_json, 100_000),
    (deep_json, 10 * _MB),
    (deep_json_array, 100_000),
    (cell_of_parquet, 100 * _MB),
    (columns_of_parquet, 100_000),
    (shared_string, 100 * _MB),
    (inline_string, 100 * _MB),
    (cells_of_row, _MB),
    (far_cell, 0),
    (blanks_in_sheet, 1000 * _MB),
    (strings_that_lie, 1000 * _MB),
    (repeats_of_ods, 10**9),
    (cell_of_ods, 100 * _MB),
    (blanks_of_ods, 10**9),
    (long_text_of_ods, 10**6),
    (deep_ods, _MB),
)
"""What `scripts/fuzz --way huge` hands to `check` and `tidy`."""


def all_runs(report: Callable[[str], None]) -> int:
    """Hand every huge file to `check` and `tidy`; give the number of faults."""
    faults = 0
    with tempfile.TemporaryDirectory(prefix="tallyhook-huge-") as folder:
        path, out = Path(folder) / "list", Path(folder) / "out"
        for make, size in FILES:
            # in a process of its own: a child's memory at its most counts from its parent's
            maker = multiprocessing.get_context("fork").Process(
                target=_write, args=(path, make, size)
            )
            maker.start()
            maker.join()
            for command in (("check", path), ("tidy", path, "-o", out)):
                ended = run(*command)
                fault = ended.fault or ("output was left" if out.exists() else None)
                faults += fault is not None
                told = fault or "refused: " + ended.said.strip()[-150:]
                report(
                    f"{command[0]:5} {make.__name__:22} {size:>13,}  {ended.seconds:5.1f} s "
                    f"{ended.memory / 2**20:6.0f} MiB  {told}"
                )
    return faults
