"""The heading of a sheet, and what every other row of it is."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cache, lru_cache

import polars as pl

from tallyhook.model.sheet import Sheet
from tallyhook.recognising.cells import NOTHING, holds_load, holds_size, is_number
from tallyhook.recognising.headings import Reading, is_goods, join_readings, read_heading, unit_of
from tallyhook.texts.description import describe
from tallyhook.vocabulary.lexicon import phrases, rows
from tallyhook.vocabulary.tokens import fold, words_of

__all__ = [
    "HIDDEN_ROW",
    "Habits",
    "Heading",
    "doubtful_rows",
    "filled_cells",
    "filled_counts",
    "find_heading",
    "habits_of",
    "is_section",
    "opens_with_total",
    "row_kinds",
    "same_heading",
    "split_tables",
    "titles",
]

HIDDEN_ROW = "hidden row"
"""Why a row is passed over that the sheet does not show."""

_LOOKED_AT = 20_000  # rows without bare numbers among which another heading is looked for
_SEARCHED = 80  # rows at the top in which a heading is looked for
_LONG = 60  # characters; a heading is shorter, a sentence longer

_MEASURE = r"(?i)\d\s*(?:lb|kg|kn|t\b|#|mm|in\b|\")"  # what the text of a single-cell item holds

_SIZED = 0.25  # share of the texts of a column, for a lone text with a size to be an item

_LETTER = r"[^\W\d_]"

_VALUED = frozenset({"size", "grade", "connection", "form", "kind", "description", "part"})

Cells = dict[str, str]


@dataclass(frozen=True, slots=True, kw_only=True)
class Heading:
    """The heading rows of a sheet and the heading of each column.

    `written` holds the cells of each of `rows` as they stand there.
    """

    row: int | None
    rows: tuple[int, ...]
    texts: Mapping[str, str]
    readings: Mapping[str, Reading]
    written: tuple[Mapping[str, str], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Habits:
    """What the rows of a list have in common.

    `usual` is the number of cells that an item fills, 1 only for a list of single texts;
    `shouted` names the columns whose texts are mostly in capitals, `sized` those whose texts
    name the sizes of the items.
    """

    usual: int
    shouted: frozenset[str]
    sized: frozenset[str]


def _filled(record: Mapping[str, object]) -> Cells:
    return {c: str(v).strip() for c, v in record.items() if c != "row" and str(v).strip()}


def _has_digit(text: str) -> bool:
    return any(c.isdigit() for c in text)


def _loads_in(text: str, reading: Reading) -> list[str]:
    """Give the loads in a text; what a heading fixes is none."""
    # "G-30 lbs" holds a grade and a unit, "MBS 4:1 lb" a factor, "WLL @60 lb" an angle
    fixed = {reading.gives.get("grade"), *reading.gives.get("angle", "").split()}
    if "design_factor" in reading.gives:
        fixed.add("1")
    return [number for number, _ in holds_load(text) if number not in fixed]


def _is_amount(text: str, reading: Reading) -> bool:
    """Whether a cell is a number too large for a heading: no grade, no angle and no year."""
    digits = re.sub(r"\D", "", text)
    large = len(digits) > 4 or (len(digits) == 4 and not digits.startswith(("19", "20")))
    return large and is_number(text) and not reading.gives


def _score(cells: Cells) -> float:
    """Tell how much a row looks like a heading; 0 when it cannot be one."""
    roles, gives, numbers, other = 0.0, 0, 0, 0
    found = set()
    readings = {c: read_heading(t) for c, t in cells.items()}
    loaded = {c for c, t in cells.items() if _loads_in(t, readings[c])}
    sure = [r for c, r in readings.items() if r.whole and c not in loaded and not is_goods(r.word)]
    for column, text in cells.items():
        reading = readings[column]
        named = set(reading.roles.values())
        # an item, for all its words: "clevis hook, WLL 7,100 lb"; among headings "WLL 5 t" is one
        if (
            column in loaded
            and (not named or named - {"ignore"})
            and not (named and len(sure) >= max(1, 0.5 * len(cells)))
        ):
            return 0.0
        if _is_amount(text, reading):
            return 0.0
        if named and len(text) <= _LONG:
            roles += 1.0 if reading.whole or named & {"wll", "breaking", "proof"} else 0.6
            found |= named
        elif reading.gives:
            gives += 1
            numbers += is_number(text)
        elif is_number(text) or (_has_digit(text) and holds_size(text) and not reading.units):
            numbers += 1
        else:
            other += 1
    if not found or (numbers and not gives and roles < 4) or roles + gives < other:
        return 0.0
    if found <= {"load", "unit"}:
        return 0.0
    if len(cells) == 1:
        return 0.5 if roles >= 1 else 0.0
    if roles < 2 and not (roles and gives >= 2) and not ("wll" in found and not numbers):
        return 0.0
    return roles + 0.5 * gives


def _scores(rows: Sequence[Cells]) -> list[float]:
    """Score rows from the top until one is the heading, whatever stands below it."""
    most = max(map(len, rows), default=0)  # no row scores more than it has cells
    scores: list[float] = []
    for cells in rows:
        score, before = _score(cells), max(scores, default=0.0)
        scores.append(score)
        if score >= max(1, 0.5 * most) and before < 0.5 * score:
            break
    return scores


def find_heading(sheet: Sheet, frame: pl.DataFrame) -> Heading:
    """Find the heading row and join a second heading row above or below it."""
    top = [(int(r["row"]), _filled(r)) for r in frame.head(_SEARCHED).iter_rows(named=True)]
    top = [(row, cells) for row, cells in top if cells and row not in sheet.hidden]
    scores = _scores([cells for _, cells in top])
    best = max(scores, default=0.0)
    index = None
    if best >= 1:
        index = next(i for i, s in enumerate(scores) if s >= 0.5 * best and s >= 1)
    elif best > 0 and _narrow(top):
        index = next(i for i, s in enumerate(scores) if s > 0)
    if index is None and sheet.heading_row is not None:
        index = next((i for i, (row, _) in enumerate(top) if row == sheet.heading_row), None)
    if index is None:
        return Heading(row=None, rows=(), texts={}, readings={}, written=())
    return _joined(sheet, top, index)


def _narrow(top: Sequence[tuple[int, Cells]]) -> bool:
    return max((len(cells) for _, cells in top), default=0) <= 1


def _joined(sheet: Sheet, top: Sequence[tuple[int, Cells]], index: int) -> Heading:
    row, cells = top[index]
    upper: Cells = {}
    lower: Cells = {}
    taken = [row]
    below = top[index + 1] if index + 1 < len(top) else None
    above = top[index - 1] if index > 0 else None
    if below and below[0] == row + 1 and _adds(below[1], cells, top[index + 2 : index + 12]):
        upper, lower = _spread(sheet, row, cells, below[1]), below[1]
        taken.append(below[0])
    else:
        lower = cells
    if above and above[0] == row - 1 and _spans(sheet, above, cells):
        first = _spread(sheet, above[0], above[1], cells)
        upper = {c: f"{first.get(c, '')} {upper.get(c, '')}".strip() for c in {*first, *upper}}
        taken.insert(0, above[0])
    columns = sorted({*upper, *lower}, key=lambda c: int(c[1:]))
    at = dict(top)
    readings = {c: join_readings(upper.get(c, ""), lower.get(c, "")) for c in columns}
    return Heading(
        row=row,
        rows=tuple(taken),
        texts={c: r.text for c, r in readings.items()},
        readings=readings,
        written=tuple(at[r] for r in taken),
    )


def _adds(cells: Cells, heading: Cells, following: Sequence[tuple[int, Cells]]) -> bool:
    """Whether the row below a heading completes it: units, angles, or the parts of a group."""
    named = 0
    if len(cells) == 1 and all(c in heading and not unit_of(t) for c, t in cells.items()):
        return False  # the heading of a group of rows
    for column, text in cells.items():
        reading = read_heading(text)
        if reading.gives and set(read_heading(heading.get(column, "")).roles.values()) & _VALUED:
            return False  # a value below its heading: the first item
        worded = (
            unit_of(text)
            or (reading.gives and not is_number(text))
            or (reading.roles and not holds_load(text) and reading.whole)
        )
        numbered = is_number(text) and reading.gives and column not in heading
        if worded or numbered or _angle_below(text, column, heading, cells):
            named += 1
        elif not re.fullmatch(r"[(\[]?[-–/ ]*[)\]]?", text):
            return False
    if not named:
        return False
    units = sum(unit_of(t) is not None for t in cells.values())
    grouped = any(c not in heading for c in cells)
    # one row of words under a heading can be an item ("Hook", "Alloy"): ask for units or groups,
    # and for rows below that look different
    gives = sum(bool(read_heading(t).gives) for t in cells.values())
    plain = units + gives + (grouped and len(cells) >= 2)
    same = sum(set(cells.values()) <= set(f[1].values()) for f in following)
    split = sum(
        not read_heading(heading[c]).roles and bool(read_heading(f"{heading[c]} {t}").roles)
        for c, t in cells.items()
        if c in heading
    )
    if split and same == 0 and named == len(cells):
        return True  # "Working" above "Load Limit"
    return plain >= 1 and same == 0 and units + gives + grouped * named >= 0.5 * len(cells)


def _angle_below(text: str, column: str, heading: Cells, cells: Cells) -> bool:
    """Whether a bare number below a leg count is the angle 0 of a chart of angles."""
    legs = "legs" in read_heading(heading.get(column, "")).gives
    return legs and text == "0" and any("angle" in read_heading(t).gives for t in cells.values())


def _spans(sheet: Sheet, above: tuple[int, Cells], heading: Cells) -> bool:
    """Whether the row above a heading groups its columns."""
    row, cells = above
    if any(len(t) > _LONG or (is_number(t) and not read_heading(t).gives) for t in cells.values()):
        return False
    merged = {
        c for a, c, b, d in sheet.merged if a <= row <= b and d > c and d - c < len(heading) - 1
    }
    for column, text in cells.items():
        reading = read_heading(text)
        if not (reading.roles or reading.gives) and int(column[1:]) not in merged:
            return False
    first = min(int(c[1:]) for c in heading)
    if len(cells) == 1 and not merged:
        (only,) = cells
        # a single cell at the left edge is a title; elsewhere it heads what stands below it
        return int(only[1:]) > first and bool(
            read_heading(cells[only]).roles or read_heading(cells[only]).gives
        )
    return True


def _spread(sheet: Sheet, row: int, upper: Cells, lower: Cells) -> Cells:
    """Give each column the group heading that stands above it."""
    spread: Cells = {}
    edges = {c: d for a, c, b, d in sheet.merged if a <= row <= b}
    columns = sorted({int(c[1:]) for c in (*upper, *lower)})
    current, limit = "", -1
    for number in columns:
        name = f"c{number}"
        if name in upper:
            current = upper[name]
            limit = edges.get(number, number if edges else 10_000)
            spread[name] = current
        elif name in lower and current and number <= limit:
            below = read_heading(lower[name])
            roles = set(below.roles.values()) - {"load"}
            if number in range(limit + 1) and (
                edges or not roles or roles <= {"unit"} or _inside(roles, current)
            ):
                spread[name] = current
            else:
                current = ""
    return spread


def _inside(roles: set[str], upper: str) -> bool:
    """Whether a column of its own role still belongs under a group heading."""
    reading = read_heading(upper)
    return bool(reading.gives) and bool(roles & {"wll", "breaking", "proof", "size"})


def same_heading(cells: Cells, heading: Heading) -> bool:
    """Whether a row repeats a row of the heading, cell by cell."""
    if len(cells) < min(2, len(heading.texts)):
        return False
    rows = [{c: t for c, t in row.items() if c in heading.texts} for row in heading.written]
    return any(
        cells.keys() == row.keys() and all(_same_text(cells[c], t) for c, t in row.items())
        for row in rows
    )


def _same_text(text: str, other: str) -> bool:
    return text.casefold().split() == other.casefold().split()


def titles(frame: pl.DataFrame, heading: Heading) -> list[tuple[int, str]]:
    """Give the rows above the heading that say something, as one text each."""
    if heading.row is None:
        return []
    found = []
    for record in frame.filter(pl.col("row") < heading.rows[0]).iter_rows(named=True):
        cells = _filled(record)
        if cells and not _is_item(cells):
            found.append((int(record["row"]), " ".join(dict.fromkeys(cells.values()))))
    return found


def _is_item(cells: Cells) -> bool:
    """Whether a row above the heading is an item, as in a sheet sorted with its heading."""
    rated = [c for c, t in cells.items() if _is_amount(t, read_heading(t)) or holds_load(t)]
    named = [c for c, t in cells.items() if names_goods(t) or _names_size(t)]
    return len(cells) > 1 and bool(rated and named)


@cache
def _row_words(means: str) -> frozenset[tuple[str, ...]]:
    return frozenset(words_of(str(r["word"])) for r in rows("row-words") if r["means"] == means)


@cache
def _total_pattern() -> str:
    """Give a pattern for cells that open with a word of a total, accents or not."""
    accented = {"a": "[aàáäâ]", "e": "[eéèê]", "o": "[oóöô]", "u": "[uúüû]", "i": "[ií]"}
    totals = _row_words("total")
    # polars compiles it for each thread, and each \W is dear: "total general" opens with "total"
    # already, and "grand total" and "sub total" share what follows
    first: dict[str, list[str]] = {}
    for words in sorted(totals):
        if not any(words[:n] in totals for n in range(1, len(words))):
            word, *rest = ("".join(accented.get(c, c) for c in word) for word in words)
            first.setdefault("".join(rf"\W+{r}" for r in rest), []).append(word)
    plain = "|".join(f"(?:{'|'.join(found)}){rest}" for rest, found in first.items())
    return rf"(?i)^\W*(?:{plain})(?:\W|$)"


def _opens(text: str, words: frozenset[tuple[str, ...]]) -> bool:
    first = tuple(w for w in words_of(text) if w)[:5]
    return any(first[:n] in words for n in range(len(first), 0, -1))


def _is_total(text: str) -> bool:
    return _opens(text, _row_words("total"))


def _is_note(text: str) -> bool:
    if _is_marked(text) or text.rstrip().endswith((".", "!")):
        return True
    return len(text) > 80 or _opens(text, _row_words("note") | _row_words("sentence"))


def _is_marked(text: str) -> bool:
    return re.match(r"\s*(?:\*|†|\(?\d\)|\d\.\s)", text) is not None


def _is_sentence(text: str) -> bool:
    """Whether a text says something about the list: a mark, a note's first word, or a verb."""
    if _is_marked(text) or _opens(text, _row_words("note")):
        return True
    return any((word,) in _row_words("sentence") for word in words_of(text))


