"""The texts of a rule, parsed: why it flags, and what to do about it stage by stage."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from rounds.husbandry.readings import Vocabulary
from rounds.husbandry.stages import FORBIDS, STAGES
from rounds.problems import nearest
from rounds.rules import rule_sentences as sentences
from rounds.rules.condition_parser import Subject, of_measure, of_reading
from rounds.rules.measures import MEASURES
from rounds.rules.rule import DO_FIELDS, HELD, OFFERED_STEPS, OTHERWISE, Slot, Todo
from rounds.rules.text_templates import Pieces, split
from rounds.settings.config_fields import Fields
from rounds.text.headlines import ONE_LINE

DATE_OF = "date of "
"""What a slot begins with that says a number of days as the day it lies back."""


class Wording:
    """Reads the texts of the rule in ``f``; what is wrong goes to its problems."""

    def __init__(self, f: Fields, vocabulary: Vocabulary) -> None:
        self.f = f
        self.kinds = {k: v for k, v in vocabulary.kinds.items() if not v.retired}

    def template(self, path: tuple[str | int, ...], key: str, text: str) -> Pieces:
        """A text with its slots resolved; problems stand at the text."""
        try:
            plain, names = split(text)
        except ValueError as e:
            self.f.refuse((*path, key), sentences.wrong_braces(key, str(e)))
            return ()
        out: list[str | Slot] = []
        for i, part in enumerate(plain):
            if part:
                out.append(part)
            if i < len(names):
                out.extend(self._slot((*path, key), names[i]))
        return tuple(out)

    def _slot(self, path: tuple[str | int, ...], name: str) -> list[Slot]:
        if name.startswith(DATE_OF):
            return self._dated(path, name.removeprefix(DATE_OF))
        if name in HELD:
            return [Slot("+" + name, {})]
        if name in self.kinds:
            return [_slot_of(of_reading(self.kinds[name]))]
        head, _, of = name.partition(" of ")
        measure = MEASURES.get(head)
        if measure is not None and not of and not measure.of:
            return [_slot_of(of_measure(measure, None))]
        if measure is not None and of in self.kinds and self.kinds[of].type in measure.of:
            return [_slot_of(of_measure(measure, self.kinds[of]))]
        self.f.refuse(path, sentences.no_such_value(name, self._hint(name)))
        return []

    def _dated(self, path: tuple[str | int, ...], name: str) -> list[Slot]:
        """The day that lies as many days back as the value of this name says."""
        measure = MEASURES.get(name.partition(" of ")[0])
        if name != "held_days" and (measure is None or measure.unit != "days"):
            self.f.refuse(path, sentences.counts_no_days(name))
            return []
        return [slot._replace(dated=True) for slot in self._slot(path, name)]

    def _hint(self, name: str) -> str:
        """What to write instead of the name of a slot that is nothing."""
        head, _, of = name.partition(" of ")
        measure = MEASURES.get(head)
        if measure is None:
            measures = (m.name if not m.of else f"{m.name} of {of or 'moisture'}" for m in MEASURES.values())
            return nearest(name, [*self.kinds, *HELD, *measures])
        if not measure.of:
            return sentences.needs_no_of(head)
        if of in self.kinds:
            return sentences.needs_a(head, measure.of)
        return nearest(of, self.kinds) if of else sentences.write_of_reading(head)

    def do(self, stages: frozenset[str]) -> dict[str, Todo]:
        """What to do by stage; ``stages`` are those the rule applies to, none for all."""
        served = [s for s in STAGES if not stages or s in stages]
        out: dict[str, Todo] = {}
        data = self.f.get("do", dict, {})
        for key in data:
            if self.f.full:
                break
            names = [n.strip() for n in key.split(",")]
            for name in names:
                self._stage(key, name, served, out)
            todo, text = self._todo(key, data[key])
            for name in names:
                out.setdefault(name, todo)
                if name != OTHERWISE:
                    self._careful(key, (name,), text)
        if data:
            self._rest(data, [s for s in served if s not in out], otherwise=OTHERWISE in out)
        return out

    def _stage(self, key: str, name: str, served: Sequence[str], out: dict[str, Todo]) -> None:
        """A stage that a text is for: one that there is, that the rule serves, and that has no text yet."""
        f = self.f
        if name != OTHERWISE and name not in STAGES:
            f.refuse(("do", key), sentences.no_stage(name, (*STAGES, OTHERWISE), OTHERWISE))
        elif name != OTHERWISE and name not in served:
            f.refuse(("do", key), sentences.not_for_stage(name))
        elif name in out:
            f.refuse(("do", key), sentences.two_texts(name))

    def _rest(self, data: dict[str, Any], lacking: Sequence[str], *, otherwise: bool) -> None:
        """The stages without a text of their own get the one for the rest, which must not harm them."""
        f = self.f
        if otherwise:
            key = next(k for k in data if OTHERWISE in k)
            text = data[key]
            if isinstance(text, dict):
                text = " ".join(str(text.get(part, "")) for part in ("short", "text"))
            self._careful(key, lacking, text if isinstance(text, str) else "")
        elif lacking:
            f.refuse(("do",), sentences.no_text_for(tuple(lacking), OTHERWISE))

    def _todo(self, key: str, value: Any) -> tuple[Todo, str]:
        f = self.f
        if not isinstance(value, dict):
            text = Fields(f.doc, (*f.path, "do"), f.what, f.problems).get(key, str, "")
            return Todo(self.template(("do",), key, text)), text
        inner = Fields(f.doc, (*f.path, "do", key), f.what, f.problems)
        inner.only(DO_FIELDS)
        text, short = inner.get("text", str, "", required=True), inner.get("short", str, "")
        if len(short) > ONE_LINE or "{" in short:
            inner.refuse(("short",), sentences.short_line(ONE_LINE))
        template = self.template(("do", key), "text", text)
        todo = Todo(template, inner.words("needs", FORBIDS), inner.words("offers", OFFERED_STEPS), short)
        return todo, f"{short} {text}"

    def _careful(self, key: str, stages: Sequence[str], text: str) -> None:
        """No text may tell a keeper what harms the animals of a stage (:mod:`rounds.rules.forbidden_advice`)."""
        if self.f.doc.found_good:
            return
        from rounds.rules import forbidden_advice  # no start with files that were found good needs it

        for stage in stages:
            word = forbidden_advice.breaks(stage, text)
            if word:
                said = sentences.never_tell(word, stage, for_the_rest=key == OTHERWISE)
                self.f.refuse(("do", key), said)


def _slot_of(subject: Subject) -> Slot:
    return Slot(subject.key, subject.titles)
