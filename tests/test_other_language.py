"""Everything that a person reads is said by messages: run in an invented language, nothing is left.

The invented language (`pseudo_language`) writes every message in letters of another alphabet. A
Latin word that is left must be a part: a word of the list itself, a unit, the name of a column, a
package, a rule or a document, or a code.
"""

from __future__ import annotations

import errno
import json
import os
import re
from collections.abc import Callable, Iterable, Iterator
from functools import cache
from inspect import signature
from pathlib import Path
from typing import Any
from xml.etree import ElementTree as ET

import polars as pl
import pytest
from openpyxl import load_workbook

from command_line import Ended, here
from example_tables import example_tables
from package_tables import frames
from pseudo_language import LANGUAGE, latin_words, texts_of_page, write_catalogue
from stock_items import found_by
from tallyhook.errors import StockListError
from tallyhook.messages import in_language
from tallyhook.model.layout import ROLES
from tallyhook.packages.descriptors import KNOWN_BY
from tallyhook.packages.export import FORMATS
from tallyhook.packages.package import Package, built_in_packages
from tallyhook.reading.lists import read_list
from tallyhook.rules import Rule, all_rules
from tallyhook.units import CANONICAL
from tallyhook.use.families import FAMILIES
from tallyhook.use.laws import law_names
from tallyhook.use.limit_card import MEASURES
from tallyhook.use.suit import suit

ROOT = Path(__file__).resolve().parents[1]
DEMO = ROOT / "datasets" / "demo" / "harrow-and-pike.csv"
CORPUS = ROOT / "tests" / "corpus"
WIDE = 100_000  # columns: no line is broken

# columns of the packages whose texts name documents or places in them, or are codes
_NAMED = (
    "cause", "connection", "criterion", "family", "form", "issuer", "kind", "known_by", "locator", "rule", "scheme",
    "source",
)  # fmt: skip
_PATH = re.compile(r"(?<!\S)/\S+")
_CODES = re.compile(
    r"""--[a-z][\w-]*               # an option
    | \w+="[^"]*"               # and how it is written
    | \b[A-Z]+(?:[=,][A-Z]+)+\b
    | '[^']*'                   # what a refusal quotes
    | https?://\S+
    | \b[\w-]+\.(?:csv|xlsx|json|ods|md|txt|parquet|html)\b
    | \b[a-z]+(?:[-_][a-z0-9]+)+\b  # a code or the name of a column
    | \bSWL_kg\ =\ .*              # a formula as it is printed
    | \b[1-4]-leg\b            # a configuration
    """,
    re.VERBOSE,
)


@pytest.fixture(scope="module", autouse=True)
def invented(tmp_path_factory: pytest.TempPathFactory) -> Iterator[None]:
    with in_language(LANGUAGE, write_catalogue(tmp_path_factory.mktemp("locale"))):
        yield


@cache
def parts_of_packages() -> frozenset[str]:
    """The names, codes and documents that stay as they are in every language."""
    packages = built_in_packages()
    known = {*CANONICAL, "tallyhook", "deg", "degC", "degF", "mm2", "kN", "short tons", "long tons"}
    known |= {os.strerror(errno.ENOENT), *FORMATS}
    known.add("WLL reduction for a non-cradle grab hook")  # a place that no table of ours names
    known |= {"CSV", "XLSX", "JSON", "NDJSON", "SQLite", "XML", "HTML", "PDF", "Parquet"}
    for package in packages.values():
        known.add(package.name)
        for name in package.tables:
            table = package[name]
            known |= {name, *table.columns}
            for column in (c for c in table.columns if c.endswith(_NAMED)):
                known |= {str(value) for value in table[column].drop_nulls().unique()}
    # what may be answered is a code, as the command line takes it
    for answers in packages["hooks"]["suit-questions"]["answers"].drop_nulls():
        known |= {answer for answer in answers.split(";") if " " not in answer}
    known |= {*FAMILIES, *law_names(), *(measure for measure, _, _ in MEASURES.values())}
    known |= {"sling", "straight", "choke", "basket", "lifting", "yes", "no", "crane-hook", "link"}
    known |= {"length", "wear", "area", "purpose", "takes", "joins", "overhead", "people"}
    known |= {"by european", "by us", *re.split("[ _]", " ".join(signature(suit).parameters))}
    titles = set(packages["sources"]["documents"]["title"])
    # what people call a document: its title to the first comma or colon, in a sentence
    called = {re.split(r"[,:] ", title)[0] for title in titles}
    known |= titles | called | {name[:1].lower() + name[1:] for name in called}
    known |= {*KNOWN_BY, *ROLES, *(role.replace("_", " ") for role in ROLES)}
    for kind in ("stock", "package", "decision"):
        known |= {rule.name for rule in all_rules(kind)}
        known |= {rule.name.replace("-", " ") for rule in all_rules(kind)}
    return frozenset(known)