@lru_cache(maxsize=4096)
def _names_size(text: str) -> bool:
    read = describe(text)
    return read.size is not None or read.size_either is not None


def _says_grade(text: str) -> bool:
    return "grade" in read_heading(text).gives or bool(
        re.search(r"\b(?:g|gr|grade|gk|kl|classe|grado|g[uü]teklasse)\W{0,2}\d", fold(text))
    )


def names_goods(text: str) -> bool:
    """Whether a text names a grade or a kind of goods, and so can head a group of rows."""
    words = words_of(text)
    tables = (
        ("kind-words", "word"),
        ("form-words", "word"),
        ("connection-words", "word"),
        ("grade-words", "word"),
    )
    return _says_grade(text) or any(phrases(table, key, key).find(words) for table, key in tables)


def is_section(text: str, *, alone: bool) -> bool:
    """Whether the only filled cell of a row heads the rows below it.

    `alone` tells that items of this list are single cells, too; then only capitals or a colon
    make a heading.
    """
    if not re.search(r"[^\W\d_]{2}", text) and not holds_size(text):
        return False
    if len(text) > _LONG or holds_load(text) or _is_note(text) or _is_total(text):
        return False
    if _is_sentence(text):
        return False
    if alone:
        return (
            (text.isupper() or text.rstrip().endswith(":"))
            and names_goods(text)
            and not holds_size(text)
        )
    return True


