"""The act of searching: what was found, when it hatched, whose it is, and when to search again."""

from __future__ import annotations

from collections.abc import Collection

from rounds.acts import laying_sentences, shared_act_sentences
from rounds.acts.act import ActInput, act
from rounds.acts.act_checks import ActWarning, ask, barred, refuse
from rounds.acts.fields import Counts, Field, FieldError
from rounds.acts.laying_history import Site, doubt_of, line_of, site, sole_mother
from rounds.acts.life import follow
from rounds.acts.moving_and_locks import NOTE, ON, leave
from rounds.acts.pairing_checks import name_taken
from rounds.husbandry.hatching import FOUND, Hatch, hatch
from rounds.husbandry.life_table import HERE
from rounds.records.ledger import Draft, Ledger
from rounds.records.naming import animal_name, code, fresh_name
from rounds.records.parentage import paternity
from rounds.records.tables import Animal, Brood, Content, Fewer, Pairing, PairingMale, Search
from rounds.records.whereabouts import inside, species_of
from rounds.values.spans import Span, told


@act(
    "search",
    "searched",
    Field(
        "how",
        "word",
        "complete (all of the substrate) or partial",
        required=True,
        words=("complete", "partial"),
    ),
    Field("eggs", "counts", "eggs found, which stay where they lie: 3, or at least 3"),
    Field("l1", "counts", "L1 found: 14, or at least 14"),
    Field("l2", "counts", "L2 found"),
    Field("l3", "counts", "L3 found; males.females.unsexed where they were sexed"),
    Field("pairing", "ref", "whose eggs these are, when the book cannot tell", of="pairing"),
    Field("name", "text", "what the brood is called (after its pairing or box unless given)", label=True),
    ON,
    NOTE,
    on="enclosure",
    about="The substrate was searched; what was found stays here until it is split into tubs.",
    stages=("laying", "colony", "eggs", "pairing", "holding"),
)
def search(draft: Draft, given: ActInput) -> None:
    ledger, box, made = draft.ledger, given.subject, given["on"]
    looked_for: dict[str, Counts] = {f: n for f in FOUND if (n := given[f.casefold()]) is not None}
    found = {f: n for f, n in looked_for.items() if _any(n)}
    where = site(ledger, box, made, given["pairing"])
    times = given.settings.times(species_of(ledger, box))
    hatches = {f: hatch(f, made, where.since, times, where.left_hatch) for f in found}
    refuse(*_slips(ledger, given, where, found))
    ask(given, [*barred(ledger, box, ("dig",), given, "on"), *_doubts(ledger, given, where, hatches)])
    if found and where.pairing is None and (mother := sole_mother(where)) is not None:
        where = where._replace(pairing=_unplanned(draft, box, mother, where, made))
    left, more = where.left_total
    taken = sum(n.total for n in found.values())
    row = draft.add(
        Search(
            enclosure=box,
            pairing=where.pairing,
            made=made,
            complete=given["how"] == "complete",
            eggs=_total(given["eggs"]),
            l1=_total(given["l1"]),
            l2=_total(given["l2"]),
            l3=_total(given["l3"]),
            at_least=any(n.at_least for n in found.values()),
            note=given["note"] or "",
            recount=taken if more else min(left, taken),
        )
    )
    if given["how"] == "complete":
        _settle(draft, where, made, looked_for)
    for f, counts in found.items():
        _brood(draft, given, where, row, f, counts, hatches[f], several=len(found) > 1)
    eggs = [group for group in inside(draft.ledger, box) if group.instar == "eggs"]
    why = laying_sentences.searched(
        told(made), sum(group.total for group in eggs), at_least=any(group.at_least for group in eggs)
    )
    follow(draft, given, HERE, box, why=why)


def _total(counts: Counts | None) -> int | None:
    """How many; None where nobody said, which is not none."""
    return None if counts is None else counts.total


def _any(counts: Counts) -> bool:
    return bool(counts.total or counts.at_least)


