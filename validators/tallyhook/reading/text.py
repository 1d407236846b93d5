"""Text files: encoding and separator are decided from the bytes, never assumed."""

from __future__ import annotations

import codecs
import csv
import io
import itertools
import re
from collections import Counter

import polars as pl

from tallyhook.errors import StockListError
from tallyhook.messages import say
from tallyhook.reading.shape import LARGEST_CELL, MOST_COLUMNS, frame_of_rows, number_rows

__all__ = ["check_controls", "decode", "separator", "text_frame"]

_SAMPLE = 256 * 1024
_SEPARATORS = ("\t", ";", "|", ",")
_CHUNK = 100_000


def decode(data: bytes, where: str) -> str:
    """Turn the bytes of a text file into text.

    A byte order mark decides; else the pattern of zero bytes (UTF-16), else whether the bytes
    are valid UTF-8; else Windows-1252, or code page 850 when its letters stand between letters.

    Raises
    ------
    StockListError
        The bytes are not text.
    """
    for mark, encoding in (
        (codecs.BOM_UTF8, "utf-8"),
        (codecs.BOM_UTF16_LE, "utf-16-le"),
        (codecs.BOM_UTF16_BE, "utf-16-be"),
    ):
        if data.startswith(mark):
            return _lines(data[len(mark) :].decode(encoding, errors="replace"))
    head = data[:_SAMPLE]
    if b"\0" in head:
        even, odd = head[0::2].count(0), head[1::2].count(0)
        if max(even, odd) < 0.3 * len(head) / 2 or min(even, odd) > 0.05 * len(head) / 2:
            raise _not_text(where)
        return _lines(data.decode("utf-16-be" if even > odd else "utf-16-le", errors="replace"))
    check_controls(data, where)
    try:
        return _lines(data.decode("utf-8"))
    except UnicodeDecodeError:
        return _lines(_single_byte(data))


