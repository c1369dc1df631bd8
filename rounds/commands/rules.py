"""``rounds rules``: check, test, explain and replay what is watched, and JSON Schemas of config files."""

from __future__ import annotations

import importlib
from collections.abc import Sequence
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING

import click

from rounds.commands import rules_sentences
from rounds.commands.book_reader import config_in_force, reading
from rounds.commands.completing import named
from rounds.commands.completing import rules as rule_ids
from rounds.commands.output import print_document, prints, tell
from rounds.commands.paging import show
from rounds.problems import EXIT_FOUND, BadInput, Problem, RoundsError, nearest
from rounds.text.cleaning import json_text

if TYPE_CHECKING:
    from rounds.commands.options import CliContext
    from rounds.husbandry.readings import Vocabulary
    from rounds.records.observations import EnclosureState
    from rounds.rules.rule import Rule
    from rounds.rules.worked_cases import Case
    from rounds.settings.document import Document
    from rounds.settings.layers import Layer


@click.group()
def rules() -> None:
    """The rules: what is watched, and what it raises."""


@rules.command()
@click.argument("files", nargs=-1, metavar="[FILE]...", type=click.Path(path_type=Path))
@click.pass_obj
def check(given: CliContext, files: tuple[Path, ...]) -> None:
    """Say everything that is wrong with the rules.

    The rules in force are read, and each FILE laid over them. Whatever else is wrong in your
    config is told as well: readings, keys, species, checklists, settings, the cases of rules,
    the stand-in's sheet, and a file that nothing reads.

    \b
    rounds rules check my-rules.yaml
    """
    from rounds.config import read
    from rounds.rules.headlines import remarks

    problems: list[Problem] = []
    vocabulary, found = _vocabulary(given, problems), _documents(given, problems)
    _read_apart(given, problems)
    more = [(p, str(p)) for p in files]
    found.append(_read(more, problems))
    if vocabulary is None:
        raise BadInput(problems, rules_sentences.READINGS_FIRST)
    parsed = _parsed(found, vocabulary, problems)
    _cases(given, found[: len(_layers(given))], vocabulary, parsed, problems)
    try:
        read(_layers(given))
    except BadInput as e:
        problems += [p for p in e.problems if p not in problems]
    if problems:
        raise BadInput(problems, rules_sentences.nothing_taken(len(problems)))
    for remark in remarks(parsed):
        tell(str(remark))
    tell(rules_sentences.nothing_wrong(len(parsed), sum(map(len, found))))


@rules.command()
@prints("problems")
@click.pass_obj
def test(given: CliContext, form: str) -> int:
    """Try every rule on the cases kept beside it.

    Each rule must fire in one of them and stay silent in another.

    \b
    rounds rules test
    """
    from rounds.config import read
    from rounds.reports.rule_reports import problems_report
    from rounds.rules.worked_cases import lacking, run

    problems: list[Problem] = []
    vocabulary = _vocabulary(given, problems)
    found = _documents(given, problems)
    in_force = _parsed(found, vocabulary, problems) if vocabulary else []
    if problems or vocabulary is None:
        raise BadInput(problems, rules_sentences.NO_CASE_RUN)
    cases = _cases(given, found, vocabulary, in_force, problems)
    if problems:
        raise BadInput(problems, rules_sentences.NO_CASE_RUN)
    presets = cache(lambda: read(_layers(given)).species)  # asked for by each case that names a species
    wrong = sorted([*run(cases, in_force, presets), *lacking(cases, in_force)])
    print_document(problems_report(wrong), form)
    tell(rules_sentences.cases_run(len(cases), len(in_force), len(wrong)))
    return EXIT_FOUND if wrong else 0


@rules.command()
@click.argument("enclosure", shell_complete=named("enclosure"))
@click.argument("only", nargs=-1, metavar="[RULE]...", shell_complete=rule_ids)
@prints("rules-explained")
@click.pass_obj
def explain(given: CliContext, enclosure: str, only: tuple[str, ...], form: str) -> None:
    """Why each rule fires at a box, or does not.

    As the box (its code or short number) stood on its last visit, for all rules or those named. Each clause, its value and its verdict; --today asks for the last visit up to that day.

    \b
    rounds rules explain UMB-01
    rounds rules explain UMB-01 standing-water
    """
    from rounds.reports.rule_reports import explained_report
    from rounds.rules.evaluate import RuleSet
    from rounds.rules.explain import explain as explained
    from rounds.store import read
    from rounds.walk.daily_summary import in_force as locks_at
    from rounds.walk.history_replay import scene_until

    config = config_in_force(given, places=True)
    known = [r.id for r in config.rules]
    unknown = [r for r in only if r not in known]
    if unknown:
        raise BadInput(
            Problem("rules explain", 0, 0, rules_sentences.no_rule(r), nearest(r, known)) for r in unknown
        )
    with reading(given) as at:
        scene = scene_until(at.book, config, _enclosure(enclosure, at.enclosures), at.today)
        box = scene.enclosure
        locks = locks_at(box, read.locks(at.book, scene.today), scene.today)
    answers = [
        a for a in explained(RuleSet(config.rules), scene, locks) if not only or a.finding.rule.id in only
    ]
    silent = [r for r in only if all(a.finding.rule.id != r for a in answers)]
    print_document(explained_report(scene, answers, silent), form)


