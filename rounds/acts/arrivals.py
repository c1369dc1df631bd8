"""Acts of what comes into the house: arrivals, lines opened, animals on loan here, quarantine."""

from __future__ import annotations

from rounds.acts import arrival_law, arrival_sentences, shared_act_sentences
from rounds.acts.act import ActInput, ActRefused, ConfirmationRequired, act
from rounds.acts.fields import Field
from rounds.acts.groups import AGES, instar, said
from rounds.acts.life import follow, kind_of_lock, set_stage
from rounds.acts.moving_and_locks import NOTE, ON
from rounds.husbandry.life_table import HERE, INTO
from rounds.husbandry.stages import STAGES, VACANT
from rounds.records.column import Column
from rounds.records.ledger import Draft
from rounds.records.naming import code, fresh_name, table_word
from rounds.records.tables import (
    ANSWERS,
    SEXES,
    TABLES,
    Animal,
    Content,
    Due,
    Enclosure,
    Line,
    Loan,
    Lock,
    Lot,
)
from rounds.records.whereabouts import inside
from rounds.text.cleaning import day_and_year
from rounds.values.spans import Span, told

# 30 days for adults: common practice, no source. The keeper's own day goes before it.
_UNTIL = Field("until", "day", "last day of quarantine (30 days from today unless given)", default="+30")
_STAGE_OF_AGE = {"": "holding", "eggs": "eggs"}


def named_free(draft: Draft, column: Column[str], name: str) -> str:
    """``name``, which no record may have in this column. Refused otherwise."""
    taken = (record.value(column) for record in draft.ledger.rows(TABLES[column.table]))
    alike = next((other for other in taken if other.casefold() == name.casefold()), None)
    if alike is not None:
        raise ActRefused.at("name", arrival_sentences.name_taken(table_word(column.table), alike))
    return name


def quarantine(draft: Draft, given: ActInput, box: int, otherwise: str, why: str) -> None:
    """Take animals into an enclosure that stands apart until the day given as ``until``.

    A quarantine that is over (an old notebook) puts it into stage ``otherwise``. Refused when
    others are in it that are not in quarantine; asked about when they are: they wait as long
    together.
    """
    row, until, since = draft.ledger.row(Enclosure, box), given["until"], given["on"]
    if until < since.earliest:
        raise ActRefused.at("until", arrival_sentences.quarantine_over_before_they_came(told(since)))
    if until < given.today:
        if not inside(draft.ledger, box):
            set_stage(draft, given, box, otherwise)
        return
    if inside(draft.ledger, box) and row.stage != "quarantine":
        raise ActRefused.at("into", arrival_sentences.others_not_in_quarantine(code(draft.ledger, box)))
    follow(draft, given, INTO, box, why=why, until=Span(until, until), by=until)


def _apart(draft: Draft, given: ActInput, since: Span) -> None:
    """Ask before new animals join others in quarantine (called before they are put in)."""
    box = given["into"]
    ends = [
        held.until.latest
        for held in draft.ledger.rows(Lock, Lock.enclosure.is_(box))
        if held.lifted is None and held.until is not None and kind_of_lock(held, "quarantine") == "quarantine"
    ]
    if (
        inside(draft.ledger, box)
        and draft.ledger.row(Enclosure, box).stage == "quarantine"
        and not given.sure
    ):
        end = day_and_year(max(ends)) if ends else ""
        raise ConfirmationRequired(
            "into", arrival_sentences.put_in_with_others(code(draft.ledger, box), end, told(since))
        )