def _signature(text: str) -> tuple[bool, bool]:
    return _says_grade(text), text.upper() == text


def section_texts(
    found: Sequence[tuple[int, str, bool]], start: str | None
) -> list[tuple[int, str]]:
    """Give each section row the text that holds below it, with the headings it stands under.

    Parameters
    ----------
    found : sequence of (row, text, directly below another section row)
    start : str or None
        What the title says of the whole sheet.
    """
    stack: list[str] = []
    out = []
    for row, text, stacked in found:
        same = [i for i, s in enumerate(stack) if _signature(s) == _signature(text)]
        if stacked and not same:
            stack.append(text)
        elif same:
            stack = [*stack[: same[0]], text]
        else:
            stack = [text]
        whole = list(stack)
        if start and not (_says_grade(start) and any(map(_says_grade, stack))):
            whole.insert(0, start)
        out.append((row, " | ".join(whole)))
    return out


def row_kinds(
    sheet: Sheet,
    frame: pl.DataFrame,
    heading: Heading,
    loads: Sequence[str],
    others: Sequence[str],
    start: str | None,
    habits: Habits,
    *,
    closed: bool,
) -> tuple[pl.DataFrame, pl.DataFrame]:
    """Tell item rows from all others.

    Parameters
    ----------
    sheet, frame, heading
        The sheet, its rows and its heading.
    loads : sequence of str
        Columns with ratings; none when the descriptions hold them.
    others : sequence of str
        Columns of sizes, grades and further loads.
    start : str or None
        What the title says of every row.
    habits : Habits
        The habits of the list.
    closed : bool
        Whether the list ends with these rows; below a batch stands more of it.

    Returns
    -------
    body, skipped
        The item rows with their section; ``row`` and ``why`` of the rest.
    """
    cells = _cells(frame)
    stripped = [pl.col(c).str.strip_chars().alias(c) for c in cells]
    # only rows that can be something else are looked at one by one
    filled = filled_counts(frame)
    marked = frame.select(
        "row",
        filled,
        pl.col("row").is_in(list(sheet.hidden)).alias("hidden")
        if sheet.hidden
        else pl.lit(value=False).alias("hidden"),
    )
    usual = habits.usual
    alone = usual == 1
    first = heading.rows[0] if heading.rows else 0
    why: dict[int, str] = {}
    for row in heading.rows:
        why[row] = "heading"
    for record in frame.filter(pl.col("row") < first).iter_rows(named=True):
        if not _is_item(_filled(record)):
            why[int(record["row"])] = "title above the heading"
    if alone:
        measured = pl.any_horizontal(pl.col(c).str.contains(_MEASURE) for c in cells)
        doubtful = ~frame.select(measured).to_series()
    else:
        doubtful = doubtful_rows(frame, loads, filled)
    suspects = marked.filter(doubtful & (filled > 0) & ~marked["hidden"]).select("row")
    looked_at = frame.join(suspects, on="row", how="semi", maintain_order="left").select(
        "row", *stripped
    )

    # of a list of two columns every row is looked at, and many are alike
    @lru_cache(maxsize=4096)
    def told(*texts: str) -> tuple[str | None, Cells]:
        found = _filled(dict(zip(cells, texts, strict=True)))
        reason = _reason(found, heading, loads, others, habits)
        if reason is None and usual >= 4:
            reason = _coded_section(found, loads, others, habits.shouted)
        return reason, found

    sections: list[tuple[int, str]] = []
    for row, *texts in looked_at.iter_rows():
        if row in why:
            continue
        reason, found = told(*texts)
        if reason == "section":
            sections.append((row, max(found.values(), key=_letters)))
        elif reason:
            why[row] = reason
    shown = frame.select("row").with_columns(
        marked["filled"], marked["hidden"], pl.Series("why", [None] * frame.height, dtype=pl.String)
    )
    shown = shown.with_columns(
        pl.when((pl.col("filled") == 0) & (pl.col("row") >= first))
        .then(pl.lit("blank"))
        .when(pl.col("hidden") & ~pl.col("row").is_in(list(why)))
        .then(pl.lit(HIDDEN_ROW))
        .otherwise(None)
        .alias("why")
    )
    if why:
        listed = pl.DataFrame(
            {"row": list(why), "said": list(why.values())},
            schema={"row": pl.Int64, "said": pl.String},
        )
        shown = shown.join(listed, on="row", how="left", maintain_order="left").with_columns(
            pl.coalesce("why", "said").alias("why")
        )
    # of a list that goes on, rows alike stand for those below a heading, too
    shown = _with_sections(shown, sections, start, closed=closed)
    body = frame.with_columns(shown["section"]).filter(shown["why"].is_null())
    skipped = shown.filter(pl.col("why").is_not_null()).select("row", "why")
    return body, skipped


