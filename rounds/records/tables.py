"""Every table that acts write, one record class each: its columns, what they mean, what they point to.

These classes are the only list of those tables. The store makes and checks its models against
them, loading and writing make their CSV tables from them, acts speak in them, undo reverses in
them. The order of the columns is that of the files and of the database: a new one goes last.
"""

from __future__ import annotations

from rounds.records import column as c
from rounds.records.column import Column
from rounds.records.record import Counted, Record
from rounds.values.spans import Span

SEXES = ("m", "f", "unknown")
STATES = ("alive", "dead", "gone", "missing")
SURE = ("certain", "likely", "guess")
PURPOSES = ("cross", "sibs", "unplanned")
ARMS = ("sibs", "cross")
PATERNITY = ("certain", "likely", "open")
ANSWERS = ("yes", "no", "unknown")
SETTLED = ("", "yes", "no")
FEWER = ("numbered", "dead", "given away", "missing", "counted again")


class Lot(Counted, Record, table="lot", key=("name",)):
    """One arrival with its papers."""

    name: Column[str] = c.text("what it is called")
    species: Column[str] = c.text("Latin name", default="")
    arrived: Column[Span | None] = c.span("when it came", default=None)
    from_whom: Column[str] = c.text("who it came from", default="")
    papers: Column[str] = c.text("permit or invoice reference", default="")
    origin: Column[str] = c.text("as it was told, word for word", default="")
    mated_before: Column[str] = c.text("whether females had mated before", words=ANSWERS, default="unknown")
    quarantine_until: Column[int | None] = c.day("end of quarantine", default=None)
    males: Column[int] = c.whole("males counted", default=0)
    females: Column[int] = c.whole("females counted", default=0)
    unsexed: Column[int] = c.whole("not sexed", default=0)
    at_least: Column[bool] = c.yesno("the counts are this many or more", default=False)
    note: Column[str] = c.text("anything else", default="")
    high: Column[int | None] = c.whole("of a rough count the most not sexed", default=None)
    count_words: Column[str] = c.text("the count as it was typed, where it was rough", default="")


class Line(Record, table="line", key=("name",)):
    """Animals of one recorded origin."""

    name: Column[str] = c.text("its name")
    species: Column[str] = c.text("Latin name", default="")
    origin: Column[str] = c.text("where it came from, as it was told", default="")
    generation: Column[str] = c.text("the label as the seller wrote it", default="")
    lot: Column[int | None] = c.ref("lot", "the arrival it was founded from", default=None)
    opened: Column[Span | None] = c.span("since when it is kept", default=None)
    note: Column[str] = c.text("anything else", default="")
    subspecies: Column[str] = c.text("its subspecies; empty: not known, or there are none", default="")
    locality: Column[str] = c.text(
        "where in the wild it came from, as recorded; empty: not known", default=""
    )


class Animal(Record, table="animal", key=("line", "number")):
    """An individual."""

    line: Column[int] = c.ref("line", "its line")
    number: Column[str] = c.text("as the keeper writes it")
    sex: Column[str] = c.text("its sex", words=SEXES, default="unknown")
    sexed_how: Column[str] = c.text("how it was sexed", default="")
    sexed_sure: Column[str] = c.text("how sure that is", words=("", *SURE), default="")
    sire: Column[int | None] = c.ref("animal", "its father", default=None)
    dam: Column[int | None] = c.ref("animal", "its mother", default=None)
    brood: Column[int | None] = c.ref("brood", "the brood it came from", default=None)
    lot: Column[int | None] = c.ref("lot", "the arrival it came with", default=None)
    mark: Column[str] = c.text("how it is marked", default="")
    mark_lost: Column[Span | None] = c.span("when the mark was found to be gone", default=None)
    born: Column[Span | None] = c.span("when it hatched", default=None)
    wandering: Column[Span | None] = c.span("when it was seen wandering", default=None)
    cell: Column[Span | None] = c.span("when it was in its cell", default=None)
    eclosed: Column[Span | None] = c.span("when it left its pupal skin", default=None)
    emerged: Column[Span | None] = c.span("when it left its cell", default=None)
    first_feed: Column[Span | None] = c.span("when it first ate as an adult", default=None)
    mature: Column[Span | None] = c.span("when it was ready to breed", default=None)
    state: Column[str] = c.text("alive, dead, gone from the house, or missing", words=STATES, default="alive")
    last_seen: Column[int | None] = c.day("last day it was seen alive", default=None)
    died: Column[Span | None] = c.span("when it died or was found dead", default=None)
    cause: Column[str] = c.text("suspected cause of death", default="")
    owner: Column[str] = c.text("whose it is, when not the house's", default="")
    doubt: Column[str] = c.text("why its record is doubtful", default="")
    note: Column[str] = c.text("anything else", default="")
    promised: Column[str] = c.text(
        "to whom it is promised, or for what it is kept; empty: to nobody", default=""
    )

    @property
    def grown(self) -> bool:
        """Is any date of its adult life recorded?"""
        return any(day is not None for day in (self.eclosed, self.emerged, self.first_feed, self.mature))