def check_controls(data: bytes, where: str) -> None:
    """Refuse bytes at whose beginning too many control characters stand for a text.

    Raises
    ------
    StockListError
        The bytes are not text.
    """
    head = data[:_SAMPLE]
    controls = sum(head.count(c) for c in (*range(1, 9), *range(14, 26), *range(28, 32)))
    if controls > max(2, len(head) // 200):
        raise _not_text(where)


def _not_text(where: str) -> StockListError:
    return StockListError(
        say("it is not a text file, a workbook or a table"),
        where=where,
        next_step=say("save the list as CSV or XLSX"),
    )


def _lines(text: str) -> str:
    text = text.replace("\r\n", "\n")
    return text if "\n" in text else text.replace("\r", "\n")


_UTF8_PAIR = re.compile(rb"[\xc3\xc2][\x80-\xbf]|\xe2[\x80-\xbf]{2}")
_DOS_LETTER = re.compile(rb"[A-Za-z][\x81\x82\x84\x8a\x8e\x94\x99\x9a][A-Za-z\x80-\xff]")
_WINDOWS_LETTER = re.compile(rb"[A-Za-z][\xc0-\xe0\xe2-\xff][A-Za-z]")
_HIGH = re.compile(rb"[\x80-\xff]")


def _windows_byte(error: UnicodeError) -> tuple[str, int]:
    if not isinstance(error, UnicodeDecodeError):
        raise error
    return error.object[error.start : error.end].decode("cp1252", errors="replace"), error.end


codecs.register_error("tallyhook-windows", _windows_byte)


def _single_byte(data: bytes) -> str:
    # a UTF-8 file into which a few Windows lines were pasted stays UTF-8 for the rest
    pairs = sum(len(m) for m in _UTF8_PAIR.findall(data))
    if pairs > len(_HIGH.findall(data)) - pairs:
        return data.decode("utf-8", errors="tallyhook-windows")
    dos = len(_DOS_LETTER.findall(data)) > len(_WINDOWS_LETTER.findall(data))
    return data.decode("cp850" if dos else "cp1252", errors="replace")


def separator(text: str) -> str | None:
    """Find the character that separates cells, or None when every line is one cell.

    The separator gives most lines the same number of cells. A comma is not taken for one when
    it only groups thousands ("7,100 lb") or only stands in sentences.
    """
    sample = _sample(text)
    found: dict[str, tuple[int, float]] = {}
    for candidate in _SEPARATORS:
        if candidate not in sample or (candidate == "\t" and _tabulators_are_blanks(sample)):
            continue
        lines = csv.reader(io.StringIO(sample.replace("\r", "\n")), delimiter=candidate)
        try:
            widths = Counter(len(r) for r in lines if r)
        except csv.Error:  # a cell longer than any list has
            continue
        # title rows and notes are one cell wide; they say nothing about the separator
        wide = {w: n for w, n in widths.items() if w > 1}
        if not wide:
            continue
        width, count = max(wide.items(), key=lambda p: (p[1], p[0]))
        share = sum(n for w, n in wide.items() if abs(w - width) <= 1) / sum(widths.values())
        if count >= 2 or sum(widths.values()) <= 3:
            found[candidate] = (width, share)
    if "," in found and _commas_are_prose(sample):
        del found[","]
    if not found and sample is text and sample.count('"') % 2:
        # one that is never closed swallows all that follows
        return separator(sample.replace('"', ""))
    if not found:
        return None
    # between two quoted cells stands the separator and nothing else
    between = {c: sample.count(f'"{c}"') for c in found}
    if max(between.values()) and 2 * max(between.values()) >= sample.count("\n"):
        return max(between, key=lambda c: between[c])
    steady = {c: v for c, v in found.items() if v[1] >= 0.6} or found
    for candidate in _SEPARATORS:
        if candidate in steady:
            widest = max(steady.values())[0]
            if steady[candidate][0] * 2 >= widest:
                return candidate
    return max(steady, key=lambda c: steady[c])


def _sample(text: str) -> str:
    if len(text) <= _SAMPLE:
        return text
    end = text.rfind("\n", 0, _SAMPLE)
    return text[: end if end > 0 else _SAMPLE]


_BLANKS = re.compile(r"[ \t]++")


def _tabulators_are_blanks(sample: str) -> bool:
    """Whether every tabulator only stands around the cells that something else separates."""
    others, ends = set(_SEPARATORS) - {"\t"}, {"", "\n", "\r"}
    found = False
    for blanks in _BLANKS.finditer(sample):
        if "\t" not in blanks.group():
            continue
        start, end = blanks.span()
        # a quotation mark may stand between
        beside = {
            sample[max(0, start - 2) : start].rstrip('"')[-1:],
            sample[end : end + 2].lstrip('"')[:1],
        }
        if beside & others:
            found = True
        elif not beside & ends:
            return False
    return found


_THOUSANDS = re.compile(r"(?<!\d)\d{1,3},\d{3}(?!\d)")


def _commas_are_prose(sample: str) -> bool:
    lines = [line for line in sample.split("\n") if line.strip()]
    if any(line.startswith('"') or ',"' in line for line in lines):
        return False
    commas = sum(line.count(",") for line in lines)
    thousands = sum(len(_THOUSANDS.findall(line)) for line in lines)
    spaced = sum(len(re.findall(r",\s", line)) for line in lines)
    if thousands == commas and all(line.count(",") <= 1 for line in lines):
        return True
    # "hook, grade 80, 7,100 lb": every comma that has no space after it groups thousands
    return spaced > 0 and thousands > 0 and spaced + thousands == commas


def text_frame(text: str, where: str) -> tuple[pl.DataFrame, str | None]:
    """Split a text file into cells; the row is the record number, as a spreadsheet shows it.

    Returns
    -------
    frame, separator
    """
    hint = re.match(r"sep=(.)\n", text)
    if hint:  # a spreadsheet takes this line as an instruction and does not show it
        text = text[hint.end() :]
    mark = hint.group(1) if hint else separator(text)
    if not text.strip():
        raise StockListError(
            say("it is empty"), where=where, next_step=say("check that it is the list")
        )
    text = text.rstrip("\n")
    if mark is None:
        return number_rows(pl.DataFrame({"c0": text.split("\n")}, schema={"c0": pl.String})), None
    if not re.search(rf'(?:^|\n|{re.escape(mark)})"', text):
        return number_rows(_plain(text, mark, where)), mark
    frame = _quoted(text, mark, where)
    if _swallowed(frame, mark):
        # an opening inch or ditto mark: without quoting the lines are whole again
        plain = _plain(text, mark, where)
        if (
            not _is_quoted(plain)
            and not _swallowed(plain, mark)
            and _steady(plain) >= max(0.6, _steady(frame))
        ):
            return number_rows(plain), mark
    return number_rows(frame), mark


def _width(text: str, mark: str, where: str) -> int:
    width = max(line.count(mark) for line in text.split("\n")) + 1
    if width > 20 * MOST_COLUMNS:
        raise StockListError(
            say(
                "a line has {width} cells, more than the {most} columns that are read",
                width=width,
                most=MOST_COLUMNS,
            ),
            where=where,
            next_step=say("keep only the columns of the list"),
        )
    return width


def _polars(text: str, mark: str, width: int, quote: str | None) -> pl.DataFrame:
    # an own heading line fixes the width, so that ragged rows and titles keep all their cells
    heading = mark.join(f"c{i}" for i in range(width)) + "\n"
    return pl.read_csv(
        io.BytesIO((heading + text).encode("utf-8", errors="replace")),
        separator=mark,
        quote_char=quote,
        infer_schema=False,
        truncate_ragged_lines=True,
    )


def _plain(text: str, mark: str, where: str) -> pl.DataFrame:
    width = _width(text, mark, where)
    try:
        frame = _polars(text, mark, width, None)
    except pl.exceptions.PolarsError:
        frame = None
    if frame is not None and frame.height == text.count("\n") + 1:
        return frame
    return frame_of_rows([line.split(mark) for line in text.split("\n")], width)


# a quote mark inside a cell that neither opens, closes nor doubles: an inch mark
_LONE_QUOTE = '[^"\\n{m}]"[^"\\n{m}]'


def _quoted(text: str, mark: str, where: str) -> pl.DataFrame:
    width = _width(text, mark, where)
    if not re.search(_LONE_QUOTE.format(m=re.escape(mark)), text):
        try:
            return _polars(text, mark, width, '"')
        except pl.exceptions.PolarsError:
            pass  # malformed for polars; the csv module is more forgiving
    previous = csv.field_size_limit(2**31 - 1)
    try:
        reader = csv.reader(io.StringIO(text), delimiter=mark)
        parts = []
        while chunk := list(itertools.islice(reader, _CHUNK)):
            parts.append(frame_of_rows(chunk, width))
        return pl.concat(parts)
    except csv.Error as error:
        raise StockListError(
            say("the text cannot be split into cells ({reason})", reason=error),
            where=where,
            next_step=say("save it again as CSV or XLSX"),
        ) from None
    finally:
        csv.field_size_limit(previous)


def _swallowed(frame: pl.DataFrame, mark: str) -> bool:
    """Whether a cell holds lines that should have been rows."""
    broken = pl.all().str.contains("\n", literal=True) & pl.all().str.contains(mark, literal=True)
    # a quote mark that opens directly before a separator was a cell of its own
    opened = pl.all().str.starts_with(mark)
    if any(frame.select((broken | opened).any()).row(0)):
        return True
    lines = frame.select(pl.all().str.count_matches("\n").max()).row(0)
    length = frame.select(pl.all().str.len_chars().max()).row(0)
    return any((n or 0) > 20 for n in lines) or any((n or 0) > LARGEST_CELL for n in length)


def _is_quoted(plain: pl.DataFrame) -> bool:
    """Whether cells stand in quotation marks, both of them."""
    return any(plain.select(pl.all().str.contains(r'^".*"$').any()).row(0))


def _steady(frame: pl.DataFrame) -> float:
    """Share of the rows that fill the most usual number of columns."""
    filled = frame.select(pl.sum_horizontal(pl.all().fill_null("") != "").alias("n"))["n"]
    return float(filled.value_counts()["count"].max() or 0) / max(1, len(filled))  # type: ignore[arg-type]
