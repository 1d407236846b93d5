"""Hostile files that a check is given beside its list: decisions, an earlier report, a profile."""

from __future__ import annotations

import functools
import json
import random
import tempfile
from pathlib import Path
from typing import Any

from fuzzing.inputs import CELLS, MARKUP, csv_of, mutated
from fuzzing.packages import ODD, damaged_table, mangled

__all__ = ["SOUND_LIST", "side_file"]

SOUND_LIST = (
    b"Part,Item,Size,Grade,WLL (lbs),Supplier\n"
    b"P-1,Grab hook,3/8,70,6600,A\nP-2,Grab hook,1/2,70,113000,A\nP-3,Grab hook,5/16,70,2994,B\n"
    b"P-3,Grab hook,5/16,70,4700,B\nP-4,Grab hook,3/8,70,66000,B\nP-5,Sling hook,1/2,80,0,A\n"
)
"""A list with findings, which the sound files are about."""

_RULES = ("rated-above-every-source", "same-part-number-has-two-ratings", "ton-is-ambiguous")


@functools.cache
def _sound() -> tuple[dict[str, Any], bytes]:
    """The report on the sound list, and its profile as ``--save-profile`` writes it."""
    from tallyhook.checking import check
    from tallyhook.interpreting.list_items import layouts_of
    from tallyhook.model.options import ListOptions
    from tallyhook.recognising.profiles import profile_from_layout, save_profile

    with tempfile.TemporaryDirectory() as folder:
        stock, kept = Path(folder) / "list.csv", Path(folder) / "profile.toml"
        stock.write_bytes(SOUND_LIST)
        save_profile(profile_from_layout(layouts_of(stock, ListOptions())[0]), kept)
        return json.loads(check(stock).to_json()), kept.read_bytes()


def _decisions(random_: random.Random) -> bytes:
    """Decisions in the form that `tallyhook.reporting.decisions` describes, damaged or not."""
    keys = ("P-1", "P-2", "P-3", "row 3", "row 999", "column WLL (lbs)", "Chain!row 14")
    rows = [
        ["row_key", "rule", "decision", "who", "why", "date", "expires", "document", "observed"],
        *(
            [
                random_.choice(keys), random_.choice(_RULES), random_.choice(("accept", "correct")),
                "A. Smith", "maker's sheet", "2026-11-25", random_.choice(("", "2027-01-01")),
                random_.choice(("", "sheet 7")), random_.choice(("", "113,000 lb")),
            ]
            for _ in range(random_.randrange(8))
        ),
    ]  # fmt: skip
    return damaged_table(random_, csv_of(rows))


def _decisions_from_nothing(random_: random.Random) -> bytes:
    names = "rule part item column row row_key decision reason why document who by date until"
    heading = random_.sample(names.split(), random_.randrange(1, 14))
    hostile = (*_RULES, "P-1", "Grab hook", "3", "accept", "2026-13-45", *CELLS[:30], *MARKUP)
    rows = [[random_.choice(hostile) for _ in heading] for _ in range(random_.randrange(6))]
    return csv_of([heading, *rows])


def _profile(random_: random.Random) -> bytes:
    text = _sound()[1].decode()
    lines = text.split("\n")
    for _ in range(random_.choice((1, 1, 2, 5))):
        at = random_.randrange(len(lines))
        name, equals, _value = lines[at].partition(" = ")
        odd = random_.choice(
            ("[]", "{}", '""', "7", "true", "nan", "1979-05-27", '["wll"]', '{a = "b"}', '"wll"',
             '"row"', '"lb"', "9" * 5000, "[" * 2000, '"\\ud800"', '"\\u0000"', "'''x\n'''"),
        )  # fmt: skip
        lines[at] = random_.choice(
            (f"{name}{equals}{odd}", "", lines[random_.randrange(len(lines))], f"{name} = {odd}",
             f"a.b.c = {odd}", "[columns]", "[[columns]]")
        )  # fmt: skip
    return "\n".join(lines).encode("utf-8", errors="replace")


def _report(random_: random.Random) -> bytes:
    odd = (*ODD, "WLL (lbs)", "1.0.0", 3, [3, 4])
    return json.dumps(mangled(random_, _sound()[0], odd)).encode()


def _json_from_nothing(random_: random.Random) -> bytes:
    odd = functools.partial(random_.choice, (*ODD, "WLL (lbs)", "1.0.0", 3, [3, 4]))
    finding = {
        "rule": random_.choice(("rated-above-every-source", odd())),
        "row": odd(), "rows": odd(), "column": odd(), "item": odd(), "severity": odd(),
    }  # fmt: skip
    whole: dict[str, object] = {
        "tool": "tallyhook",
        "version": "0.1.0",
        "packages": {"chain": random_.choice(("1.0.0", odd()))},
        "list": {"file": "a", "rows": odd(), "columns": {"wll": odd()}},
        "counts": odd(),
        "items": [{"row": odd(), "outcome": odd()}] if random_.random() < 0.5 else [],
        "findings": [finding],
    }
    if random_.random() < 0.3:
        whole[random_.choice(sorted(whole))] = odd()
    return json.dumps(whole if random_.random() < 0.9 else odd()).encode()


_MADE = {
    "decisions": (_decisions, _decisions_from_nothing),
    "since": (_report, _json_from_nothing),
    "profile": (_profile, _json_from_nothing),
}


def side_file(seed: int, kind: str) -> bytes:
    """A hostile file of ``decisions``, of a report to compare with (``since``), or a ``profile``."""
    random_ = random.Random(seed)
    sound, nothing = _MADE[kind]
    data = (sound if random_.random() < 0.75 else nothing)(random_)
    return mutated(random_, data) if random_.random() < 0.2 else data