def doubtful_rows(frame: pl.DataFrame, loads: Sequence[str], filled: pl.Series) -> pl.Series:
    """Tell the rows of a list with several columns that can be something other than an item.

    `filled` is that of `filled_counts`.
    They fill two cells at most, have no rating where ratings have columns, or say something of
    a total. What a row is follows from its own cells alone, whichever rows stand around it.
    """
    cells = _cells(frame)
    rated = (
        pl.any_horizontal(pl.col(c).str.contains(r"\d") for c in loads)
        if loads
        else pl.lit(value=False)
    )
    total = pl.any_horizontal(opens_with_total(c) for c in cells[:3])
    few = pl.lit(filled) <= 2
    return frame.select((few | ~rated | total).alias("doubtful")).to_series()


def opens_with_total(column: str) -> pl.Expr:
    """Whether a cell opens with the word of a total."""
    return pl.col(column).str.contains(_total_pattern())


def habits_of(frame: pl.DataFrame) -> Habits:
    """Find the habits of a list from its rows, or from a sample of them."""
    filled, cells = filled_counts(frame), _cells(frame)
    return Habits(
        usual=_usual(filled),
        shouted=_shouted(frame, cells),
        sized=_sized(frame.filter(filled > 1), cells),
    )


def filled_counts(frame: pl.DataFrame) -> pl.Series:
    """Count the cells of each row that hold more than white space."""
    filled = pl.sum_horizontal(filled_cells(frame, _cells(frame)))
    return frame.select(filled.alias("filled")).to_series()