@cache
def words_of(path: Path) -> frozenset[str]:
    """The list's own words: its cells, its sheets and its name."""
    try:
        sheets = read_list(path)
    except StockListError:
        return frozenset({path.name, path.stem})
    cells = {
        cell.strip()
        for sheet in sheets
        for column in sheet.frame.columns[1:]
        for cell in sheet.frame[column].drop_nulls()
    }
    named = {sheet.name or "" for sheet in sheets}
    return frozenset(cells | named | {path.name, path.stem})


def left(text: str, path: Path, also: Iterable[str] = ()) -> list[str]:
    """Give the lines that hold a word which is neither said by a message nor a part."""
    known = [words_of(path) | frozenset(also), parts_of_packages()]
    return latin_words(_PATH.sub(" ", text.replace(str(path), " ")), known, _CODES)


def texts_of_junit(xml: str) -> str:
    """Give what a person reads in a JUnit report, one text a line."""
    texts: list[str] = []
    for element in ET.fromstring(xml).iter():
        texts += [element.get("message", ""), element.text or ""]
        if element.tag == "testcase":
            texts.append(element.get("name", ""))
    return "\n".join(texts)


def texts_of_workbook(path: Path) -> str:
    """Give what a person reads in the marked workbook beside the shop's own cells."""
    texts = []
    book = load_workbook(path)
    ours = book.sheetnames[-3:]
    for sheet in book.worksheets:
        for row in sheet.iter_rows():
            for cell in row:
                if cell.comment:
                    texts.append(cell.comment.text)
                if sheet.title in ours and isinstance(cell.value, str):
                    texts.append(cell.value)
    return "\n".join([*ours, *texts])


LISTS = [
    DEMO,
    CORPUS / "hidden-rows" / "list.xlsx",
    CORPUS / "german-semicolon" / "list.csv",
    CORPUS / "sling-chart-american" / "list.csv",
    CORPUS / "notes-and-subtotals" / "list.ods",
    CORPUS / "sections-workbook" / "list.xlsx",
    CORPUS / "us-catalogue" / "list.csv",
]


SAID = ("observed", "expected", "note")


def checked(path: Path, *options: str | Path) -> Ended:
    done = here("check", path, *options, columns=WIDE)
    # a hidden sheet of this one holds ratings, and is left unchecked
    unlooked = path.parent.name == "hidden-rows" and "--show-columns" not in options
    assert done.returncode in ((2,) if unlooked else (0, 1)), done.stderr
    assert ("Old prices" in done.stderr) is unlooked
    return done


def as_text(path: Path, tmp_path: Path) -> str:
    return checked(path).stdout


def as_columns(path: Path, tmp_path: Path) -> str:
    return checked(path, "--show-columns").stdout


def as_page(path: Path, tmp_path: Path) -> str:
    checked(path, "--html", tmp_path / "page.html")
    return texts_of_page((tmp_path / "page.html").read_text(encoding="utf-8"))


def as_workbook(path: Path, tmp_path: Path) -> str:
    checked(path, "--xlsx", tmp_path / "marked.xlsx")
    return texts_of_workbook(tmp_path / "marked.xlsx")


def as_junit(path: Path, tmp_path: Path) -> str:
    return texts_of_junit(checked(path, "--format", "junit").stdout)


def as_json(path: Path, tmp_path: Path) -> str:
    report = json.loads(checked(path, "--format", "json").stdout)
    findings = [finding[name] for finding in report["findings"] for name in ("item", *SAID)]
    reasons = [item["why"] for item in report["not_compared"]]
    passed = [
        reason for each in report.get("sheets", [report["list"]]) for reason in each["passed_over"]
    ]
    return "\n".join(text for text in [*findings, *reasons, *passed] if text)


def as_tidied(path: Path, tmp_path: Path) -> str:
    done = here("tidy", path, "-o", tmp_path / "tidied", columns=WIDE)
    assert done.returncode == 0, done.stderr
    return done.stdout


REPORTS = [
    *((output, path) for output in (as_text, as_columns, as_json) for path in LISTS),
    *((output, path) for output in (as_page, as_workbook, as_junit) for path in LISTS[:2]),
    (as_tidied, DEMO),
]


