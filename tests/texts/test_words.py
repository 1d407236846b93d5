"""Words: what a thing is, its form and connection, flags. The slugs are those of hooks.forms and
hooks.connections, whose other names the words are; near misses must not be read.
"""

from __future__ import annotations

import polars as pl
import pytest

from tallyhook.packages.package import Package
from tallyhook.texts.description import describe
from tallyhook.texts.flags import read_flag
from tallyhook.texts.words import read_words
from tallyhook.vocabulary.lexicon import rows


@pytest.mark.parametrize(
    ("text", "kind"),
    [
        ("Clevis grab hook", "grab-hook"), ("HOOK, GRAB, CLEVIS", "grab-hook"), ("Chain hook", "hook"), ("Eye sling hook", "hook"),
        ("Transport chain with clevis grab hooks", "chain"), ("Chain, alloy, for hoists", "chain"), ("Rundstahlkette", "chain"), ("Gabelkopf-Lasthaken", "hook"),
        ("Crochet à œil pour chaîne", "hook"), ("Cadena de elevación", "chain"), ("Gancho acortador de ojo", "grab-hook"),
        ("Chain sling, 2-leg, with self-locking hooks", "sling"), ("SLING, CHAIN, QUAD LEG", "sling"), ("Kettengehänge 2-strängig", "sling"), ("Élingue chaîne 2 brins", "sling"),
        ("Master link", "link"), ("Hammerlock coupling link for chain", "link"), ("Aufhängeglied", "link"),
        ("Screw pin shackle for chain", "other"), ("Wire rope sling with hooks", "other"), ("Chain binder", "other"), ("Ratchet load binder with grab hooks", "other"), ("Chain hoist 3 t", "other"),
        ("Turnbuckle, hook & eye", "other"), ("Web sling 2 in", "other"), ("Hook latch kit", "other"), ("Hook block", "other"), ("Schäkel", "other"), ("Manille droite", "other"), ("Grade 8 hex bolt", "other"),
        ("Web sling hook", "hook"), ("Swivel hook", "hook"), ("Hook, swivel, alloy", "hook"), ("Swivel", "other"), ("Double clevis link", "link"),
    ],
)  # fmt: skip
def test_the_head_noun_names_the_thing(text: str, kind: str) -> None:
    assert describe(text).kind == kind


@pytest.mark.parametrize(
    "text",
    [
        "Grade 80 fittings",
        "Chain and fittings",
        "Hook and chain",
        "Snap hook",
        "Lashing chain",
        "Sling",
        "Item",
        "3/8 G80",
    ],
)
def test_a_thing_that_is_not_named_is_not_guessed(text: str) -> None:
    assert describe(text).kind is None


@pytest.mark.parametrize(
    ("text", "form"),
    [
        ("grab hook", "grab"), ("grab hook with cradle", "cradle-grab"), ("winged grab hook", "cradle-grab"), ("grab hook w/o cradle", "grab"), ("cradle grab hook", "cradle-grab"),
        ("self-locking hook", "self-locking"), ("Lasthaken, selbstverriegelnd", "self-locking"), ("gancho autobloqueante", "self-locking"),
        ("eye sling hook with latch", "self-closing"), ("Lasthaken mit Sicherungsfalle", "self-closing"), ("crochet à linguet", "self-closing"),
        ("foundry hook", "foundry"), ("Gießereihaken", "foundry"), ("shake-out hook", "sorting"), ("J-hook", "j-hook"), ("S hook", "s-hook"),
        ("duplex hook", "double"), ("Doppelhaken", "double"), ("barrel hook", "drum"), ("ladle hook", "ladle"), ("plate hook", "plate"), ("container hook", "container"),
        ("automatic release hook", "automatic"),
        ("sling hook", None), ("slip hook w/o latch", None), ("safety hook", None), ("grab or foundry hook", None), ("trucker's hook", None),
    ],
)  # fmt: skip
def test_a_form_is_named_by_its_trade_words(text: str, form: str | None) -> None:
    assert describe(text).form == form


@pytest.mark.parametrize(
    ("text", "connection"),
    [
        ("eye hook", "eye"), ("Ösenhaken", "eye"), ("crochet à œil", "eye"), ("gancho de ojo", "eye"), ("reverse eye hook", "reverse-eye"),
        ("clevis hook", "clevis"), ("Gabelkopfhaken", "clevis"), ("crochet à chape", "clevis"), ("gancho de horquilla", "clevis"), ("cotter pin clevis hook", "cotter-pin-clevis"),
        ("shank hook", "shank"), ("swivel hook with bearing", "bearing-swivel"), ("ball bearing swivel hook", "bearing-swivel"), ("positioning swivel hook", "positioning-swivel"),
        ("sliding choker hook", "sliding-choker"), ("web sling hook", "synthetic-eye"), ("weld-on hook", "weld-on"),
        ("swivel hook", None), ("eye or clevis hook", None), ("hook", None), ("eye bolt", None), ("hook, eye opening 20 mm", None),
    ],
)  # fmt: skip
def test_a_connection_is_named_by_its_trade_words(text: str, connection: str | None) -> None:
    assert describe(text).connection == connection