def _cells(frame: pl.DataFrame) -> list[str]:
    return [c for c in frame.columns if c not in ("row", "section")]


def filled_cells(frame: pl.DataFrame, cells: Sequence[str]) -> list[pl.Expr]:
    """Give for each cell of a row whether it holds more than white space."""
    # white space opens with a byte below "!" or above ASCII; where no cell of a column does,
    # comparing with nothing is enough, and ten times as fast as stripping
    if not cells:
        return []
    odd = frame.select(
        (((pl.col(c) < "!") & (pl.col(c) != "")) | (pl.col(c) >= "\u0080")).any() for c in cells
    ).row(0)
    return [
        (pl.col(c).str.strip_chars() if strange else pl.col(c)) != ""
        for c, strange in zip(cells, odd, strict=True)
    ]


def _usual(filled: pl.Series) -> int:
    """Give the number of cells that an item fills; 1 only for a list of single texts."""
    counts = filled.filter(filled > 0)
    several = counts.filter(counts > 1)
    if len(several) < 0.1 * len(counts):
        return 1
    return int(several.median() or 0)  # type: ignore[arg-type]


def _reason(
    cells: Cells,
    heading: Heading,
    loads: Sequence[str],
    others: Sequence[str],
    habits: Habits,
) -> str | None:
    """Tell why a row is no item; None when it is one, "section" when it heads a group."""
    alone, usual = habits.usual == 1, habits.usual
    texts = list(cells.values())
    first = texts[0]
    if heading.texts and same_heading(cells, heading):
        return "heading repeated"
    key = [c for c in (*loads, *others) if c in cells and cells[c].casefold() not in NOTHING]
    if _is_total(first) and not (
        holds_size(first) or any(holds_size(cells[c]) for c in others if c in cells)
    ):
        return "total"
    if len(cells) > 1 and any(_is_total(t) for t in texts) and not key:
        return "total"
    if len(cells) == 1:
        if alone:
            if is_section(first, alone=True):
                return "section"
            return (
                "note" if _is_note(first) and not (holds_load(first) or holds_size(first)) else None
            )
        if holds_load(first) and not loads:
            return None
        # an item whose other cells are blank, and no heading that grades the rows below it
        sized = cells.keys() <= habits.sized or (others and _says_grade(first))
        if sized and _names_size(first) and not _is_sentence(first):
            return None
        if is_section(first, alone=False):
            return "section"
        if is_number(first):
            return "a number alone"
        return "note"
    if len(cells) == 2 and usual > 2 and not key:
        told = [t for c, t in cells.items() if c in habits.sized]
        if any(_names_size(t) and not _is_sentence(t) for t in told):
            return None  # an item that tells its stock or its price, too
        if _is_note(first) or all(not re.search(r"\d", t) and len(t) > 40 for t in texts):
            return "note"
        if not any(is_number(t) for t in texts) and _opens(first, _row_words("note")):
            return "note"
    if all(t.casefold() in NOTHING or re.fullmatch(r"[-=_*. ]+", t) for t in texts):
        return "blank"
    return None


