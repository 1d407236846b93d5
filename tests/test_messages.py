"""The catalogue of messages: it is up to date, and every message is a literal that can be found."""

from __future__ import annotations

import ast
import importlib.util
from pathlib import Path
from types import ModuleType

import polars as pl
import pytest

from pseudo_language import LANGUAGE, write_catalogue
from tallyhook.messages import LOCALES, in_language, say, say_count, say_each, spoken

ROOT = Path(__file__).resolve().parents[1]
OURS = {"PackageError", "RuleCrash", "StockListError", "TallyhookError", "UseRefused"}
SAYING = {"say", "say_count", "say_each", "to_say"}


def script() -> ModuleType:
    spec = importlib.util.spec_from_file_location("catalogue", ROOT / "scripts" / "catalogue.py")
    assert spec and spec.loader
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


def test_the_template_holds_every_message() -> None:
    made = script()
    kept = (LOCALES / "tallyhook.pot").read_text(encoding="utf-8")
    assert kept == made.template_text(made.messages()), "run scripts/messages"


def _calls(path: Path) -> list[tuple[ast.Call, list[ast.AST]]]:
    """The calls that say something, each with what it stands in."""
    found: list[tuple[ast.Call, list[ast.AST]]] = []

    def visit(node: ast.AST, around: list[ast.AST]) -> None:
        if isinstance(node, ast.Call):
            name = getattr(node.func, "id", getattr(node.func, "attr", ""))
            if name in SAYING:
                found.append((node, around))
        for child in ast.iter_child_nodes(node):
            visit(child, [*around, node])

    visit(ast.parse(path.read_text(encoding="utf-8")), [])
    return found


CODE = [p for p in sorted(LOCALES.parent.rglob("*.py")) if p.name != "messages.py"]


def wrong_calls(path: Path) -> list[str]:
    wrong = []
    for call, around in _calls(path):
        name = getattr(call.func, "id", getattr(call.func, "attr", ""))
        place = f"{path.name}:{call.lineno}: {name}"
        for given in call.args[: 2 if name == "say_count" else 1]:
            known = isinstance(given, ast.Constant) and isinstance(given.value, str)
            kept = isinstance(given, ast.Name | ast.Attribute | ast.Subscript)
            if not known and not (kept and name != "to_say"):
                wrong.append(f"{place} is given a text that is made, and no literal")
            if known and any(isinstance(n, ast.JoinedStr) for n in around):
                wrong.append(f"{place} stands inside an f-string, where it is not collected")
        functions = [n for n in around if isinstance(n, ast.FunctionDef | ast.Lambda)]
        raised = any(isinstance(n, ast.Raise) for n in around)
        if name != "to_say" and not functions:
            wrong.append(f"{place} is said once, when the module is imported: use to_say")
        for function in functions:
            caches = [ast.unparse(d) for d in getattr(function, "decorator_list", [])]
            if (
                name != "to_say"
                and not raised
                and any(d.split("(")[0].endswith("cache") for d in caches)
            ):
                wrong.append(f"{place} is kept in a cache, in the language of the first")
    return wrong


def test_every_message_is_a_literal_that_is_said_when_it_is_needed() -> None:
    assert [line for path in CODE for line in wrong_calls(path)] == []


def unsaid_refusals(path: Path) -> list[str]:
    """The errors of ours that are given a literal, and no message."""
    unsaid = []
    for call in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(call, ast.Call) and getattr(call.func, "id", "") in OURS:
            given = [*call.args[:1], *(k.value for k in call.keywords if k.arg == "next_step")]
            if any(isinstance(each, ast.Constant | ast.JoinedStr) for each in given):
                unsaid.append(f"{path.name}:{call.lineno}")
    return unsaid


def test_every_refusal_is_a_message() -> None:
    assert [line for path in CODE for line in unsaid_refusals(path)] == []


@pytest.mark.parametrize(
    "code",
    [
        "def f(n):\n    return say(f'{n} rows')\n",
        "def f(n):\n    return say('a' + n)\n",
        "def f(n):\n    return f'{say(\"hidden\")}'\n",
        "WORD = say('hidden')\n",
        "@cache\ndef f():\n    return say('hidden')\n",
    ],
)
def test_a_message_that_cannot_be_collected_is_seen(code: str, tmp_path: Path) -> None:
    path = tmp_path / "some.py"
    path.write_text(code, encoding="utf-8")
    assert len(wrong_calls(path)) == 1


def test_a_catalogue_is_all_that_another_language_needs(tmp_path: Path) -> None:
    known = "Breaking force listed as the rating"  # a title of causes.csv
    with in_language(LANGUAGE, write_catalogue(tmp_path)):
        assert say(known) == "Бсдакинж еосвд литудг ат узд сауинж"
        assert say("no such message {n}", n=1) == "no such message 1"
        assert say("") == ""
    assert say(known) == known


def test_what_is_handed_on_speaks_the_same_language(tmp_path: Path) -> None:
    with in_language(LANGUAGE, write_catalogue(tmp_path)):
        handed = spoken()
    with in_language(*handed):
        assert say("Severity") == "Тдхдсиуш"


def test_an_unknown_language_is_refused() -> None:
    with pytest.raises(LookupError, match="no catalogue"), in_language("tlh"):
        pass


def test_parts_are_filled_in_by_row() -> None:
    frame = pl.DataFrame({"legs": [2, None], "angle": ["60", "45"]})
    told = frame.select(
        t=say_each("{legs} legs at {angle} deg, {{so}}", legs="legs", angle="angle")
    )
    assert told["t"].to_list() == ["2 legs at 60 deg, {so}", None]


def test_one_is_not_many() -> None:
    assert [say_count("{n} row of {of}", "{n} rows of {of}", n, of="A") for n in (0, 1, 2)] == [
        "0 rows of A",
        "1 row of A",
        "2 rows of A",
    ]


def po_of(folder: Path, english: str, translation: str) -> Path:
    path = folder / "da" / "LC_MESSAGES" / "tallyhook.po"
    path.parent.mkdir(parents=True)
    path.write_text(f'msgid "{english}"\nmsgstr "{translation}"\n', encoding="utf-8")
    return path


def test_a_translation_is_compiled(tmp_path: Path) -> None:
    made = script()
    template = made.Catalog()
    template.add("rows {rows}")
    assert made.bring_up_to_date(po_of(tmp_path, "rows {rows}", "rækker {rows}"), template) == []
    with in_language("da", tmp_path):
        assert say("rows {rows}", rows="2-4") == "rækker 2-4"


@pytest.mark.parametrize("translation", ["rækker {raekker}", "rækker {rows", "rækker {rows} {}{0}"])
def test_a_translation_that_cannot_be_filled_in_is_refused(
    translation: str, tmp_path: Path
) -> None:
    made = script()
    template = made.Catalog()
    template.add("rows {rows}")
    path = po_of(tmp_path, "rows {rows}", translation)
    assert len(made.bring_up_to_date(path, template)) == 1
    assert not path.with_suffix(".mo").exists()
