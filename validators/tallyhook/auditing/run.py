"""Running package rules: on which tables, in which order, and what happens to one that crashes."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field

import pandas as pd

from tallyhook.auditing.located import filled
from tallyhook.auditing.tables import AFTERWARDS, Tables
from tallyhook.errors import RuleCrash
from tallyhook.messages import say
from tallyhook.packages.descriptors import RATING_ID
from tallyhook.packages.package import Package, Resource
from tallyhook.rules import Rule, all_rules

__all__ = ["Answers", "run_all", "run_rule", "same_columns"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Answers:
    """What the rules answered: frames of findings, and why others gave no answer."""

    findings: list[pd.DataFrame] = field(default_factory=list)
    crashed: dict[str, str] = field(default_factory=dict)
    skipped: dict[str, str] = field(default_factory=dict)
    ran: list[str] = field(default_factory=list)


def run_all(
    tables: Tables, about: Sequence[str], added: Sequence[str], *, afterwards: bool = False
) -> Answers:
    """Run every package rule; those on the other rules' findings if `afterwards`, else the others.

    Parameters
    ----------
    about : sequence of str
        The packages under audit.
    added : sequence of str
        Those of them that did not come with tallyhook.
    """
    answers = Answers()
    for each in all_rules("package"):
        if afterwards != any(name in AFTERWARDS for name in each.reads):
            continue
        missing = [name for name in each.reads if not tables.has(name)]
        if missing:
            if each.reads[0].partition(".")[0] in about:
                why = say("there is no table {tables}", tables=", ".join(missing))
                answers.skipped[each.name] = why
            continue
        for reads in _runs(each, tables, about, added):
            try:
                result = run_rule(each, tables, reads)
            except RuleCrash as crash:
                answers.crashed[each.name] = str(crash)
                continue
            answers.ran.append(each.name)
            if len(result):
                answers.findings.append(result)
    return answers


def run_rule(each: Rule, tables: Tables, reads: Sequence[str] | None = None) -> pd.DataFrame:
    """Run one rule and fill what the runner knows: rule, severity, file, item, observed.

    Raises
    ------
    RuleCrash
        The rule raised.
    """
    reads = reads or each.reads
    try:
        found = each.check(*(tables.get(name) for name in reads))
    except Exception as error:
        raise RuleCrash(
            say(
                "the rule {rule} stopped with {error}: {reason}",
                rule=each.name,
                error=type(error).__name__,
                reason=error,
            ),
            where=", ".join(reads),
            next_step=say("the other rules ran; report this one"),
        ) from error
    return filled(found, each, tables, reads[0])


def same_columns(one: Resource, other: Resource) -> bool:
    """Whether two tables have the same columns; a maker's need not name its ratings."""
    return one.fields.keys() - {RATING_ID} == other.fields.keys() - {RATING_ID}


def _runs(
    each: Rule, tables: Tables, about: Sequence[str], added: Sequence[str]
) -> Iterator[tuple[str, ...]]:
    """Name the frames of each run: the rule's own, and a maker's tables in their place."""
    package, dot, table = each.reads[0].partition(".")
    if not dot:
        yield each.reads
        return
    if package in about:
        yield each.reads
    for name in added:
        other = tables.packages[name]
        like = tables.packages[package].resources[table]
        if table in other.resources and same_columns(other.resources[table], like):
            yield tuple(_theirs(read, package, other) for read in each.reads)


def _theirs(read: str, package: str, other: Package) -> str:
    name, _, table = read.partition(".")
    return f"{other.name}.{table}" if name == package and table in other.tables else read
