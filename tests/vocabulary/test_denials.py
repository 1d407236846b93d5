"""Denials: every word of denial of every language, crossed with every word of a flag.

The tables say which words there are; the sentences and what they mean are the grammar of the
languages, common knowledge and no source. Each text is read on its own.
"""

from __future__ import annotations

from collections.abc import Iterator

import pandas as pd
import pytest

import tallyhook
from tallyhook.texts.description import describe
from tallyhook.texts.flags import flag_of, read_flag, says
from tallyhook.texts.scan import Context, Scan
from tallyhook.vocabulary.denials import affixed
from tallyhook.vocabulary.lexicon import rows

LANGUAGES = sorted({str(r["language"]) for r in rows("denial-words")} - {"any"})


def _words(language: str, *manners: str, but: str = "") -> list[str]:
    """Give the words of some manners, without those that also have another one."""
    other = {r["word"] for r in rows("denial-words") if r["manner"] in but.split()}
    return [
        str(r["word"])
        for r in rows("denial-words")
        if r["language"] == language and r["manner"] in manners and r["word"] not in other
    ]


def _flags(language: str) -> Iterator[tuple[str, str, str]]:
    """Give the words of a flag that a denial turns round: word, flag, what its denial says."""
    withs = set(_words(language, "with"))
    for row in rows("flag-words"):
        if str(row["word"]).split()[0] in withs:
            continue  # nobody writes "without with bearing"
        if row["language"] == language and row["denied"] and row["value"] in ("yes", "bearing"):
            yield str(row["word"]), str(row["flag"]), str(row["denied"])


_TAKEN_OUT = {str(r["word"]) for r in rows("flag-words") if not r["denied"]}
"""Phrases that mean something else, such as "zur Sicherung"."""


def _wrong(language: str, patterns: list[str], every: int = 1) -> list[tuple[str, str, set[str]]]:
    """Give the texts whose flag is not read as denied; `{}` stands for the flag's word.

    `every` takes one word of a flag in so many, where all of them with all denials were tried.
    """
    wrong = []
    for word, flag, denied in list(_flags(language))[::every]:
        for pattern in patterns:
            text = pattern.replace("{}", word)
            if any(text.endswith(f" {phrase}") for phrase in _TAKEN_OUT):
                continue
            found, _ = flag_of(Scan(text, Context()), flag)
            if found != {denied}:
                wrong.append((text, flag, found))
    return wrong


@pytest.mark.parametrize("language", LANGUAGES)
def test_every_denial_before_a_flag_denies_it(language: str) -> None:
    before = _words(language, "without", "none", "not", "lacking", but="number")
    patterns = [f"10 mm {w} {{}}" for w in before] + [f"G80, {w} {{}}, 10 mm" for w in before]
    assert len(patterns) > 60
    assert _wrong(language, patterns) == []


@pytest.mark.parametrize("language", LANGUAGES)
def test_every_denial_behind_a_flag_denies_it(language: str) -> None:
    behind = _words(language, "after", "lacking")
    patterns = [f"10 mm {{}} {w}, G80" for w in behind] + [f"10 mm, {{}}: {w}" for w in behind]
    assert _wrong(language, patterns) == []


@pytest.mark.parametrize("language", LANGUAGES)
def test_every_no_behind_a_flag_answers_it(language: str) -> None:
    patterns = [
        pattern
        for word in [*_words(language, "no"), *_words("any", "no")]
        for pattern in (f"{{}}: {word}", f"10 mm {{}} = {word}, G80", f"{{}} ({word})")
    ]
    patterns += [f"{{}} - {w} - 10 mm" for w in _words(language, "no")]
    assert _wrong(language, patterns) == []


@pytest.mark.parametrize("language", LANGUAGES)
def test_what_is_not_there_is_denied(language: str) -> None:
    there = _words(language, "there")
    patterns = [
        f"{{}} {no} {word}" for no in _words(language, "not", but="number") for word in there
    ]
    # "not fitted with", "nicht mit ... versehen", "no equipado con"
    patterns += [
        f"10 mm {no} {has} {word} {{}}"
        for no in _words(language, "not", but="number")
        for has in _words(language, "has", but="passed open without")[:9]
        for word in _words(language, "with")[:3]
    ]
    assert _wrong(language, patterns, every=9) == []