def _letters(text: str) -> int:
    return len(re.findall(_LETTER, text))


def _shouted(frame: pl.DataFrame, cells: Sequence[str]) -> frozenset[str]:
    """Find the columns whose texts are mostly in capitals."""
    worded = pl.all().filter(pl.all().str.count_matches(_LETTER) >= 6).implode()
    texts = frame.head(2000).select(cells).select(worded).row(0, named=True)
    return frozenset(c for c, t in texts.items() if sum(map(str.isupper, t)) > 0.4 * len(t))


def _sized(items: pl.DataFrame, cells: Sequence[str]) -> frozenset[str]:
    """Find the columns whose texts name the sizes of the items, as descriptions do."""
    found = set()
    for column in cells:
        texts = items[column].head(2000)
        told = texts.filter(texts.str.contains(_LETTER)).unique(maintain_order=True).head(100)
        if len(told) and sum(map(_names_size, told.to_list())) >= _SIZED * len(told):
            found.add(column)
    return frozenset(found)


def _coded_section(
    cells: Cells, loads: Sequence[str], others: Sequence[str], shouted: frozenset[str]
) -> str | None:
    """Take a code and a text in capitals, with no size and no load, for the heading of a group."""
    if len(cells) != 2 or set(cells) & {*loads, *others}:
        return None
    column = max(cells, key=lambda c: _letters(cells[c]))
    text = cells[column]
    code = next(t for c, t in cells.items() if c != column)
    capital = text.isupper() and column not in shouted
    if capital and names_goods(text) and not holds_size(text) and len(code) <= 12:
        return "section" if is_section(text, alone=False) else None
    return None