@act(
    "arrival",
    "arrived",
    Field("species", "text", "Latin name", required=True, label=True),
    Field("count", "counts", "how many: 12, at least 12, or males.females.unsexed", required=True),
    Field("into", "ref", "the box they went into", required=True, of="enclosure"),
    Field("age", "word", "adults (unless given), eggs, L1, L2 or L3", words=AGES, default="adults"),
    Field("name", "text", "what this arrival is called (a running name unless given)", label=True),
    Field("from", "text", "who they came from"),
    Field("papers", "text", "permit or invoice reference"),
    Field("origin", "text", "where they are from, word for word as it was told"),
    Field(
        "mated", "word", "had the females mated before: yes, no, unknown", words=ANSWERS, default="unknown"
    ),
    Field("line", "ref", "their line, when it is open already", of="line"),
    _UNTIL,
    ON,
    NOTE,
    on="",
    about="Animals came into the house together, with their papers; they go into quarantine.",
)
def arrival(draft: Draft, given: ActInput) -> None:
    counts, since, line = given["count"], given["on"], given["line"]
    if not counts.total:
        raise ActRefused.at("count", arrival_sentences.nobody_came())
    if line is not None:
        known = draft.ledger.row(Line, line).species
        if known and known.casefold() != given["species"].casefold():
            raise ActRefused.at("species", arrival_sentences.not_the_species_of_the_line(known))
    _ask_about_law(given)
    name = named_free(draft, Lot.name, given["name"] or fresh_name(draft.ledger, Lot.name, "LOT"))
    _apart(draft, given, since)
    age = instar(given["age"])
    box = given["into"]
    why = arrival_sentences.lot_came(name, said(counts), told(since))
    quarantine(draft, given, box, _STAGE_OF_AGE.get(age, "larvae"), why)
    lot = draft.add(
        Lot(
            name=name,
            species=arrival_law.spelt(given["species"], given.settings.species),
            arrived=since,
            from_whom=given["from"] or "",
            papers=given["papers"] or "",
            origin=given["origin"] or "",
            mated_before=given["mated"],
            quarantine_until=given["until"],
            males=counts.males,
            females=counts.females,
            unsexed=counts.unsexed,
            at_least=counts.at_least,
            high=counts.high,
            count_words=counts.words,
            note=given["note"] or "",
        )
    )
    draft.add(
        Content(
            enclosure=box,
            line=line,
            lot=lot,
            males=counts.males,
            females=counts.females,
            unsexed=counts.unsexed,
            at_least=counts.at_least,
            high=counts.high,
            count_words=counts.words,
            instar=age,
            since=since,
        )
    )
    draft.set(Enclosure.species, box, arrival_law.spelt(given["species"], given.settings.species))


def _ask_about_law(given: ActInput) -> None:
    """A protected species without papers is asked about; whoever says yes answers for it."""
    species, presets = given["species"], given.settings.species
    if not given["papers"] and not given.sure and arrival_law.is_protected(species, presets):
        law = arrival_law.said_of(species, presets)
        raise ConfirmationRequired("papers", arrival_sentences.is_protected(law))


@act(
    "line",
    "line opened",
    Field("name", "text", "its name", required=True, label=True),
    Field("species", "text", "Latin name (that of the arrival unless given)", label=True),
    Field("origin", "text", "where it is from, as it was told (that of the arrival unless given)"),
    Field("generation", "text", "the label exactly as the seller wrote it"),
    Field("lot", "ref", "the arrival it is founded from", of="lot"),
    Field("subspecies", "text", "its subspecies", label=True),
    Field("locality", "text", "the place in the wild it comes from, as it is on record", label=True),
    ON,
    NOTE,
    on="",
    about="Animals of one recorded origin are kept as a line from now on.",
)
def line(draft: Draft, given: ActInput) -> None:
    name = named_free(draft, Line.name, given["name"])
    lot = given["lot"]
    species = arrival_law.spelt(given["species"] or "", given.settings.species)
    origin = given["origin"] or ""
    if lot is not None:
        came = draft.ledger.row(Lot, lot)
        if species and came.species and species.casefold() != came.species.casefold():
            raise ActRefused.at("species", arrival_sentences.not_the_species_of_the_arrival(came.species))
        if came.arrived is not None and given["on"].latest < came.arrived.earliest:
            raise ActRefused.at("on", arrival_sentences.before_the_arrival(came.name, told(came.arrived)))
        species, origin = species or came.species, origin or came.origin
    if not species:
        raise ActRefused.at("species", arrival_sentences.species_missing())
    made = draft.add(
        Line(
            name=name,
            species=species,
            origin=origin,
            generation=given["generation"] or "",
            lot=lot,
            opened=given["on"],
            note=given["note"] or "",
            subspecies=given["subspecies"] or "",
            locality=given["locality"] or "",
        )
    )
    if lot is not None:
        # The arrival's groups are of this line from now on, unless another has claimed them.
        for group in list(
            draft.ledger.rows(Content, Content.lot.is_(lot), Content.animal.is_(None), Content.line.is_(None))
        ):
            if group.until is None:
                draft.set(Content.line, group.id, made)