class Enclosure(Record, table="enclosure", key=("code",)):
    """A box or tub."""

    code: Column[str] = c.text("its own code")
    number: Column[int] = c.whole("short number for the number pad")
    stage: Column[str] = c.text("what stage it is in")
    stage_since: Column[Span | None] = c.span("since when", default=None)
    place: Column[int | None] = c.ref("place", "where it stands", default=None)
    slot_order: Column[int] = c.whole("among several in one slot", default=0)
    species: Column[str] = c.text("Latin name", default="")
    litres: Column[float | None] = c.number("how much it holds", default=None)
    note: Column[str] = c.text("anything else", default="")


class StagePast(Record, table="stage_past"):
    """A stage an enclosure was in before."""

    enclosure: Column[int] = c.ref("enclosure", "which")
    stage: Column[str] = c.text("the stage it was in")
    since: Column[Span | None] = c.span("since when", default=None)
    until: Column[Span | None] = c.span("until when", default=None)


class Place(Record, table="place", key=("bay", "shelf", "slot")):
    """One slot of the rack."""

    bay: Column[str] = c.text("bay")
    shelf: Column[int] = c.whole("from the top")
    slot: Column[int] = c.whole("from the left")

    @property
    def address(self) -> str:
        """``B3-2``: bay B, shelf 3 from the top, slot 2."""
        return f"{self.bay}{self.shelf}-{self.slot}"

    @property
    def shelf_name(self) -> str:
        """``B3``."""
        return f"{self.bay}{self.shelf}"


class Content(Counted, Record, table="content"):
    """Who was in an enclosure, from when to when."""

    enclosure: Column[int] = c.ref("enclosure", "where")
    animal: Column[int | None] = c.ref("animal", "the animal; none for a group", default=None)
    line: Column[int | None] = c.ref("line", "the line of a group", default=None)
    brood: Column[int | None] = c.ref("brood", "the brood of a group", default=None)
    males: Column[int] = c.whole("males counted", default=0)
    females: Column[int] = c.whole("females counted", default=0)
    unsexed: Column[int] = c.whole("not sexed", default=0)
    at_least: Column[bool] = c.yesno("the counts are this many or more", default=False)
    instar: Column[str] = c.text("of larvae", default="")
    since: Column[Span | None] = c.span("since when", default=None)
    until: Column[Span | None] = c.span("until when; none while they are there", default=None)
    doubt: Column[str] = c.text("why this is doubtful", default="")
    lot: Column[int | None] = c.ref("lot", "the arrival of a group", default=None)
    sexed_how: Column[str] = c.text("how those of a group were sexed", default="")
    sexed_sure: Column[str] = c.text("how sure that is", words=("", *SURE), default="")
    high: Column[int | None] = c.whole("of a rough count the most not sexed", default=None)
    count_words: Column[str] = c.text("the count as it was typed, where it was rough", default="")