@pytest.mark.parametrize("language", LANGUAGES)
def test_a_denial_reaches_over_articles_and_lists(language: str) -> None:
    without = _words(language, "without", "none")[:8]
    words = _words(language, "passed", but="has number not and open lacking no yes without")
    joined = _words(language, "and", but="not none")
    patterns = [f"10 mm {no} {word} {{}}" for no in without[:3] for word in words]
    patterns += [f"10 mm {no} quux {word} {{}}" for no in without for word in joined]
    assert _wrong(language, patterns, every=9) == []


@pytest.mark.parametrize("language", LANGUAGES)
def test_a_word_joined_with_its_denial_denies(language: str) -> None:
    forms = [(f, flag, no) for w, flag, no in _flags(language) for f in affixed(w, language)]
    wrong = [
        (form, flag)
        for form, flag, denied in forms
        if flag_of(Scan(f"10 mm {form} G80", Context()), flag)[0] != {denied}
    ]
    assert wrong == []


@pytest.mark.parametrize("language", LANGUAGES)
def test_what_is_left_open_is_neither_yes_nor_no(language: str) -> None:
    # of each pair of words one is enough to see that the order does not matter
    left_open = _words(language, "open", but="passed there approved without has offered")
    withs = _words(language, "with")[:4]
    withouts = _words(language, "without")[:4]
    ors = _words(language, "and", but="not none")
    patterns = [f"10 mm {w} {{}}, G80" for w in left_open] + [f"{{}} {w}" for w in left_open]
    patterns += [f"10 mm {a} {o} {b} {{}}" for a in withs for o in [*ors, "/"] for b in withouts]
    patterns += [f"10 mm {b} {o} {a} {{}}" for a in withs for o in [*ors, "/"] for b in withouts]
    wrong = []
    for word, flag, _ in list(_flags(language))[::5]:
        for pattern in patterns:
            text = pattern.replace("{}", word)
            if flag_of(Scan(text, Context()), flag)[0]:
                wrong.append((text, flag))
    assert wrong == []


@pytest.mark.parametrize("language", LANGUAGES)
def test_what_is_said_is_said(language: str) -> None:
    yes = _words(language, "yes")
    withs = _words(language, "with")
    patterns = ["10 mm {}", *(f"10 mm {w} {{}}, G80" for w in withs), *(f"{{}}: {w}" for w in yes)]
    wrong = []
    for row in rows("flag-words"):
        if row["language"] == language and row["value"] in ("yes", "bearing"):
            for pattern in patterns:
                text = pattern.replace("{}", str(row["word"]))
                found = flag_of(Scan(text, Context()), row["flag"])[0]
                if found != {row["value"]}:
                    wrong.append((text, row["flag"], found))
    assert wrong == []