def _with_sections(
    shown: pl.DataFrame, sections: Sequence[tuple[int, str]], start: str | None, *, closed: bool
) -> pl.DataFrame:
    """Give every row the section above it; a heading with nothing below a closed list is a note."""
    if not sections:
        return shown.with_columns(pl.lit(start, dtype=pl.String).alias("section"))
    at = dict(sections)
    items = shown.filter(pl.col("why").is_null() & ~pl.col("row").is_in(list(at)))["row"]
    last = int(items.max()) if len(items) else -1  # type: ignore[arg-type]
    found, previous = [], None
    for row, text in sections:
        between = (
            len(items.filter((items > previous) & (items < row))) if previous is not None else 1
        )
        found.append((row, text, previous is not None and between == 0))
        previous = row
    texts = section_texts([f for f in found if f[0] < last], start)
    named = pl.DataFrame(
        {"row": [r for r, _ in texts], "section": [t for _, t in texts]},
        schema={"row": pl.Int64, "section": pl.String},
    )
    told = pl.DataFrame(
        {
            "row": list(at),
            "kind": ["section heading" if r < last or not closed else "note" for r in at],
        },
        schema={"row": pl.Int64, "kind": pl.String},
    )
    shown = shown.join(named, on="row", how="left", maintain_order="left").join(
        told, on="row", how="left", maintain_order="left"
    )
    return shown.with_columns(
        pl.coalesce("why", "kind").alias("why"),
        pl.col("section").forward_fill().fill_null(pl.lit(start, dtype=pl.String)),
    )