class Lock(Record, table="lock"):
    """What must not be done, and until when."""

    enclosure: Column[int | None] = c.ref("enclosure", "to which box", default=None)
    animal: Column[int | None] = c.ref("animal", "or to which animal", default=None)
    forbids: Column[str] = c.text("some of: dig open move wet")
    from_day: Column[int] = c.day("since which day")
    until: Column[Span | None] = c.span("until when; none: until it is lifted", default=None)
    reason: Column[str] = c.text("why", default="")
    lifted: Column[int | None] = c.day("the day it was lifted", default=None)


class Due(Record, table="due"):
    """Work with a window."""

    enclosure: Column[int | None] = c.ref("enclosure", "at which box", default=None)
    animal: Column[int | None] = c.ref("animal", "for which animal", default=None)
    what: Column[str] = c.text("what is to be done")
    earliest: Column[int] = c.day("first day on which it makes sense")
    likely: Column[int | None] = c.day("the best guess", default=None)
    latest: Column[int] = c.day("last day")
    words: Column[str] = c.text("the words typed", default="")
    why: Column[str] = c.text("what it follows from", default="")
    asked: Column[bool] = c.yesno("a keeper asked for it", default=False)
    done: Column[int | None] = c.day("the day it was done", default=None)
    off_until: Column[int | None] = c.day("put off until", default=None)
    off_why: Column[str] = c.text("why it was put off", default="")


class Pairing(Record, table="pairing", key=("name",)):
    """Which male(s) with which female."""

    name: Column[str] = c.text("what it is called")
    female: Column[int | None] = c.ref("animal", "the female", default=None)
    enclosure: Column[int | None] = c.ref("enclosure", "where they are, or last were", default=None)
    purpose: Column[str] = c.text("what it is for", words=PURPOSES, default="cross")
    paternity: Column[str] = c.text("how sure the father is", words=PATERNITY, default="likely")
    since: Column[Span | None] = c.span("since when they are together", default=None)
    until: Column[Span | None] = c.span("until when; none while they are", default=None)
    mated: Column[Span | None] = c.span("first mating seen", default=None)
    doubt: Column[str] = c.text("why this is doubtful", default="")
    note: Column[str] = c.text("anything else", default="")


class PairingMale(Record, table="pairing_male"):
    """A male of a pairing."""

    pairing: Column[int] = c.ref("pairing", "the pairing")
    male: Column[int] = c.ref("animal", "the male")
    since: Column[Span | None] = c.span("since when", default=None)
    until: Column[Span | None] = c.span("until when", default=None)


class Mating(Record, table="mating"):
    """A mating that was seen."""

    pairing: Column[int] = c.ref("pairing", "of which pairing")
    seen: Column[Span | None] = c.span("when", default=None)
    male: Column[int | None] = c.ref("animal", "by which male, when that was seen", default=None)


class PlannedPairing(Record, table="plan", key=("name",)):
    """A pairing that was chosen and not yet made."""

    name: Column[str] = c.text("what it is called")
    female: Column[int] = c.ref("animal", "the female")
    male: Column[int] = c.ref("animal", "the male")
    purpose: Column[str] = c.text("what it is for", words=PURPOSES, default="cross")
    enclosure: Column[int | None] = c.ref(
        "enclosure", "the box it is meant for; none: where she stands", default=None
    )
    chosen: Column[int | None] = c.day("the day it was chosen", default=None)
    earliest: Column[int | None] = c.day("first day on which to make it", default=None)
    latest: Column[int | None] = c.day("last day on which to make it", default=None)
    why: Column[str] = c.text("why these two, as it was known then", default="")
    pairing: Column[int | None] = c.ref("pairing", "the pairing it became at the rack", default=None)
    dropped: Column[int | None] = c.day("the day it was given up", default=None)
    dropped_why: Column[str] = c.text("why it was given up", default="")


class Trial(Record, table="trial", key=("name",)):
    """A sib trial, fixed before it began."""

    name: Column[str] = c.text("what it is called")
    species: Column[str] = c.text("Latin name", default="")
    endpoint: Column[str] = c.text("what is counted, and when", default="")
    stops: Column[int | None] = c.day("the day it is judged, whatever it shows", default=None)
    seed: Column[int | None] = c.whole("from which arms and places were drawn", default=None)
    eggs: Column[int | None] = c.whole("eggs meant to be set of each female", default=None)
    rho: Column[float | None] = c.number("likeness within a brood that was reckoned with", default=None)
    survival: Column[float | None] = c.number("survival that was reckoned with, 0 to 1", default=None)
    opened: Column[int | None] = c.day("the day it began", default=None)
    closed: Column[int | None] = c.day("the day it was over", default=None)
    closed_why: Column[str] = c.text("why it was over", default="")
    note: Column[str] = c.text("anything else", default="")