@pytest.mark.parametrize(
    ("text", "cradle", "latch"),
    [
        # one denial for two things, and two answers in one line
        ("Grab hook w/o cradle or latch", "no", "no"), ("Grab hook with cradle and latch", "yes", "yes"), ("Grab hook, latch and cradle not supplied", "no", "no"),
        ("Verkürzungshaken weder mit Auflage noch mit Sicherung", "no", "no"), ("Verkürzungshaken mit Auflage, aber ohne Sicherung", "yes", "no"), ("Auflage ja, Sicherung nein", "yes", "no"),
        ("Crochet raccourcisseur sans linguet mais avec berceau", "yes", "no"), ("Crochet, ni linguet, ni berceau", "no", "no"), ("berceau : oui / linguet : non", "yes", "no"),
        ("Gancho acortador sin pestillo ni cuna", "no", "no"), ("Gancho acortador con cuna, pero sin pestillo", "yes", "no"), ("cuna: sí; pestillo: no", "yes", "no"),
        # a denial that belongs to another word
        ("Grab hook no burrs, with cradle", "yes", None), ("Latch not galvanised, eye hook", None, "yes"), ("Latch without pin, eye hook", None, "yes"), ("Non-magnetic hook with latch", None, "yes"),
        ("Haken ohne Farbe, mit Falle", None, "yes"), ("Haken, Sicherung nicht verzinkt", None, "yes"), ("Haken, Falle ohne Bolzen", None, "yes"), ("Verkürzungshaken, kein Guss, mit Auflage", "yes", None),
        ("Crochet sans peinture, avec linguet", None, "yes"), ("Crochet, linguet non peint", None, "yes"), ("Crochet, linguet sans axe", None, "yes"),
        ("Gancho sin pintura, con pestillo", None, "yes"), ("Gancho, pestillo no pintado", None, "yes"), ("Gancho, pestillo sin pasador", None, "yes"),
        # left open, or another thing
        ("Hook, latch on request", None, None), ("Hook not without latch", None, None), ("Hook, spare latch kit not included", None, None), ("No. 7 cradle grab hook", "yes", None),
        ("Haken m/o Sicherung", None, None), ("Haken, Sicherung auf Wunsch", None, None), ("Haken mit oder ohne Auflage", None, None), ("Zurrkette zur Sicherung von Ladung", None, None),
        ("Crochet avec/sans linguet", None, None), ("Crochet, linguet en option", None, None), ("Tendeur à cliquet sans chaîne", None, None),
        ("Gancho con/sin pestillo", None, None), ("Gancho, pestillo opcional", None, None), ("Gancho, pestillo bajo pedido", None, None),
        # words and denials in every form
        ("Haken mit keinem Sicherungsbügel", None, "no"), ("Haken, Falle entfällt", None, "no"), ("Haken, Sicherung wurde entfernt", None, "no"), ("sicherungsloser Haken", None, "no"),
        ("Crochet livré sans linguet", None, "no"), ("Crochet, linguet manquant", None, "no"), ("Crochet non muni de linguet", None, "no"), ("Crochet, n'est pas équipé d'un linguet", None, "no"),
        ("Gancho, falta el pestillo", None, "no"), ("Gancho desprovisto de pestillo", None, "no"), ("Gancho que no tiene pestillo", None, "no"), ("Gancho, sin ningún pestillo", None, "no"),
        ("Hook 10 mm no latch no swivel", None, "no"), ("Hook with latch and swivel but no cradle", "no", "yes"), ("cradle=no latch=yes", "no", "yes"), ("latch: N", None, "no"), ("Haken ohne angeschraubte Auflage", "no", None),
        ("Grab hook supports 3/8 chain", None, None), ("Haken ab Lager, mit Falle", None, "yes"), ("Hook less 10% WLL, with latch", None, "yes"), ("Linguet de rechange", None, None), ("Hook, latch n/a", None, None),
        ("Hook, not fitted with a latch", None, "no"), ("Haken, nicht mit Falle versehen", None, "no"), ("Gancho no equipado con pestillo", None, "no"), ("Crochet, non livré avec linguet", None, "no"),
        ("Hook [no latch]", None, "no"), ("Hook -- latch: NONE", None, "no"), ("Hook, (w/o) latch", None, "no"), ("cradle-less grab hook", "no", None), ("Hook ships less latch", None, "no"),
    ],
)  # fmt: skip
def test_a_sentence_says_what_a_reader_takes_from_it(
    text: str, cradle: str | None, latch: str | None
) -> None:
    read = describe(text)
    assert (read.cradle, read.latch) == (cradle, latch)


@pytest.mark.parametrize(
    ("text", "overhead"),
    [
        ("Chain, not approved for lifting", "no"), ("Chain: overhead lifting forbidden", "no"), ("Chain not only for towing but for overhead lifting", "yes"), ("Lifting chain", None),
        ("Kette, zum Heben geeignet", "yes"), ("Kette, zum Heben nicht geeignet", "no"), ("Kette, darf nicht zum Heben von Lasten benutzt werden", "no"), ("Kette, nicht zum Heben von Personen", None),
        ("Chaîne apte au levage", "yes"), ("Chaîne inapte au levage", "no"), ("Chaîne de levage", None), ("Levage de personnes interdit", None),
        ("Cadena autorizada para izaje", "yes"), ("Cadena no autorizada para izaje", "no"), ("Prohibido el izaje de cargas", "no"), ("Cadena de izaje", None),
    ],
)  # fmt: skip
def test_lifting_is_allowed_where_a_word_allows_it(text: str, overhead: str | None) -> None:
    assert describe(text).overhead == overhead