@act(
    "loan-in",
    "came on loan",
    Field("number", "text", "its number, as the keeper writes it", required=True, label=True),
    Field("owner", "text", "whose it is", required=True),
    Field("into", "ref", "the box it went into", required=True, of="enclosure"),
    Field("sex", "word", "m, f or unknown", words=SEXES, default="unknown"),
    Field("due", "span", "when it is due back"),
    Field("offspring", "text", "whose the offspring are, and what else was agreed"),
    _UNTIL,
    ON,
    NOTE,
    on="line",
    about="An animal of another house stays here for a time; it never counts as ours.",
)
def loan_in(draft: Draft, given: ActInput) -> None:
    since, due, box = given["on"], given["due"], given["into"]
    line_row = draft.ledger.row(Line, given.subject)
    if draft.ledger.find(Animal, given.subject, given["number"]) is not None:
        raise ActRefused.at("number", shared_act_sentences.number_taken(line_row.name, given["number"]))
    back_later(due, since)
    _apart(draft, given, since)
    who = f"{line_row.name}/{given['number']}"
    why = arrival_sentences.borrowed_animal_came(who, given["owner"], told(since))
    quarantine(draft, given, box, "holding", why)
    animal = draft.add(
        Animal(
            line=given.subject,
            number=given["number"],
            sex=given["sex"],
            owner=given["owner"],
            note=given["note"] or "",
        )
    )
    draft.add(Content(enclosure=box, animal=animal, line=given.subject, since=since))
    open_loan(draft, animal, "in", given["owner"], since, due, given["offspring"] or "")


def back_later(due: Span | None, since: Span) -> None:
    """A loan is due back after it began, if a day was agreed. Refused otherwise."""
    if due is not None and due.latest < since.earliest:
        raise ActRefused.at("due", arrival_sentences.due_back_before_the_loan(told(since)))


def open_loan(
    draft: Draft, animal: int, way: str, owner: str, since: Span, due: Span | None, terms: str
) -> None:
    """A loan, and the work of its end when a day was agreed."""
    draft.add(Loan(animal=animal, way=way, owner=owner, since=since, due_back=due, terms=terms))
    if due is not None:
        draft.add(
            Due(
                animal=animal,
                what="loan back",
                earliest=due.earliest,
                latest=due.latest,
                likely=due.latest if due.exact else None,
                words=due.words,
                why=arrival_sentences.due_back(owner, told(due), borrowed=way == "in"),
            )
        )


@act(
    "quarantine-over",
    "quarantine ended",
    Field("stage", "stage", "the stage the box is in now", required=True),
    ON,
    on="enclosure",
    about="The animals of a box in quarantine join the others.",
    stages=("quarantine",),
)
def quarantine_over(draft: Draft, given: ActInput) -> None:
    box = given.subject
    if draft.ledger.row(Enclosure, box).stage != "quarantine":
        raise ActRefused.at("enclosure", arrival_sentences.not_in_quarantine(code(draft.ledger, box)))
    if given["stage"] in ("quarantine", *VACANT):
        lived = ", ".join(s for s in STAGES if s not in ("quarantine", *VACANT))
        raise ActRefused.at("stage", arrival_sentences.no_stage_after_quarantine(given["stage"], lived))
    began = draft.ledger.row(Enclosure, box).stage_since
    if began is not None and given["on"].latest < began.earliest:
        raise ActRefused.at("on", arrival_sentences.before_quarantine(code(draft.ledger, box), told(began)))
    held = [
        lock
        for lock in draft.ledger.rows(Lock, Lock.enclosure.is_(box))
        if lock.lifted is None and kind_of_lock(lock, "quarantine") == "quarantine"
    ]
    ends = [lock.until.latest for lock in held if lock.until is not None]
    early = [end for end in ends if end > given["on"].latest]
    if early and not given.sure:
        raise ConfirmationRequired("on", arrival_sentences.end_quarantine_now(day_and_year(max(early))))
    follow(draft, given, HERE, box)
    set_stage(draft, given, box, given["stage"])