@pytest.mark.parametrize(
    ("text", "latch", "overhead"),
    [
        ("hook with latch", "yes", None), ("hook w/ latch", "yes", None), ("hook w/o latch", "no", None), ("hook without safety latch", "no", None), ("hook, latch optional", None, None),
        ("hook for overhead lifting", None, "yes"), ("hook not for overhead lifting", None, "no"), ("hook, do not use for overhead lifting", None, "no"),
        ("hook never to be taken for any overhead lifting", None, "no"), ("binder chain hook", None, None), ("Haken nicht zum Heben", None, "no"),
    ],
)  # fmt: skip
def test_flags_are_read_with_their_denials(
    text: str, latch: str | None, overhead: str | None
) -> None:
    read = describe(text)
    assert (read.latch, read.overhead) == (latch, overhead)


@pytest.mark.parametrize(
    ("cell", "value"),
    [
        ("Yes", "yes"),
        ("X", "yes"),
        ("nein", "no"),
        ("w/o", "no"),
        ("", None),
        ("with latch", "yes"),
        ("perhaps", None),
    ],
)
def test_yes_or_no_columns(cell: str, value: str | None) -> None:
    assert read_flag(cell, "latch")[0] == value


def test_schemes_are_claimed_by_naming_a_document() -> None:
    assert read_words("chain to DIN EN 818-2").scheme == "european"
    assert read_words("ASTM A391/A391M").scheme == "us-chain"
    assert read_words("49 CFR 393.108").scheme == "us-tiedown"
    assert read_words("EN 818-2 and ASTM A391").scheme is None
    assert read_words("EN 12195-3").scheme is None


def test_the_words_lead_to_slugs_of_the_hook_tables(packages: dict[str, Package]) -> None:
    forms = set(packages["hooks"]["forms"]["form"])
    connections = set(packages["hooks"]["connections"]["connection"])
    assert {r["slug"] for r in rows("form-words")} <= forms
    assert {r["slug"] for r in rows("connection-words")} - {"swivel"} <= connections


_ANY_FORM = {"sling hook", "safety hook", "slip hook", "hoist hook"}
"""Trade names of a hook with a latch that are given to hooks without one, too: no form is read."""

_ANY_CONNECTION = {"clevis slip hook": "clevis", "clevis grab hook": "clevis", "swivel hook": None}
"""Names that the table gives to two connections: the plainer one, or none, is read."""


def _names(table: pl.DataFrame, key: str) -> list[tuple[str, str]]:
    """Every name of a table of hooks, in each language, with its slug."""
    return [
        (slug, name.strip())
        for slug, *cells in table.select(key, "title", "other_names", "german_names").iter_rows()
        for cell in cells
        for name in (cell or "").split(";")
        if name.strip()
    ]


def test_every_name_of_the_form_table_is_read_as_its_form(packages: dict[str, Package]) -> None:
    names = _names(packages["hooks"]["forms"], "form")
    wrong = [
        (slug, name, read.form, read.kind)
        for slug, name in names
        if name not in _ANY_FORM
        for read in [describe(name)]
        if (read.form, read.kind) not in ((slug, "hook"), (slug, "grab-hook"))
    ]
    assert not wrong
    assert {describe(name).form for name in _ANY_FORM & {n for _, n in names}} == {None}


def test_every_name_of_the_connection_table_is_read(packages: dict[str, Package]) -> None:
    names = _names(packages["hooks"]["connections"], "connection")
    wrong = [
        (slug, name, read_words(name).connection)
        for slug, name in names
        if read_words(name).connection != (_ANY_CONNECTION.get(name, slug))
    ]
    assert not wrong


@pytest.mark.parametrize(
    "words",
    [
        "Eye grab hook w/out wings", "Eye grab hook (uncradled)", "un-cradled grab hook", "non-cradle grab hook", "no-cradle clevis grab hook", "grab hook without a cradle",
        "grab hook w/o side wings", "grab hook, cradle: no", "grab hook with no cradle", "grab hook without latch or cradle", "grab hook not fitted with wings", "cradleless grab hook",
        "Verkürzungshaken ohne Auflage", "Verkürzungshaken ohne Sattel", "Verkürzungshaken ohne Stützflächen", "Verkuerzungshaken ohne seitliche Stuetzflaechen",
        "Verkürzungshaken ohne Flügel", "Verkürzungshaken, keine Auflage", "Verkürzungsklaue ohne Auflage",
        "Crochet raccourcisseur sans berceau", "Crochet raccourcisseur sans le berceau", "Crochet raccourcisseur, pas de berceau",
        "Gancho acortador sin apoyo", "Gancho acortador sin cuna", "Gancho acortador sin aletas",
    ],
)  # fmt: skip
def test_a_denied_cradle_is_no_cradle_in_every_language(words: str) -> None:
    # common practice, no source: how lists in four languages say that a grab hook has none
    read = describe(words)
    assert (read.kind, read.form, read.cradle) == ("grab-hook", "grab", "no")