@pytest.mark.parametrize(
    ("text", "pair", "swivel"),
    [
        ("WLL per pair", "yes", None), ("Load each, not per pair", None, None), ("je Paar", "yes", None), ("Stückpreis, nicht je Paar", None, None), ("non par paire", None, None),
        ("Swivel hook without ball bearing", None, "positioning"), ("Swivel hook with ball bearing", None, "bearing"), ("Wirbelhaken ohne Kugellager", None, "positioning"), ("Haken ohne Wirbel", None, None),
        ("Swivel hook, not to be turned under load", None, "positioning"), ("Swivel hook, does not rotate under load", None, "positioning"), ("Crochet à émerillon sans roulement", None, "positioning"), ("Gancho giratorio con rodamiento", None, "bearing"),
    ],
)  # fmt: skip
def test_pairs_and_swivels_are_denied_alike(
    text: str, pair: str | None, swivel: str | None
) -> None:
    scan = Scan(text, Context())
    assert flag_of(scan, "pair")[0] == ({pair} if pair else set())
    assert describe(text).swivel == swivel


@pytest.mark.parametrize(
    ("cell", "value"),
    [("No", "no"), ("w/out", "no"), ("keiner", "no"), ("aucune", "no"), ("ninguno", "no"), ("fehlt", "no"), ("JA", "yes"), ("oui", "yes"), ("Sí", "yes"), ("✓", "yes"), ("-", None), ("option", None)],
)  # fmt: skip
def test_a_cell_of_a_flag_answers(cell: str, value: str | None) -> None:
    assert read_flag(cell, "latch")[0] == value


@pytest.mark.parametrize(
    "words",
    ["Cradle grab hook, cradle optional", "Verkürzungsklaue mit oder ohne Auflage", "winged grab hook with or without wings", "Verkürzungsklaue, Auflage wahlweise"],
)  # fmt: skip
def test_a_form_that_has_a_cradle_has_none_for_sure_where_the_words_leave_it_open(
    words: str,
) -> None:
    read = describe(words)
    assert (read.kind, read.form, read.cradle) == ("grab-hook", "grab", None)


def test_a_flag_is_said_only_where_nothing_denies_it() -> None:
    assert says("Lifting chain", "lifting")
    assert not says("Chain, not for lifting", "lifting")
    assert not says("Lifting chain, never for hoisting", "lifting")


@pytest.mark.parametrize(
    "words", ["ohne Auflage", "mit keiner Auflage", ", keiner Auflage", ", Auflage: keinen"]
)
def test_a_shortening_hook_without_cradle_at_the_full_rating_is_a_danger(words: str) -> None:
    # EN 818-2, table of ratings: 10 mm in grade 8 is 3.15 t; a fifth less without cradle
    row = {"Item": f"Verkürzungshaken {words}", "Size": "10 mm", "Grade": "8", "WLL (kg)": "3150"}
    found = tallyhook.check(pd.DataFrame([row])).findings
    assert ("danger", "grab-hook-without-cradle-is-not-reduced") in set(
        zip(found["severity"], found["rule"], strict=True)
    )


@pytest.mark.parametrize("word", ["sem", "senza", "zonder", "bez", "utan", "uten", "geen"])
def test_a_denial_of_a_language_that_is_not_read_otherwise_denies(word: str) -> None:
    # Portuguese, Italian, Dutch, Polish, Swedish, Norwegian: as any dictionary gives them
    assert describe(f"grab hook {word} cradle 10 mm grade 80").cradle == "no"


@pytest.mark.parametrize(
    "words", ["cradle removed", "lacking a cradle", "sans aucun appui", "sin ninguna cuna"]
)
def test_a_cradle_that_is_not_there_is_not_read_as_one(words: str) -> None:
    assert describe("grab hook with cradle").cradle == "yes"
    assert describe(f"grab hook, {words}").cradle != "yes"