class TrialFemale(Record, table="trial_female"):
    """A female of a trial and what was drawn for her."""

    trial: Column[int] = c.ref("trial", "of which trial")
    arm: Column[str] = c.text("the arm drawn for her", words=ARMS)
    female: Column[int] = c.ref("animal", "the female")
    male: Column[int | None] = c.ref("animal", "the male she is to meet", default=None)
    pairing: Column[int | None] = c.ref("pairing", "their pairing, once it was made", default=None)
    place: Column[int | None] = c.ref("place", "the place on the shelf drawn for her brood", default=None)
    out: Column[int | None] = c.day("the day she dropped out", default=None)
    out_why: Column[str] = c.text("why she dropped out", default="")
    note: Column[str] = c.text("anything else", default="")


class Search(Record, table="search"):
    """A laying enclosure dug through."""

    enclosure: Column[int] = c.ref("enclosure", "which")
    pairing: Column[int | None] = c.ref("pairing", "whose eggs these are", default=None)
    made: Column[Span | None] = c.span("when", default=None)
    complete: Column[bool] = c.yesno("all of it was searched", default=False)
    eggs: Column[int | None] = c.whole("eggs found; none: nobody said", default=None)
    l1: Column[int | None] = c.whole("L1 found; none: nobody said", default=None)
    l2: Column[int | None] = c.whole("L2 found; none: nobody said", default=None)
    l3: Column[int | None] = c.whole("L3 found; none: nobody said", default=None)
    at_least: Column[bool] = c.yesno("the counts are this many or more", default=False)
    note: Column[str] = c.text("anything else", default="")
    recount: Column[int] = c.whole("so many of these, at the most, had been counted here before", default=0)
    high: Column[int | None] = c.whole("of a rough count the most found, all together", default=None)
    count_words: Column[str] = c.text("the count as it was typed, where it was rough", default="")


class Brood(Counted, Record, table="brood", key=("name",)):
    """Offspring found together."""

    name: Column[str] = c.text("what it is called")
    line: Column[int | None] = c.ref("line", "its line", default=None)
    pairing: Column[int | None] = c.ref("pairing", "its parents' pairing", default=None)
    search: Column[int | None] = c.ref("search", "the search that found it", default=None)
    parent: Column[int | None] = c.ref("brood", "the brood it was split from", default=None)
    found: Column[Span | None] = c.span("when it was first counted", default=None)
    hatch: Column[Span | None] = c.span("when it hatched", default=None)
    instar: Column[str] = c.text("when first counted: eggs, L1, L2, L3", default="")
    males: Column[int] = c.whole("males counted", default=0)
    females: Column[int] = c.whole("females counted", default=0)
    unsexed: Column[int] = c.whole("not sexed", default=0)
    at_least: Column[bool] = c.yesno("the counts are this many or more", default=False)
    doubt: Column[str] = c.text("why this is doubtful", default="")
    note: Column[str] = c.text("anything else", default="")
    paternity: Column[str] = c.text("how sure the father is", words=("", *PATERNITY), default="")
    high: Column[int | None] = c.whole("of a rough count the most not sexed", default=None)
    count_words: Column[str] = c.text("the count as it was typed, where it was rough", default="")


class Weight(Record, table="weight"):
    """One weighing."""

    animal: Column[int | None] = c.ref("animal", "of an animal", default=None)
    content: Column[int | None] = c.ref("content", "or of one of a group", default=None)
    made: Column[Span | None] = c.span("when", default=None)
    grams: Column[float | None] = c.number("weight, g", default=None)
    head_mm: Column[float | None] = c.number("head width, mm", default=None)
    instar: Column[str] = c.text("instar then", default="")