@rules.command()
@click.option("--from", "first", metavar="DATE", help="First round day (28 days back when left out).")
@click.option("--to", "last", metavar="DATE", help="Last round day (today when left out).")
@prints("rules-replayed")
@click.pass_obj
def replay(given: CliContext, first: str | None, last: str | None, form: str) -> None:
    """How often each rule would have fired over the book's history.

    Every visit is judged with what was known then: the box in the stage it was in,
    with those who were in it. Days on which its stage is not certain are left out.

    \b
    rounds rules replay --from 2026-02-01 --to 2026-02-28
    """
    from rounds.commands.options import day
    from rounds.reports.rule_reports import replayed_report
    from rounds.walk.history_replay import over

    config = config_in_force(given, places=True)
    with reading(given) as at:
        to = day(last, "--to", at.today) if last else at.today
        since = day(first, "--from", at.today) if first else to - 28
        if since > to:
            raise RoundsError(rules_sentences.EARLIER_FIRST)
        found = over(at.book, config, since, to)
    print_document(replayed_report(found), form)


SCHEMAS = {
    "rules": "rounds.rules.rule_schema",
    "species": "rounds.husbandry.species_file",
    "checklists": "rounds.acts.checklists_file",
}
"""The kinds of config files that have a JSON Schema, and the module whose ``schema`` makes it."""


@rules.command()
@click.argument("of", type=click.Choice([*SCHEMAS]), default="rules", metavar="[rules|species|checklists]")
def schema(of: str) -> None:
    """The JSON Schema of a config file, for your editor.

    That of a rules, species or checklists file; of rules when left out.

    \b
    rounds rules schema > rules.json
    rounds rules schema species > species.json
    """

    show(f"{json_text(importlib.import_module(SCHEMAS[of]).schema())}\n")


def _layers(given: CliContext) -> list[Layer]:
    from rounds.settings.layers import layers

    return layers(given.config)


def _read(paths: Sequence[tuple[Path, str]], problems: list[Problem]) -> list[Document]:
    """The files that can be read, with what is wrong about the others."""
    from rounds.settings import yamlfile

    out = []
    for path, shown in paths:
        try:
            out.append(yamlfile.read(path, shown))
        except BadInput as e:
            problems += e.problems
    return out


def _vocabulary(given: CliContext, problems: list[Problem]) -> Vocabulary | None:
    from rounds.husbandry.readings_file import vocabulary

    paths = [(layer.root / "readings.yaml", f"{layer.shown}/readings.yaml") for layer in _layers(given)]
    before = len(problems)
    documents = _read([(p, shown) for p, shown in paths if p.is_file()], problems)
    if len(problems) > before:
        return None
    try:
        return vocabulary(documents)
    except BadInput as e:
        problems += e.problems
        return None


def _documents(given: CliContext, problems: list[Problem], folder: str = "rules") -> list[list[Document]]:
    """The documents of ``folder``, layer by layer."""
    return [
        _read(
            [(p, f"{layer.shown}/{folder}/{p.name}") for p in sorted((layer.root / folder).glob("*.yaml"))],
            problems,
        )
        for layer in _layers(given)
    ]


def _parsed(
    found: Sequence[Sequence[Document]], vocabulary: Vocabulary, problems: list[Problem]
) -> list[Rule]:
    from rounds.rules.rule_parser import parse

    parsed, wrong = parse(found, vocabulary)
    problems += wrong
    return parsed


def _read_apart(given: CliContext, problems: list[Problem]) -> None:
    """What is wrong in the stand-in's sheets, and the files that nothing reads."""
    from rounds.reports import stand_in_sheet
    from rounds.settings import config_sentences
    from rounds.settings.layers import PARTS, READ_APART, unread

    folders = tuple(part for part in (*PARTS, *READ_APART) if "." not in part)
    sheets = [d for layer in _documents(given, problems, stand_in_sheet.FOLDER) for d in layer]
    try:
        stand_in_sheet.parse(sheets)
    except BadInput as e:
        problems += e.problems
    for layer in _layers(given):
        for name in unread(layer):
            problems.append(Problem(f"{layer.shown}/{name}", 0, 0, *config_sentences.never_read(folders)))


def _cases(
    given: CliContext,
    found: Sequence[Sequence[Document]],
    vocabulary: Vocabulary,
    in_force: Sequence[Rule],
    problems: list[Problem],
) -> list[Case]:
    """All cases to run: those of a layer speak of the rules of that layer and the ones before.

    A keeper who replaces a shipped rule has changed what it should do, so the shipped
    cases of it are left out; their own must show the new one.
    """
    from rounds.rules.rule_parser import parse
    from rounds.rules.worked_cases import parse_cases

    known: set[str] = set()
    files: set[str] = set()
    out: list[Case] = []
    for i, documents in enumerate(_documents(given, problems, "rules/tests")):
        known |= {r.id for r in parse(found[: i + 1], vocabulary)[0]}
        files |= {d.file for d in found[i]}
        there = {r.id for r in in_force if r.file in files}
        cases, wrong = parse_cases(documents, known, vocabulary)
        problems += wrong
        out += [c for c in cases if c.rule in there]
    return out


def _enclosure(typed: str, enclosures: Sequence[EnclosureState]) -> EnclosureState:
    for e in enclosures:
        if typed in (e.code, str(e.number)):
            return e
    hint = nearest(typed, [e.code for e in enclosures]) or rules_sentences.CODE_OR_NUMBER
    raise RoundsError(rules_sentences.no_enclosure(typed, hint))
