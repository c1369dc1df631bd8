"""Makes the card of an act at an enclosure: its fields in their order, what is needed, what is proposed."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping

from rounds.acts import card_sentences as sentences
from rounds.acts.act import Act
from rounds.acts.card import SERIES, SERIES_ON, WHOM, Card, CardAnswer, CardField, FieldKind
from rounds.acts.card_answers import answers, free_slots
from rounds.acts.card_check import DAYS, looks_back
from rounds.acts.fields import Field, FieldRefused, ref
from rounds.acts.groups import groups
from rounds.acts.offer import DAY_FIELD, Offer
from rounds.husbandry import cautions
from rounds.records.ledger import Ledger
from rounds.records.tables import Animal, Brood, Enclosure
from rounds.records.whereabouts import inside
from rounds.text.cleaning import day_words

Told = tuple[tuple[str, str], ...]
Lacking = Callable[[Told], str]
"""Which field the act lacks as things are, when it is told so much ("" for none)."""

ASKED: Mapping[str, tuple[str, ...]] = {
    "search": ("eggs", "l1", "l2", "l3"),
    "dead": ("cause", "seen"),
    "dead-some": ("cause", "seen"),
    "missing": ("seen",),
    "missing-some": ("seen",),
    "emerged": ("sex",),
    "rebed": ("batch",),
    "split": ("tubs",),
    "split-some": ("tubs",),
}
"""Fields a card asks for though the act does without them: left out, they stay unknown."""

SEVERAL = ("line", "brood", "age", "animal", "female", "pairing", "male", "from")
"""Fields that say which of several is meant; where there is but one, the card leaves them out."""
WHERE_SEVERAL = ("when several", "when there are several", "when it is in several", "of several")

KINDS: Mapping[str, FieldKind] = {
    "word": "choice",
    "stage": "choice",
    "yesno": "choice",
    "counts": "count",
    "whole": "number",
    "number": "number",
}
VACATING = ("rest", "looked")
"""Fields that concern a box only when the last one left it."""
MOST_LACKING = 6
LAST = ("note", DAY_FIELD)
IN_SERIES = ("weigh", "weigh-one")
"""Acts that are often recorded of one animal after another."""
_SERIES = CardField(
    SERIES,
    sentences.THEN,
    sentences.ANOTHER,
    "choice",
    (CardAnswer(SERIES_ON, sentences.THE_NEXT_ONE), CardAnswer("no", sentences.NO_MORE)),
    otherwise="no",
)


def card(
    ledger: Ledger,
    enclosure: int,
    act: Act,
    offer: Offer,
    whom: str,
    told: Told,
    today: int,
    lacking: Lacking,
    own_answers: Mapping[str, tuple[CardAnswer, ...]] | None = None,
) -> Card:
    """The card as it stands with what was told. ``own_answers`` are those only the caller knows, by field."""
    given = dict(offer.given)
    known = own_answers or {}
    fields = [
        _field(ledger, enclosure, act, f, today, known.get(f.name)) for f in act.fields if f.name not in given
    ]
    # A species has ready answers wherever it can be told, and is asked for only where it is needed.
    asked = (*_asked(ledger, act, whom), *(name for name in known if name != "species"))
    fields = [
        f._replace(asked=f.name in asked and not f.needed)
        for f in fields
        if f.needed or not (_one_way(ledger, enclosure, act, f) or _of_the_last(ledger, enclosure, act, f))
    ]
    proposals = _proposals(ledger, enclosure, act, whom, told)
    if len(known.get("list", ())) == 1 and "item" in known:  # the checklist that was begun here
        proposals["list"] = known["list"][0].typed
    who = _whom(offer)
    if who is not None:
        fields = [who, *fields]
    if act.id in IN_SERIES:
        fields.append(_SERIES)
    shown = {f.name for f in fields}
    proposals = {n: t for n, t in proposals.items() if n in shown}
    if not (who is not None and not whom):
        needs = _needs(fields, proposals, told, lacking)
        hidden = [
            _field(ledger, enclosure, act, f, today, known.get(f.name))
            for f in act.fields
            if f.name in needs and f.name not in shown and f.name not in given
        ]
        proposals |= _for_needs(ledger, act, whom, needs)
        fields = [f._replace(needed=f.needed or f.name in needs) for f in (*fields, *hidden)]
    fields = [f._replace(proposed=proposals.get(f.name, "")) for f in fields]
    headlines = tuple(c.headline for c in cautions.of_act(act.id))
    ordered = tuple(sorted(fields, key=_order(asked)))
    return Card(act.id, offer.title or act.title, act.caution, ordered, headlines)


def _order(asked: tuple[str, ...]) -> Callable[[CardField], tuple[int, int]]:
    """Whom, what is needed, what is asked in its own order, the rest; a note and the day stand last."""

    def rank(field: CardField) -> tuple[int, int]:
        if field.name == WHOM:
            return 0, 0
        if field.name in LAST:
            return 4, LAST.index(field.name)
        if field.needed:
            return 1, 0
        return (2, asked.index(field.name)) if field.asked else (3, 0)

    return rank


def _whom(offer: Offer) -> CardField | None:
    if len(offer.whom) < 2:
        return None
    listed = tuple(CardAnswer(*one) for one in offer.whom)
    return CardField(WHOM, sentences.WHO, sentences.WHO_IS_IT, "text", listed, needed=True)


def _field(
    ledger: Ledger,
    enclosure: int,
    act: Act,
    field: Field,
    today: int,
    own: tuple[CardAnswer, ...] | None,
) -> CardField:
    label, question = sentences.CALLED_OF.get(
        (act.id, field.name), sentences.CALLED.get(field.name, (field.name.replace("_", " "), ""))
    )
    ready = own if own is not None else answers(ledger, enclosure, act.id, field, today)
    return CardField(
        field.name,
        label,
        question or f"{field.about[:1].upper()}{field.about[1:]}?",
        KINDS.get(field.type, "text"),
        ready,
        needed=field.required,
        otherwise="" if (act.id, field.name) in SPREAD else _otherwise(field, today),
        many=field.many,
        typed_as=_typed_as(field),
    )


SPREAD = {("split", "per"), ("split-some", "per")}
"""Fields whose default a card replaces: it spreads a brood evenly over the tubs."""


def _typed_as(field: Field) -> str:
    if field.type not in DAYS:
        return ""
    return sentences.DAY_AGO if looks_back(field) else sentences.DAY_AHEAD


def _otherwise(field: Field, today: int) -> str:
    """What holds when nothing is told, as it would be typed: a default of some days ahead is a day."""
    ahead = re.fullmatch(r"\+([0-9]+)", field.default) if field.type in DAYS else None
    return day_words(today + int(ahead[1])) if ahead else field.default


def _one_way(ledger: Ledger, enclosure: int, act: Act, field: CardField) -> bool:
    """Does a field say which of several is meant, where there is at most one?"""
    about = next(f.about for f in act.fields if f.name == field.name)
    if field.name not in SEVERAL or not any(w in about for w in WHERE_SEVERAL):
        return False
    if field.name == "age":
        return len(groups(ledger, enclosure)) < 2
    return len(field.answers) < 2


def _of_the_last(ledger: Ledger, enclosure: int, act: Act, field: CardField) -> bool:
    """Is a field about the box that is left vacant, while others stay in it?"""
    return act.on == "animal" and field.name in VACATING and len(inside(ledger, enclosure)) > 1


def _asked(ledger: Ledger, act: Act, whom: str) -> tuple[str, ...]:
    asked = ASKED.get(act.id, ())
    if act.id == "emerged" and whom:
        one = _animal(ledger, whom)
        return asked if one is None or one.sex == "unknown" else ()
    return asked


def _animal(ledger: Ledger, whom: str) -> Animal | None:
    try:
        return ledger.row(Animal, ref("animal", whom, ledger))
    except FieldRefused:
        return None


def _needs(fields: list[CardField], proposals: Mapping[str, str], told: Told, lacking: Lacking) -> set[str]:
    """Fields that the act needs as things are, beside those it always needs."""
    have = {n: t for n, t in told if t and n not in (WHOM, SERIES)}
    have = {**{n: t for n, t in proposals.items() if n not in dict(told)}, **have}
    if any(f.needed and f.name != WHOM and f.name not in have for f in fields):
        return set()  # more is known once those are told
    out: set[str] = set()
    for _ in range(MOST_LACKING):
        name = lacking(tuple(have.items()))
        if not name or name in out:
            break
        out.add(name)
        usual = PROPOSED.get(name, "")
        if not usual:
            break
        have[name] = usual
    return out


PROPOSED = {"rest": "keep"}
"""What is proposed where a field turns out to be needed: a box left vacant stays as it is."""


def _for_needs(ledger: Ledger, act: Act, whom: str, needs: set[str]) -> dict[str, str]:
    out = {n: t for n, t in PROPOSED.items() if n in needs}
    if "stage" in needs and act.on == "animal" and (one := _animal(ledger, whom)) is not None:
        out["stage"] = "holding" if one.grown else "larvae"
    return out


def _proposals(ledger: Ledger, enclosure: int, act: Act, whom: str, told: Told) -> dict[str, str]:
    if act.id == "quarantine-over":
        instars = {content.instar for content in inside(ledger, enclosure)}
        young = "eggs" if instars == {"eggs"} else "larvae"
        return {"stage": "holding" if "" in instars else young} if instars else {}
    if act.id not in ("split", "split-some"):
        return {}
    have = dict(told)
    if have.get("into"):
        return {} if have.get("per") else {"evenly": "yes"}
    there = _larvae(ledger, enclosure, whom)
    tubs = int(have["tubs"]) if have.get("tubs", "").isdigit() else there
    out = {"prefix": _prefix(ledger, enclosure)}
    if not have.get("per"):
        out |= {"tubs": str(there)} if there else {}
        out["evenly"] = "yes"
        slots = free_slots(ledger, enclosure, tubs)
        if slots and len(slots) == tubs:
            out["place"] = ", ".join(slots)
    return out


def _larvae(ledger: Ledger, enclosure: int, whom: str) -> int:
    """How many of a brood are counted here."""
    here = groups(ledger, enclosure)
    mine = [g for g in here if g.brood is not None and ledger.row(Brood, g.brood).name == whom] or here
    return sum(g.total for g in mine)


def _prefix(ledger: Ledger, enclosure: int) -> str:
    """The letters most tubs of larvae begin with; where there are none, those of this box."""
    codes = [str(box.code) for box in ledger.rows(Enclosure, Enclosure.stage.is_("larvae"))]
    own = str(ledger.row(Enclosure, enclosure).code)
    heads = [m.group(1) for code in codes if (m := re.fullmatch(r"(.*[^0-9-])-?[0-9]+", code))]
    if heads:
        return max(sorted(set(heads)), key=heads.count)
    return (m.group(1) if (m := re.fullmatch(r"(.*[^0-9-])-?[0-9]+", own)) else own) or "L"