@pytest.mark.parametrize(
    ("output", "path"),
    REPORTS,
    ids=lambda each: getattr(each, "__name__", None) or each.parent.name,
)
def test_a_report_is_said_by_messages(
    output: Callable[[Path, Path], str], path: Path, tmp_path: Path
) -> None:
    assert left(output(path, tmp_path), path) == []


def without_words(report: dict[str, Any]) -> dict[str, Any]:
    """A report as data, without what is said in it."""
    for finding in report["findings"]:
        for name in ("item", *SAID):
            finding[name] = finding[name] is not None
    for item in report["not_compared"]:
        item["why"] = bool(item["why"])
    for each in (report["list"], *report.get("sheets", [])):
        each["passed_over"] = sorted(each["passed_over"].values())
    for sheet in report["sheets_not_checked"]:
        sheet["why"] = bool(sheet["why"])
    report["incomplete"] = len(report["incomplete"])
    return report


@pytest.mark.parametrize(
    "path", [*LISTS, CORPUS / "french-bom" / "list.csv"], ids=lambda p: p.parent.name
)
def test_a_language_changes_words_and_nothing_else(path: Path) -> None:
    other = json.loads(checked(path, "--format", "json").stdout)
    with in_language("en"):
        english = json.loads(checked(path, "--format", "json").stdout)
    assert without_words(other) == without_words(english)


IN_USE = "in-use --grade 80 --size 10mm"
COMMANDS = f"""
{IN_USE} --legs 2 --angle 60 --angle-to horizontal --by us
{IN_USE} --legs 4 --angle 45 --load 3t
in-use --grade 100 --size 3/8in --legs 2 --angle 30 --by us --temperature 480F --load 9t
{IN_USE} --legs 2 --angle 45 --temperature 350C --exposed 380C --shortened no-cradle --shortened-legs 1 --edge-radius 8mm
{IN_USE} --legs endless --hitch choke
{IN_USE} --legs 2 --hitch choke --angle 45 --choke-angle 100 --load-shape square --by us
in-use hook --grade 80 --size 10mm --form sorting --load-position tip --load-angle 30
in-use grab-hook --grade 80 --size 10mm --shortened cradle
in-use chain --grade 70 --size 3/8in --by us-tiedown --tie-down
in-use --grade 70 --size 3/8in --by us
in-use --grade 80 --size 11mm
{IN_USE} --legs 2 --angle 70
{IN_USE} --legs 2
{IN_USE} --legs 3 --angle 45 --asymmetric
{IN_USE} --marked 3.2t --legs 2 --angle 45
{IN_USE} --marked 9t --load 4t
{IN_USE} --legs 2 --angle 30 --angle 50
{IN_USE} --legs 2 --angle 45 --component name=hook,grade=80,size=8mm
{IN_USE} --legs 2 --angle 45 --by australian
{IN_USE} --temperature 900C
{IN_USE} --by nobody
{IN_USE} --by alberta
{IN_USE} --by namibia-mines
{IN_USE} --by us --legs 2 --angle 30
{IN_USE} --by us --hitch choke --choke-angle 60
{IN_USE} --legs endless --hitch doubled
{IN_USE} --hitch doubled
in-use --grade 80 --size x
{IN_USE} --legs 7
{IN_USE} --legs 2 --angle 45 --angle-to upwards
{IN_USE} --load x
{IN_USE} --hitch none --edge-radius 1mm
{IN_USE} --edge-radius 1mm
suit --takes sling-eye --joins chain --load 3t
suit --takes x
suit --takes sling-eye --joins chain --grade 80 --temperature 600C
suit --takes sling-eye --grade 70 --by us-tiedown --purpose tie-down --temperature 300C
ratings chain --where grade=80
ratings hooks --where scheme=us-chain
suit
suit --takes sling-eye --joins chain --load 3t --legs 2 --leg-angle 45 --temperature 300C --people yes
suit --takes sling-eye --joins chain --purpose tie-down --grade 70 --overhead yes
suit --purpose hanging --takes lifting-eye --turn under-load --eye-lies across --latch in-the-way --slack yes --release from-afar --environment acid --hooks pair --included 100
suit --takes plate-edge --hooks pair --included 60 --by us --load 2t --turn line-up --environment salt-water --people no
fit --throat 35mm --bowl 40mm --item 30mm
fit --sling-width 60mm --hook-width 40mm
fit --legs 2 --included 100
fit --grab 80,3/8 --chain 80,3/8
fit --grab 80,10mm --chain 100,8mm
fit --link-width 60mm --crane-hook 70mm
fit
fit --item 30mm
fit --legs 2
fit --grab 80
limits hook --throat 35mm --measured throat=38mm
limits hook --throat 35mm --section 20mm --measured throat=36mm --measured twist=12 --measured cracks=yes
limits chain --size 10mm --measured diameter=8.9mm --length 1000mm --measured length=1060mm
limits chain --size 7/16in --grade 43 --measured link=9.9mm
limits hook --area 1000 --measured area=900
limits crane-hook --throat 80mm --seat 60mm
limits double-crane-hook --area 2000
limits wheel
limits hook --measured throat=38mm
limits hook --throat 35mm --document nope
limits hook --throat 35mm --measured foo=3
leg-tensions --load 2t --point 0,0,0 --point 2,0,0 --centre 0.8,0,0 --hook 0.8,0,1.5
leg-tensions --load 2t --point 0,0,0 --point 2,0,0 --point 1,2,0 --centre 1,0.7,0 --hook 1,0.7,2
leg-tensions --load 2t --point 0,0,0 --point 2,0,0 --point 2,2,0 --point 0,2,0 --centre 1,1,0 --length 2 --length 2 --length 2 --length 2
leg-tensions --load 2t --point 0,0,0 --centre 1,1,0
leg-tensions --load 2t --point 0,0,0 --point 2,0,0 --centre 3,0,0 --hook 0.8,0,1.5
leg-tensions --load 2t --point 0,0 --point 2,0,0 --centre 3,0,0 --hook x,0,1.5
leg-tensions --load 2t --point 0,0,0 --point 2,0,0 --centre 0.8,0,0 --length 0.5 --length 0.6
ratings chain --where nope=3
ratings nope
ratings chain nope
audit
audit nope
explain
explain nope
diff nope nope
diff DEMO DEMO
export -o OUT csv
export -o OUT chain
export -o OUT --format x chain
check nope.csv
check DEMO --since nope.json
check DEMO --decisions nope.csv
check DEMO --scheme nope
check DEMO --column x
check DEMO --column wll=Nope
check DEMO --sheet Nope
check DEMO --profile nope
check DEMO --xlsx x.csv
check DEMO --with /tmp
check DEMO --scheduler x
check DEMO --engine dask
check DEMO --column wll=Item --show-columns
check DEMO --column size=Item --show-columns
check DEMO --column nope=Item --show-columns
"""