def split_tables(sheet: Sheet, frame: pl.DataFrame, heading: Heading) -> int | None:
    """Find the row at which another table with another heading begins, if there is one.

    The titles directly above that heading belong to it.
    """
    if heading.row is None:
        return None
    cells = [c for c in frame.columns if c != "row"]
    below = frame.filter(pl.col("row") > heading.rows[-1])
    text = [pl.col(c).str.strip_chars() for c in cells]
    numbers = pl.sum_horizontal(t.str.contains(r"^[\d.,]{3,}$") for t in text)
    digits = pl.sum_horizontal(t.str.contains(r"\d") for t in text)
    filled = pl.sum_horizontal((t != "") for t in text)
    worded = below.filter((filled >= 2) & (numbers == 0) & (digits < filled)).head(_LOOKED_AT)
    for record in worded.iter_rows(named=True):
        found = _filled(record)
        if int(record["row"]) in sheet.hidden or same_heading(found, heading):
            continue
        if _is_other_heading(found):
            return _with_titles(frame, int(record["row"]), heading.rows[-1])
    return None


def _is_other_heading(cells: Cells) -> bool:
    readings = [read_heading(t) for t in cells.values()]
    whole = [r for r in readings if r.whole and set(r.roles.values()) - {"load", "ignore"}]
    named = {role for r in whole for role in r.roles.values()}
    if len(whole) >= 3 and len(whole) >= 0.6 * len(cells):
        return bool(named & {"wll", "size", "grade", "description", "part"})
    # a matrix: one heading of sizes or grades, and then only what fixes a value
    first, *rest = readings
    corner = first.whole and set(first.roles.values()) & {"size", "grade", "wll"}
    return (
        bool(corner)
        and not is_goods(first.word)
        and len(rest) >= 2
        and all(r.gives and not r.roles for r in rest)
    )


def _with_titles(frame: pl.DataFrame, row: int, above: int) -> int:
    """Move up over blank rows and single cells: the title of the table that begins at a row."""
    cells = [c for c in frame.columns if c != "row"]
    between = frame.filter((pl.col("row") > above) & (pl.col("row") < row)).tail(10)
    first = row
    for record in between.reverse().iter_rows(named=True):
        filled = [str(record[c]) for c in cells if str(record[c]).strip()]
        if len(filled) > 1 or (filled and _is_note(filled[0])):
            break
        first = int(record["row"])
    return first
