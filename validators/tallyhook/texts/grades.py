"""Grades: marks after the word grade, letters, trade names and federal classes."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from typing import Any

from tallyhook.messages import say
from tallyhook.packages.package import built_in_packages
from tallyhook.texts.cells import whole_number
from tallyhook.texts.documents import claim_documents
from tallyhook.texts.hedges import hedged
from tallyhook.texts.scan import Context, Scan
from tallyhook.texts.words import known_words
from tallyhook.vocabulary.blanks import is_blank
from tallyhook.vocabulary.context import length_units, phrases_for, units_with, words_for
from tallyhook.vocabulary.grade_marks import grade_prefixes
from tallyhook.vocabulary.lexicon import phrases, rows
from tallyhook.vocabulary.tokens import MARK, NUMBER, WORD

__all__ = ["Grade", "find_grade", "marked_grades", "read_grade"]

_SHORT = frozenset({"", "4", "6", "8", "10", "12"})


@dataclass(frozen=True, slots=True, kw_only=True)
class Grade:
    """A grade and the scheme its mark claims, or why it is not known.

    ``short`` tells that it is written as the European standards do: 8, T(8), 10. ``ambiguous``
    tells that the text names or may mean several grades, of which something else may decide.
    """

    grade: int | None = None
    short: bool = False
    scheme: str | None = None
    note: str | None = None
    ambiguous: bool = False
    may_be: frozenset[int] = frozenset()
    """What a mark or name of several meanings can mean, so that another may say which: "alloy"."""


def read_grade(text: str, *, context: Context | None = None) -> Grade:
    """Read a cell of a grade column, where a bare mark is a grade.

    Examples
    --------
    >>> [read_grade(t).grade for t in ("80", "Gr. 8", "T(8)", "800", "Güteklasse 10", "43")]
    [80, 80, 80, 80, 100, 43]
    >>> read_grade("alloy").note
    "'alloy' may be more than one grade"
    """
    text = text.strip()
    scan = Scan(whole_number(text), context or Context())
    letter = len(text) == 1 and text.isalpha()  # a cross says nothing of a load; here it is no mark
    if is_blank(text) and not letter:
        return Grade()
    if len(scan.tokens) <= 7:
        bare = _series(scan, 0, letters=True)
        if bare is not None and bare[1] == len(scan.tokens):
            return _resolve(scan, bare[0], text)
    claim_documents(scan)
    found = find_grade(scan)
    if found.grade is None and found.note is None:
        return Grade(note=say("'{shown}' is no grade mark", shown=text))
    if found.grade is not None and (hedged(scan) or not _all_understood(scan)):
        return Grade(note=say("'{shown}' is not one grade mark alone", shown=text))
    return found


def _all_understood(scan: Scan) -> bool:
    """Tell whether what stands beside the mark of a grade cell can change nothing of it."""
    beside = known_words() | grade_prefixes()
    for i, token in enumerate(scan.tokens):
        if scan.used[i]:
            continue
        if token.kind == NUMBER or token.text in "<>≤≥+=*/&" or scan.means(i, "or", "range"):
            return False
        if token.kind == WORD and token.fold not in beside:
            return False
    return True


def find_grade(scan: Scan, *, material: bool = False) -> Grade:
    """Find the grade in a free text and claim it.

    Parameters
    ----------
    scan : Scan
        The text.
    material : bool
        Whether ``alloy`` alone is the material of a hook rather than a doubtful grade.
    """
    federal = _federal(scan)
    if federal is not None:
        return federal
    marks: list[str] = []
    first, last = len(scan.tokens), 0
    i = 0
    while i < len(scan.tokens):
        read = _prefixed(scan, i) or _lettered(scan, i)
        if read is None or scan.is_used(i, read[1]):
            i += 1
            continue
        marks += read[0]
        first, last = min(first, i), max(last, read[1])
        scan.claim(i, read[1])
        i = read[1]
    named: set[int] = set()
    doubtful = ""
    for hit in phrases("grade-words", "word", "grade", "status").find(scan.words):
        grade, status = hit.value
        shown = scan.cut(scan.where[hit.start], scan.where[hit.end - 1] + 1)
        if grade is not None:
            named.add(int(grade))
        elif status == "ambiguous" and not material:
            doubtful = shown
    if marks:
        found = _resolve(scan, marks, scan.cut(first, last), hint=named)
        clash = named - {found.grade} - {70}  # "transport" also says what any chain is for
        if found.grade is not None and clash:
            return Grade(
                note=say(
                    "the mark says {grade} and the name says {name}",
                    grade=found.grade,
                    name=clash.pop(),
                )
            )
        return found
    if len(named) == 1:
        return Grade(grade=named.pop())
    if len(named) > 1:
        return Grade(note=say("two names of grades"))
    if doubtful:
        return Grade(
            note=say("'{shown}' may be more than one grade", shown=doubtful),
            ambiguous=True,
            may_be=_lifting_grades(),
        )
    return Grade()


def marked_grades(scan: Scan) -> list[tuple[int, int, int]]:
    """Give each grade that a mark in a text names, with the tokens of the mark."""
    found: list[tuple[int, int, int]] = []
    i = 0
    while i < len(scan.tokens):
        read = _prefixed(scan, i) or _lettered(scan, i)
        if read is None:
            i += 1
            continue
        rows_of = (_marks().get(mark) for mark in read[0])
        found += [
            (int(r["grade"]), i, read[1])
            for r in rows_of
            # grade 4 is high test or European: by itself the mark names neither
            if r and r["grade"] is not None and r["status"] != "ambiguous"
        ]
        i = read[1]
    return found


@cache
def _marks() -> dict[str, Mapping[str, Any]]:
    return {str(r["mark"]): r for r in rows("grade-marks")}


@cache
def _letters() -> str:
    """The letters of grade marks, small."""
    return "".join({str(r["letter"]).casefold() for r in rows("grade-marks") if r["letter"]})


@cache
def _plain_units() -> frozenset[str]:
    return units_with(care="plain") | units_with(care="words")


def _mark_at(scan: Scan, i: int, *, letters: bool) -> tuple[str, int] | None:
    """Read one mark from token `i` on: ``80``, ``T``, ``T8``, ``T(8)``."""
    if i >= len(scan.tokens):
        return None
    token = scan.tokens[i]
    if token.kind == NUMBER:
        if not token.text.isdigit() or (scan.is_mark(i + 1, "/") and _fraction_follows(scan, i)):
            return None
        whole = (
            i + 1 >= len(scan.tokens) or not scan.adjacent(i + 1) or scan.tokens[i + 1].kind != WORD
        )
        return (token.text, i + 1) if whole else None
    if token.kind != WORD or not letters or len(token.text) != 1 or not token.text.isupper():
        return None
    for opening, k in (("", i + 1), ("-", i + 2), ("(", i + 2)):
        if opening and not scan.is_mark(i + 1, opening):
            continue
        if not scan.is_number(k) or (opening != "(" and not scan.adjacent(k)):
            continue
        end = k + 1
        if opening == "(":
            if not scan.is_mark(end, ")"):
                continue
            end += 1
        mark = token.fold + scan.tokens[k].text
        return (mark, end) if mark in _marks() else None
    return token.fold, i + 1


def _fraction_follows(scan: Scan, i: int) -> bool:
    """Tell whether a number is the upper half of an inch fraction such as 3/8."""
    below = scan.folded(i + 2)
    above = scan.tokens[i].text
    return above in ("1", "3", "5", "7", "9") and below in ("2", "4", "8", "16", "32")


def _series(scan: Scan, i: int, *, letters: bool) -> tuple[list[str], int] | None:
    """Read one or several marks: ``80``, ``80/100``, ``8 (80)``, ``80 or 100``."""
    read = _mark_at(scan, i, letters=letters)
    if read is None:
        return None
    marks, end = [read[0]], read[1]
    while end < len(scan.tokens):
        if scan.is_mark(end, "/+&") or scan.means(end, "and", "or"):
            after, close = end + 1, False
        elif scan.is_mark(end, "("):
            after, close = end + 1, True
        else:
            break
        if scan.folded(after) in grade_prefixes():
            after += 1
            if scan.is_mark(after, ".-"):
                after += 1
        more = _mark_at(scan, after, letters=letters)
        if more is None or more[0] not in _marks() or _is_size(scan, more[1]):
            break
        stop = more[1]
        if close:
            if not scan.is_mark(stop, ")"):
                break
            stop += 1
        marks.append(more[0])
        end = stop
    return marks, end


def _is_size(scan: Scan, i: int) -> bool:
    """Tell whether the number before token `i` is a size or load after all."""
    if scan.is_mark(i, "/"):
        return scan.adjacent(i) and scan.is_number(i + 1)
    return scan.is_mark(i, '"') or scan.folded(i) in _plain_units()


def _prefixed(scan: Scan, i: int) -> tuple[list[str], int] | None:
    """Read a mark with a word before it, ``Gr. 80``, or after it, ``80 grade``."""
    token = scan.tokens[i]
    if token.kind == WORD and token.fold in grade_prefixes():
        k = i + 1
        short = len(token.fold) == 1  # too short for a letter after it: "G T" is no grade
        while scan.is_mark(k, ".-:="):
            k += 1
        if k > i + 4 or (short and not scan.adjacent(k) and not token.text.isupper()):
            return None
        if (
            i > 0
            and scan.adjacent(i)
            and not (scan.is_mark(i - 1, '(,;:[/"') or scan.used[i - 1] or _free_dash(scan, i))
        ):
            return None
        if scan.folded(k) in grade_prefixes():
            k += 1  # "Güte Klasse 8"
        read = _series(scan, k, letters=not short)
        if read is None or _is_size(scan, read[1]) or not _ends(scan, read[1]):
            return None
        return read
    if token.kind == NUMBER and token.text.isdigit() and token.text in _marks():
        after = i + 1
        if scan.is_mark(after, "-"):
            after += 1
        if scan.folded(after) in grade_prefixes(after=True) and not (
            scan.is_mark(i - 1, "/-.") or scan.is_used(i, after + 1)
        ):
            following = after + 1
            while scan.is_mark(following, ".-:"):
                following += 1
            if _mark_at(scan, following, letters=True) is None:
                return [token.text], after + 1
    return None


def _free_dash(scan: Scan, i: int) -> bool:
    """Tell whether a dash before token `i` joins it to a plain word or size and not to a code."""
    if not scan.is_mark(i - 1, "-"):
        return False
    before = scan.tokens[i - 2] if i >= 2 else None
    if before is None or not scan.adjacent(i - 1):
        return True
    if before.kind == WORD and len(before.text) > 3:
        return True
    return before.fold in units_with(unit="mm") or before.text == '"'


def _ends(scan: Scan, i: int) -> bool:
    """Tell whether a mark ends at token `i`: ``G80`` ends, ``G80A`` and ``G80-1234X`` go on."""
    if i >= len(scan.tokens) or not scan.adjacent(i):
        return True
    token = scan.tokens[i]
    if token.kind == WORD:
        return False
    if token.text in "-_" and scan.adjacent(i + 1):
        if not scan.is_number(i + 1):
            return scan.tokens[i + 1].kind == MARK or len(scan.folded(i + 1)) > 3
        # "G80-3/8" and "G80-10mm" go on with a size, "G80-1234" is an item code
        return scan.is_mark(i + 2, '/"') or scan.folded(i + 2) in length_units()
    return token.text not in "*#"


def _lettered(scan: Scan, i: int) -> tuple[list[str], int] | None:
    """Read a letter with its number and no word before it: ``T(8)``, ``T8``, ``V 10`` is none."""
    token = scan.tokens[i]
    if token.kind != WORD or len(token.text) != 1 or not token.text.isupper():
        return None
    read = _mark_at(scan, i, letters=True)
    if read is None or read[1] == i + 1 or not scan.stands_free(i, read[1]):
        return None
    return [read[0]], read[1]


def _resolve(scan: Scan, marks: list[str], shown: str, hint: set[int] | None = None) -> Grade:
    """Turn marks into one grade; several marks must name the same one."""
    grades: set[int] = set()
    schemes: set[str] = set()
    doubts: list[str] = []
    unknown: list[str] = []
    for mark in marks:
        row = _marks().get(mark)
        if row is None:
            unknown.append(mark)
            continue
        system, status = row["system"], row["status"]
        if status == "ambiguous" and mark == "4" and scan.context.system is not None:
            grades.add(43 if scan.context.system == "us" else 40)
            if scan.context.system == "metric":
                schemes.add("european")
        elif status == "ambiguous":
            doubts.append(str(row["reason"]))
        elif row["grade"] is None:
            unknown.append(mark)
        elif system == "metric" and scan.context.system == "us":
            doubts.append(say("a European grade mark in an American list"))
        else:
            grades.add(int(row["grade"]))
            if row["scheme"]:
                schemes.add(row["scheme"])
    if doubts and not grades and hint == {43}:
        grades.add(43)
    if len(grades) > 1:
        return Grade(note=say("'{shown}' names more than one grade", shown=shown), ambiguous=True)
    if unknown:
        return Grade(note=say("'{shown}' is no grade with ratings", shown=shown))
    if doubts and not (grades and grades <= {43, 40}):
        return Grade(
            note=say("'{shown}' may be more than one grade", shown=shown),
            ambiguous=True,
            may_be=_meanings(marks[0]) if len(marks) == 1 else frozenset(),
        )
    return Grade(
        grade=grades.pop() if grades else None,
        short=all(mark.lstrip(_letters()) in _SHORT for mark in marks),
        scheme=schemes.pop() if len(schemes) == 1 else None,
    )


@cache
def _lifting_grades() -> frozenset[int]:
    """The grades for overhead lifting: those of alloy chain are among them."""
    grades = built_in_packages()["chain"]["grades"]
    return frozenset(int(g) for g in grades.filter("overhead_lifting")["grade"].to_list())


def _meanings(mark: str) -> frozenset[int]:
    """Give the grades that a mark can mean: 4 is high test (43) or the European grade 4 (40)."""
    row = _marks()[mark]
    return frozenset({40, 43} if row["status"] == "ambiguous" else {int(row["grade"])})


@cache
def _federal_marks() -> dict[str, int | None]:
    return {str(r["class_mark"]): r["grade"] and int(r["grade"]) for r in rows("federal-marks")}


def _federal(scan: Scan) -> Grade | None:
    """Read Type I Class N of an item description that names the federal specification."""
    # the letter of the edition is part of the last word: RR-C-271D
    if not phrases_for("federal specification").find(scan.words):
        return None
    words = scan.words
    for k, word in enumerate(words[:-1]):
        if word in words_for("federal class") and words[k + 1].isdigit():
            mark = words[k + 1]
            end = k + 2
            letter = "".join(words[k + 3 : k + 4])
            graded = grade_prefixes(after=True).issuperset(words[k + 2 : k + 3])
            if letter and graded and mark + letter in _federal_marks():
                mark, end = mark + letter, k + 4
            start = scan.where[k]
            stop = scan.where[end - 1] + 1
            scan.claim(start, stop)
            known = _federal_marks().get(mark)
            if known is not None:
                return Grade(grade=known)
            return Grade(note=say("federal class '{mark}' does not say one grade", mark=mark))
    return None