def arguments(command: str, tmp_path: Path) -> list[str]:
    """The arguments of a command; ``10mm`` stands for ``10 mm``."""
    filled = command.replace("DEMO", str(DEMO)).replace("OUT", str(tmp_path / "out"))
    return [re.sub(r"^(\d[\d./]*)(mm|t|in|C|F)$", r"\1 \2", each) for each in filled.split()]


@pytest.mark.parametrize("command", COMMANDS.strip().splitlines())
def test_an_answer_or_a_refusal_is_said_by_messages(command: str, tmp_path: Path) -> None:
    done = here(*arguments(command, tmp_path), columns=WIDE)
    wrote = f"{done.stdout}\n{done.stderr.removeprefix('tallyhook: ')}"
    given = [each for each in arguments(command, tmp_path) if each[0].isalpha()]
    assert left(wrote, DEMO, also=given) == []


@pytest.mark.parametrize("rule", all_rules("stock"), ids=lambda rule: rule.name)
def test_a_finding_about_a_list_is_said_by_messages(
    rule: Rule, reference: pl.DataFrame, packages: dict[str, Package]
) -> None:
    items = example_tables(rule.sections["Example"], "items")["items"]
    found = found_by(rule.name, items, reference, packages)
    assert found
    texts = "\n".join(str(finding.get(name) or "") for finding in found for name in SAID)
    # why a cell was unread is said where it is read; the example writes it as read in English
    unread = [
        cell["why"] for item in items for cell in json.loads(item.get("unread_cells") or "[]")
    ]
    given = [*unread, *(cell for item in items for cell in item.values())]
    assert left(texts, DEMO, also=given) == []


@pytest.mark.parametrize("rule", all_rules("package"), ids=lambda rule: rule.name)
def test_a_finding_about_a_package_is_said_by_messages(rule: Rule) -> None:
    tables = frames(rule.sections["Example"], rule.reads[0])
    found = rule.check(*(tables[name] for name in rule.reads))
    assert len(found)
    # what was observed is recorded as an oddity, and the same in every language
    texts = "\n".join(
        str(found[name].iloc[n] or "") for name in SAID[1:] for n in range(len(found))
    )
    cells = {str(cell) for table in tables.values() for cell in table.to_numpy().ravel()}
    assert left(texts.replace("None", " ").replace("nan", " "), DEMO, also=cells) == []