class Batch(Record, table="batch", key=("name",)):
    """One mixing of substrate."""

    name: Column[str] = c.text("what it is called")
    made: Column[Span | None] = c.span("when", default=None)
    recipe: Column[str] = c.text("what is in it", default="")
    note: Column[str] = c.text("anything else", default="")


class BatchUse(Record, table="batch_use"):
    """Substrate of a batch put into an enclosure."""

    batch: Column[int] = c.ref("batch", "which batch")
    enclosure: Column[int] = c.ref("enclosure", "into which")
    given: Column[Span | None] = c.span("when", default=None)
    litres: Column[float | None] = c.number("how much", default=None)


class Protein(Record, table="protein"):
    """Protein food given."""

    enclosure: Column[int] = c.ref("enclosure", "where")
    given: Column[Span | None] = c.span("when", default=None)
    what: Column[str] = c.text("what and how much", default="")
    out_by: Column[int | None] = c.day("leftovers out by", default=None)
    taken_out: Column[Span | None] = c.span("when leftovers were taken out", default=None)


class Loan(Record, table="loan"):
    """An animal lent, or on loan here."""

    animal: Column[int] = c.ref("animal", "which")
    way: Column[str] = c.text("which way", words=("in", "out"))
    owner: Column[str] = c.text("the other house", default="")
    since: Column[Span | None] = c.span("since when", default=None)
    due_back: Column[Span | None] = c.span("due back", default=None)
    back: Column[Span | None] = c.span("when it came or went back", default=None)
    terms: Column[str] = c.text("whose offspring, and what else was agreed", default="")


class Tick(Record, table="tick"):
    """A step of a checklist that was done."""

    enclosure: Column[int] = c.ref("enclosure", "where")
    list: Column[str] = c.text("of which checklist")
    item: Column[str] = c.text("which step")
    done: Column[Span | None] = c.span("when", default=None)


class Fewer(Counted, Record, table="fewer"):
    """Why a group became fewer."""

    content: Column[int | None] = c.ref("content", "which group", default=None)
    line: Column[int | None] = c.ref("line", "its line", default=None)
    brood: Column[int | None] = c.ref("brood", "its brood", default=None)
    lot: Column[int | None] = c.ref("lot", "its arrival", default=None)
    how: Column[str] = c.text("what became of them", words=FEWER)
    animal: Column[int | None] = c.ref("animal", "the one that got a number of its own", default=None)
    males: Column[int] = c.whole("males counted", default=0)
    females: Column[int] = c.whole("females counted", default=0)
    unsexed: Column[int] = c.whole("not sexed", default=0)
    instar: Column[str] = c.text("of larvae", default="")
    made: Column[Span | None] = c.span("when", default=None)
    last_seen: Column[int | None] = c.day("last day they were seen alive", default=None)
    cause: Column[str] = c.text("suspected cause, or who has them now", default="")


class LabelSwap(Record, table="label_swap"):
    """Labels of two enclosures that may have been swapped for some days."""

    enclosure: Column[int] = c.ref("enclosure", "one of them")
    other: Column[int] = c.ref("enclosure", "the other")
    since: Column[Span | None] = c.span("since when", default=None)
    until: Column[Span | None] = c.span("until when", default=None)
    settled: Column[str] = c.text("were they swapped; empty: nobody knows yet", words=SETTLED, default="")
    settled_on: Column[int | None] = c.day("the day that was settled", default=None)
    exchanged: Column[str] = c.text("what was exchanged between them", default="")
    note: Column[str] = c.text("anything else", default="")


TABLES: dict[str, type[Record]] = {
    record.table: record
    for record in (
        Lot,
        Line,
        Animal,
        Enclosure,
        StagePast,
        Place,
        Content,
        Lock,
        Due,
        Pairing,
        PairingMale,
        Mating,
        PlannedPairing,
        Trial,
        TrialFemale,
        Search,
        Brood,
        Weight,
        Batch,
        BatchUse,
        Protein,
        Loan,
        Tick,
        Fewer,
        LabelSwap,
    )
}
"""Every table by name."""