def _slips(ledger: Ledger, given: ActInput, where: Site, found: dict[str, Counts]) -> list[FieldError]:
    slips = [
        FieldError.of(f.casefold(), laying_sentences.cannot_be_sexed_yet())
        for f, n in found.items()
        if f in ("eggs", "L1") and (n.males or n.females)
    ]
    slips += [
        FieldError.of(f.casefold(), shared_act_sentences.at_least_none())
        for f, n in found.items()
        if not n.total
    ]
    if given["pairing"] is not None and where.mothers:
        female = ledger.row(Pairing, given["pairing"]).female
        names = [animal_name(ledger, m) for m in where.mothers]
        if female not in where.mothers:
            slips.append(
                FieldError.of(
                    "pairing", laying_sentences.female_was_not_there(code(ledger, given.subject), names)
                )
            )
    return slips + (name_taken(ledger, Brood, given["name"]) if len(found) == 1 else [])


def _doubts(ledger: Ledger, given: ActInput, where: Site, hatches: dict[str, Hatch]) -> list[ActWarning]:
    doubts = [(f.casefold(), laying_sentences.doubt(h.doubt)) for f, h in hatches.items() if h.doubt]
    if hatches and not (where.mothers or where.colonies or where.left):
        doubts.append(
            ("on", laying_sentences.no_female_recorded(code(ledger, given.subject), told(given["on"])))
        )
    return doubts


def _unplanned(draft: Draft, box: int, mother: int, where: Site, made: Span) -> int:
    """A pairing for a female that laid without one in the books, so that her brood has a mother.

    Males recorded in the enclosure with her are its males; the father is as sure as that makes him.
    """
    ledger = draft.ledger
    since = where.since or made
    males = {
        content.animal: content
        for content in ledger.rows(Content, Content.enclosure.is_(box))
        if content.animal is not None
        and ledger.row(Animal, content.animal).sex == "m"
        and (content.since is None or content.since.earliest <= made.latest)
        and (content.until is None or content.until.latest >= since.earliest)
    }
    sure, _ = paternity(ledger, mother, frozenset(males), made)
    pairing = draft.add(
        Pairing(
            name=fresh_name(ledger, Pairing.name, "P"),
            female=mother,
            enclosure=box,
            purpose="unplanned",
            paternity=sure,
            since=since,
            until=made,
            note=laying_sentences.NO_PAIRING_BEFORE,
        )
    )
    for male, stay in males.items():
        draft.add(PairingMale(pairing=pairing, male=male, since=stay.since, until=stay.until or made))
    return pairing


def _settle(draft: Draft, where: Site, made: Span, looked_for: Collection[str]) -> None:
    """All of the substrate was searched: what was counted there before is counted anew.

    Only what was told of this time: eggs that nobody was asked about lie where they lay.
    """
    for group in where.left:
        if group.instar not in looked_for:
            continue
        draft.add(
            Fewer(
                content=group.id,
                line=group.line,
                brood=group.brood,
                lot=group.lot,
                how="counted again",
                males=group.males,
                females=group.females,
                unsexed=group.unsexed,
                instar=group.instar,
                made=made,
            )
        )
        leave(draft, group.id, made)


def _brood(
    draft: Draft,
    given: ActInput,
    where: Site,
    search_: int,
    f: str,
    counts: Counts,
    span: Hatch,
    *,
    several: bool,
) -> None:
    ledger, box, made = draft.ledger, given.subject, given["on"]
    pairing = ledger.row(Pairing, where.pairing) if where.pairing is not None else None
    stem = given["name"] or (pairing.name if pairing is not None else code(ledger, box))
    name = given["name"] if given["name"] and not several else fresh_name(ledger, Brood.name, stem)
    line = line_of(ledger, where, made)
    brood = draft.add(
        Brood(
            name=name,
            line=line,
            pairing=where.pairing,
            search=search_,
            found=made,
            hatch=span.span,
            instar=f,
            males=counts.males,
            females=counts.females,
            unsexed=counts.unsexed,
            at_least=counts.at_least,
            high=counts.high,
            count_words=counts.words,
            doubt="; ".join(filter(None, (doubt_of(ledger, where), span.doubt))),
            paternity=pairing.paternity if pairing is not None else "",
        )
    )
    again = where.left and given["how"] == "partial"
    draft.add(
        Content(
            enclosure=box,
            line=line,
            brood=brood,
            males=counts.males,
            females=counts.females,
            unsexed=counts.unsexed,
            at_least=counts.at_least,
            high=counts.high,
            count_words=counts.words,
            instar=f,
            since=made,
            doubt=laying_sentences.MAY_BE_COUNTED_BEFORE if again else "",
        )
    )