@pytest.mark.parametrize(
    "words", ["w o latch", "W O SAFETY LATCH", "w.o latch", "w-o latch", "w\\o latch"]
)
def test_without_is_read_in_every_way_it_is_written_short(words: str) -> None:
    # common practice, no source: w/o as a system writes it that keeps no slashes
    assert describe(f"Sling hook {words} 10 mm grade 80").latch == "no"
    assert describe(f"Sling hook with or {words} 10 mm grade 80").latch is None


@pytest.mark.parametrize(
    ("text", "flag", "value"),
    [
        ("Chain sling choke no latch", "hitch", "choke"), ("Kettengehänge basket hitch keine Auflage", "hitch", "basket"), ("Chain sling, not for choker", "hitch", None),
        ("Hoist hook carbon optional latch", "material", "carbon"), ("Hoist hook carbon steel not suitable for overhead lifting", "material", "carbon"), ("Hook, no carbon steel", "material", None),
        ("Ösenlasthaken keine Hakensicherung per pair", "pair", "yes"), ("Sling hook latch not fitted per pair", "pair", "yes"), ("Crochet à tige roulement absent par paire", "pair", "yes"),
        ("Sling, reduction of WLL forbidden in choke", "hitch", "choke"), ("Chain, latch not included non wings", "cradle", "no"),
    ],
)  # fmt: skip
def test_a_denial_of_something_else_leaves_hitch_material_and_pair_said(
    text: str, flag: str, value: str | None
) -> None:
    # a choke or a pair that is not read lets a load agree with the table of straight legs or of one
    assert getattr(describe(text), flag) == value


@pytest.mark.parametrize(
    ("text", "cradle"),
    [
        ("Grab hook, cradle extra", None), ("Grab hook cradle: extra", None), ("Grab hook, cradle extra charge", None), ("Grab hook, cradle extra large", "yes"),
        ("Verkürzungshaken, Auflage zusätzlich", None), ("Gancho acortador, apoyo adicional", None), ("Crochet raccourcisseur, appui en supplément", None),
        ("Crochet raccourcisseur, pas de linguet ou appui", "no"), ("Crochet raccourcisseur, pas d'appui", "no"),
    ],
)  # fmt: skip
def test_a_cradle_that_costs_extra_is_not_read_as_there(text: str, cradle: str | None) -> None:
    # with a cradle a grab hook has the full rating of its chain: none may be read into a list
    assert describe(text).cradle == cradle


@pytest.mark.parametrize(
    ("text", "overhead"),
    [
        ("Chain, overhead lifting available", "yes"), ("Chain, overhead lifting: required", "yes"), ("Chain, optional overhead use", "yes"), ("Kette, hängende Lasten möglich", "yes"), ("Cadena, cargas suspendidas posible", "yes"),
        ("G70 hook, suspended loads w/o latch", "yes"), ("G70 Kette für hängende Lasten ohne Haken", "yes"), ("Chaîne pour charges suspendues sans crochet", "yes"), ("Cadena para cargas suspendidas sin ganchos", "yes"),
        ("Chain, overhead lifting not available", "no"), ("Chain, overhead lifting n/a", None), ("Chain, no overhead lifting possible", None),
    ],
)  # fmt: skip
def test_lifting_that_is_offered_or_without_a_part_is_sold(text: str, overhead: str | None) -> None:
    assert describe(text).overhead == overhead


@pytest.mark.parametrize("language", LANGUAGES)
def test_what_is_offered_leaves_a_latch_and_a_cradle_open(language: str) -> None:
    fitted = [(w, f) for w, f, _ in _flags(language) if f in ("latch", "cradle")]
    texts = [
        (text, flag)
        for word, flag in fitted
        for offered in _words(language, "offered")
        for text in (f"10 mm {word} {offered}", f"10 mm {word}: {offered}, G80")
    ]
    assert [(t, f) for t, f in texts if "yes" in flag_of(Scan(t, Context()), f)[0]] == []


def test_a_spare_behind_a_denied_cradle_leaves_it_denied() -> None:
    assert describe("Gancho acortador, no cuna, spare").cradle == "no"
    assert describe("Grab hook, cradle, optional").cradle is None


def test_what_is_replaced_is_not_the_latch_that_is_missing() -> None:
    assert describe("Self-locking hook, replaces G70 without latch").latch == "no"
    assert describe("Hook, replaces latch").latch is None