@pytest.mark.parametrize(
    "words",
    [
        "Grab hook, no latch, with cradle", "grab hook no latch with cradle", "Verkürzungshaken mit Auflage", "Verkürzungshaken ohne Falle, mit Sattel",
        "Verkürzungsklaue", "Crochet raccourcisseur avec un berceau", "Gancho acortador con apoyo", "grab hook w/ wings",
    ],
)  # fmt: skip
def test_a_denial_of_something_else_leaves_the_cradle(words: str) -> None:
    read = describe(words)
    assert (read.kind, read.form, read.cradle) == ("grab-hook", "cradle-grab", "yes")


@pytest.mark.parametrize(
    "words",
    [
        "grab hook with or without cradle",
        "Verkürzungshaken mit/ohne Auflage",
        "crochet raccourcisseur avec ou sans berceau",
        "grab hook with cradle (20% less without cradle)",
    ],
)
def test_with_or_without_a_cradle_says_neither(words: str) -> None:
    read = describe(words)
    assert (read.kind, read.form, read.cradle) == ("grab-hook", "grab", None)


@pytest.mark.parametrize(
    ("text", "latch"),
    [
        ("hook w/out latch", "no"),
        ("hook with no latch", "no"),
        ("hook, not latched", "no"),
        ("crochet sans linguet de sécurité", "no"),
        ("hook with or without latch", None),
        ("hook without cradle, with latch", "yes"),
    ],
)
def test_a_denied_latch_is_no_latch(text: str, latch: str | None) -> None:
    assert describe(text).latch == latch


@pytest.mark.parametrize(
    ("text", "overhead"),
    [
        ("3/8 G70 chain overhead", "yes"), ("G70 chain 3/8 rated for cranes", "yes"), ("1/4 G30 chain for suspended loads", "yes"), ("Kette für schwebende Lasten", "yes"),
        ("G30 chain for overhead doors", None), ("Chain, never for suspended loads", "no"), ("G70 chain, not overhead", "no"), ("3/8 G70 transport chain", None),
    ],
)  # fmt: skip
def test_words_that_sell_a_thing_for_lifting(text: str, overhead: str | None) -> None:
    # the words of facts/us-rules-hooks-chain.csv ("overhead lifting") as shops write them:
    # common practice, no source
    assert describe(text).overhead == overhead


@pytest.mark.parametrize(
    ("text", "kind"),
    [
        ("High test G43 1/2", "chain"),
        ("Hi-test 3/8 w/ grab hooks", "chain"),
        ("High test grab hook 3/8", "grab-hook"),
        ("High test clevis grab 3/8", "grab-hook"),
        ("High test connecting link", "link"),
    ],
)
def test_high_test_alone_is_chain(text: str, kind: str) -> None:
    # ASTM A413/A413M 1.2: high test is the name of a grade of chain
    assert describe(text).kind == kind


@pytest.mark.parametrize(
    ("text", "connection"),
    [
        ("Clevis hook with cotter pin", "cotter-pin-clevis"),
        ("Clevis slip hook w/ cotter pin", "cotter-pin-clevis"),
        ("Clevis hook w/ load pin, no cotter", "clevis"),
    ],
)
def test_a_cotter_makes_a_clevis_a_tie_down_clevis(text: str, connection: str) -> None:
    # datasets/hooks connections, other names of cotter-pin-clevis
    assert describe(text).connection == connection


@pytest.mark.parametrize(
    "words",
    ["Weld-on hook not intended for hoisting", "WLL reduction: not included weld-on hook", "Crochet à souder interdit au levage", "Gancho para soldar, no apto para izaje"],
)  # fmt: skip
def test_a_use_that_is_denied_leaves_the_connection_said(words: str) -> None:
    # a weld-on hook is rated by its maker; read as a plain hook it agreed with the table of chain
    assert describe(words).connection == "weld-on"


def test_a_connection_behind_a_denial_is_not_there() -> None:
    assert describe("Hook, no clevis").connection is None


def test_a_grab_hook_whose_words_contradict_each_other_is_a_grab_hook() -> None:
    read = describe("Less supports, winged grab hook, cotter pin no")
    assert (read.kind, read.form, read.cradle) == ("grab-hook", "grab", None)


@pytest.mark.parametrize(
    "words", ["Alloy hoist hook non bearing", "Eye hoist hook, non-bearing", "Lasthaken, nicht kugelgelagert"]
)  # fmt: skip
def test_a_hook_that_is_called_non_bearing_is_a_swivel_hook(words: str) -> None:
    # a swivel hook of 4.5 t is an eye hook of 5 t: read as no swivel, 5 t passed
    read = describe(words)
    assert (read.connection, read.swivel) == ("positioning-swivel", "positioning")
