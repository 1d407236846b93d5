"""The catalogue of messages: collected from code, templates, rules and tables; compiled to .mo.

Run by ``scripts/messages``. A message of code is the literal that `say`, `say_count`, `say_each`
or `to_say` is given; titles of rules and the texts of some tables are said as they stand there.
"""

from __future__ import annotations

import argparse
import io
import string
import sys
from collections.abc import Iterator
from contextlib import redirect_stderr
from pathlib import Path

from babel.messages.catalog import Catalog, Message
from babel.messages.extract import extract_from_file
from babel.messages.mofile import write_mo
from babel.messages.pofile import read_po, write_po

from tallyhook.messages import LOCALES
from tallyhook.packages.package import built_in_packages
from tallyhook.packages.table_texts import TEXT_COLUMNS
from tallyhook.rules import all_rules

CODE = LOCALES.parent
TEMPLATE = LOCALES / "tallyhook.pot"
KEYWORDS = {"say": None, "say_count": (1, 2), "say_each": None, "to_say": None}
_HEAD = """\
# The texts of tallyhook that a person reads; made by scripts/messages, never by hand.
# What stands in braces is filled in and keeps its name.
msgid ""
msgstr ""
"Content-Type: text/plain; charset=UTF-8\\n"
"Content-Transfer-Encoding: 8bit\\n"

"""


_HEADER = {"project": "tallyhook", "version": "1", "copyright_holder": "The tallyhook authors"}


def messages() -> Catalog:
    """Collect every message, with the files it stands in."""
    catalogue = Catalog(fuzzy=False)
    for message, place in [*_of_code(), *_of_rules(), *_of_tables()]:
        catalogue.add(message, locations=[(place, 0)], flags=[])
    return catalogue


def template_text(catalogue: Catalog) -> str:
    """Write the template of a catalogue, in the order of the messages."""
    out = io.BytesIO()
    write_po(out, catalogue, width=100, omit_header=True, sort_output=True, include_lineno=False)
    return _HEAD + out.getvalue().decode("utf-8")


def _of_code() -> Iterator[tuple[str | tuple[str, ...], str]]:
    for path in sorted(CODE.rglob("*")):
        method = {".py": "python", ".jinja": "jinja2.ext:babel_extract"}.get(path.suffix)
        if method is None:
            continue
        place = path.relative_to(CODE).as_posix()
        # it warns of f-strings among the parts; a test sees one that stands for the message
        with redirect_stderr(io.StringIO()):
            found = list(extract_from_file(method, path, keywords=KEYWORDS))
        for _, message, _, _ in found:
            # what the docstrings of `tallyhook.messages` show is no message
            if message and place != "messages.py":
                yield message, place


def _of_rules() -> Iterator[tuple[str, str]]:
    for kind in ("package", "stock", "decision"):
        for rule in all_rules(kind):
            yield rule.title, f"rules/{kind}/{rule.name.replace('-', '_')}.py"


def _of_tables() -> Iterator[tuple[str, str]]:
    for (package, table), columns in TEXT_COLUMNS.items():
        rows = built_in_packages()[package][table]
        for column in columns:
            for text in rows[column].drop_nulls().unique(maintain_order=True):
                if text:
                    yield text, f"{package}/{table}.csv"


def main() -> None:
    """Write the template, bring every language up to date, and compile it."""
    parser = argparse.ArgumentParser(description="Collect and compile the messages.")
    parser.add_argument("--begin", metavar="LANGUAGE", help="begin the catalogue of a language")
    begun = parser.parse_args().begin
    catalogue = messages()
    TEMPLATE.parent.mkdir(exist_ok=True)
    TEMPLATE.write_text(template_text(catalogue), encoding="utf-8")
    print(f"{len(catalogue)} messages")
    if begun:
        folder = LOCALES / begun / "LC_MESSAGES"
        folder.mkdir(parents=True)
        with (folder / "tallyhook.po").open("wb") as out:
            write_po(out, Catalog(locale=begun, fuzzy=False, **_HEADER), width=100)
    faults = [
        fault
        for path in sorted(LOCALES.glob("*/LC_MESSAGES/tallyhook.po"))
        for fault in bring_up_to_date(path, catalogue)
    ]
    if faults:
        sys.exit("\n".join(faults))


def bring_up_to_date(path: Path, template: Catalog) -> list[str]:
    """Add new messages to a language, leave out old ones, compile it; name its faults."""
    language = path.parents[1].name
    with path.open("rb") as lines:
        own = read_po(lines, locale=language)
    own.update(template, no_fuzzy_matching=True)
    with path.open("wb") as out:
        write_po(out, own, width=100, sort_output=True, include_lineno=False, ignore_obsolete=True)
    faults = [f"{language}: {fault}" for message in own for fault in faults_of(message)]
    if not faults:
        with path.with_suffix(".mo").open("wb") as out:
            write_mo(out, own)
    done = sum(1 for message in own if message.id and any(_forms(message.string)))
    print(f"{language}: {done} of {len(own)} messages translated")
    return faults


def faults_of(message: Message) -> Iterator[str]:
    """Name the translations that have other parts than their message: they could not be filled."""
    if not message.id:
        return
    english = _forms(message.id)
    try:
        wanted = set().union(*map(_parts, english))
    except ValueError:  # a text of a table, with a brace of its own
        return
    for text in filter(None, _forms(message.string)):
        if not wanted:
            continue  # said without parts, and never filled in
        try:
            strange = _parts(text) - wanted
        except ValueError as error:
            yield f"'{text}' cannot be filled in ({error})"
            continue
        if strange:
            yield f"'{text}' has {{{sorted(strange)[0]}}}, which '{english[0]}' has not"


def _forms(texts: str | tuple[str, ...] | list[str]) -> tuple[str, ...]:
    return (texts,) if isinstance(texts, str) else tuple(texts)


def _parts(text: str) -> set[str]:
    try:
        return {name for _, name, _, _ in string.Formatter().parse(text) if name}
    except ValueError:
        if text.count("{") == text.count("}"):
            raise
        raise ValueError("a brace is not closed") from None


if __name__ == "__main__":
    main()
