"""Every table that acts write: its columns, what they mean, and what they point to.

This registry is the only list of those tables. The store makes and checks its models
against it, loading and writing make their CSV tables from it, acts speak in it, undo
reverses in it.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, NamedTuple

from rounds.husbandry.spans import Span

Value = int | float | str | bool | Span | None
Row = Mapping[str, Any]

TYPES = ("text", "whole", "number", "yesno", "day", "span", "ref")


class Column(NamedTuple):
    """One column. ``of`` is the table a ``ref`` points into; ``words`` are a text's fixed answers."""

    name: str
    type: str
    meaning: str
    of: str = ""
    words: tuple[str, ...] = ()
    default: Value = None


class Table(NamedTuple):
    """One table; ``key`` are the columns by which people name a row (none: rows have no name)."""

    name: str
    meaning: str
    columns: tuple[Column, ...]
    key: tuple[str, ...] = ()

    def column(self, name: str) -> Column:
        return next(c for c in self.columns if c.name == name)


C = Column
SEXES = ("m", "f", "unknown")
STATES = ("alive", "dead", "gone", "missing")
SURE = ("certain", "likely", "guess")
PURPOSES = ("cross", "sibs", "unplanned")
ARMS = ("sibs", "cross")
PATERNITY = ("certain", "likely", "open")
ANSWERS = ("yes", "no", "unknown")
FEWER = ("numbered", "dead", "given away", "missing", "counted again")

_NOTE = C("note", "text", "anything else", default="")
_COUNTS = (
    C("males", "whole", "males counted", default=0),
    C("females", "whole", "females counted", default=0),
    C("unsexed", "whole", "not sexed", default=0),
    C("at_least", "yesno", "the counts are this many or more", default=False),
)

TABLES: dict[str, Table] = {
    t.name: t
    for t in (
        Table("lot", "one arrival with its papers", (
            C("name", "text", "what it is called"),
            C("species", "text", "Latin name", default=""),
            C("arrived", "span", "when it came"),
            C("from_whom", "text", "who it came from", default=""),
            C("papers", "text", "permit or invoice reference", default=""),
            C("origin", "text", "as it was told, word for word", default=""),
            C("mated_before", "text", "whether females had mated before", words=ANSWERS, default="unknown"),
            C("quarantine_until", "day", "end of quarantine"),
            *_COUNTS, _NOTE,
        ), ("name",)),
        Table("line", "animals of one recorded origin", (
            C("name", "text", "its name"),
            C("species", "text", "Latin name", default=""),
            C("origin", "text", "where it came from, as it was told", default=""),
            C("generation", "text", "the label as the seller wrote it", default=""),
            C("lot", "ref", "the arrival it was founded from", "lot"),
            C("opened", "span", "since when it is kept"),
            _NOTE,
            C("subspecies", "text", "its subspecies; empty: not known, or there are none", default=""),
            C("locality", "text", "where in the wild it came from, as recorded; empty: not known", default=""),
        ), ("name",)),
        Table("animal", "an individual", (
            C("line", "ref", "its line", "line"),
            C("number", "text", "as the keeper writes it"),
            C("sex", "text", "its sex", words=SEXES, default="unknown"),
            C("sexed_how", "text", "how it was sexed", default=""),
            C("sexed_sure", "text", "how sure that is", words=("", *SURE), default=""),
            C("sire", "ref", "its father", "animal"),
            C("dam", "ref", "its mother", "animal"),
            C("brood", "ref", "the brood it came from", "brood"),
            C("lot", "ref", "the arrival it came with", "lot"),
            C("mark", "text", "how it is marked", default=""),
            C("mark_lost", "span", "when the mark was found to be gone"),
            C("born", "span", "when it hatched"),
            C("wandering", "span", "when it was seen wandering"),
            C("cell", "span", "when it was in its cell"),
            C("eclosed", "span", "when it left its pupal skin"),
            C("emerged", "span", "when it left its cell"),
            C("first_feed", "span", "when it first ate as an adult"),
            C("mature", "span", "when it was ready to breed"),
            C("state", "text", "alive, dead, gone from the house, or missing", words=STATES, default="alive"),
            C("last_seen", "day", "last day it was seen alive"),
            C("died", "span", "when it died or was found dead"),
            C("cause", "text", "suspected cause of death", default=""),
            C("owner", "text", "whose it is, when not the house's", default=""),
            C("doubt", "text", "why its record is doubtful", default=""),
            _NOTE,
            C("promised", "text", "to whom it is promised, or for what it is kept; empty: to nobody", default=""),
        ), ("line", "number")),
        Table("enclosure", "a box or tub", (
            C("code", "text", "its own code"),
            C("number", "whole", "short number for the number pad"),
            C("stage", "text", "what stage it is in"),
            C("stage_since", "span", "since when"),
            C("place", "ref", "where it stands", "place"),
            C("slot_order", "whole", "among several in one slot", default=0),
            C("species", "text", "Latin name", default=""),
            C("litres", "number", "how much it holds"),
            _NOTE,
        ), ("code",)),
        Table("stage_past", "a stage an enclosure was in before", (
            C("enclosure", "ref", "which", "enclosure"), C("stage", "text", "the stage it was in"),
            C("since", "span", "since when"), C("until", "span", "until when"),
        )),
        Table("place", "one slot of the rack", (
            C("bay", "text", "bay"), C("shelf", "whole", "from the top"), C("slot", "whole", "from the left"),
        ), ("bay", "shelf", "slot")),
        Table("content", "who was in an enclosure, from when to when", (
            C("enclosure", "ref", "where", "enclosure"),
            C("animal", "ref", "the animal; none for a group", "animal"),
            C("line", "ref", "the line of a group", "line"),
            C("brood", "ref", "the brood of a group", "brood"),
            *_COUNTS,
            C("instar", "text", "of larvae", default=""),
            C("since", "span", "since when"),
            C("until", "span", "until when; none while they are there"),
            C("doubt", "text", "why this is doubtful", default=""),
            C("lot", "ref", "the arrival of a group", "lot"),
            C("sexed_how", "text", "how those of a group were sexed", default=""),
            C("sexed_sure", "text", "how sure that is", words=("", *SURE), default=""),
        )),
        Table("lock", "what must not be done, and until when", (
            C("enclosure", "ref", "to which enclosure", "enclosure"),
            C("animal", "ref", "or to which animal", "animal"),
            C("forbids", "text", "some of: dig open move wet"),
            C("from_day", "day", "since which day"),
            C("until", "span", "until when; none: until it is lifted"),
            C("reason", "text", "why", default=""),
            C("lifted", "day", "the day it was lifted"),
        )),
        Table("due", "work with a window", (
            C("enclosure", "ref", "at which enclosure", "enclosure"),
            C("animal", "ref", "for which animal", "animal"),
            C("what", "text", "what is to be done"),
            C("earliest", "day", "first day on which it makes sense"),
            C("likely", "day", "the best guess"),
            C("latest", "day", "last day"),
            C("words", "text", "the words typed", default=""),
            C("why", "text", "what it follows from", default=""),
            C("asked", "yesno", "a keeper asked for it", default=False),
            C("done", "day", "the day it was done"),
            C("off_until", "day", "put off until"),
            C("off_why", "text", "why it was put off", default=""),
        )),
        Table("pairing", "which male(s) with which female", (
            C("name", "text", "what it is called"),
            C("female", "ref", "the female", "animal"),
            C("enclosure", "ref", "where they are, or last were", "enclosure"),
            C("purpose", "text", "what it is for", words=PURPOSES, default="cross"),
            C("paternity", "text", "how sure the father is", words=PATERNITY, default="likely"),
            C("since", "span", "since when they are together"),
            C("until", "span", "until when; none while they are"),
            C("mated", "span", "first mating seen"),
            C("doubt", "text", "why this is doubtful", default=""),
            _NOTE,
        ), ("name",)),
        Table("pairing_male", "a male of a pairing", (
            C("pairing", "ref", "the pairing", "pairing"),
            C("male", "ref", "the male", "animal"),
            C("since", "span", "since when"), C("until", "span", "until when"),
        )),
        Table("mating", "a mating that was seen", (
            C("pairing", "ref", "of which pairing", "pairing"), C("seen", "span", "when"),
            C("male", "ref", "by which male, when that was seen", "animal"),
        )),
        Table("plan", "a pairing that was chosen and not yet made", (
            C("name", "text", "what it is called"),
            C("female", "ref", "the female", "animal"),
            C("male", "ref", "the male", "animal"),
            C("purpose", "text", "what it is for", words=PURPOSES, default="cross"),
            C("enclosure", "ref", "the box it is meant for; none: where she stands", "enclosure"),
            C("chosen", "day", "the day it was chosen"),
            C("earliest", "day", "first day on which to make it"),
            C("latest", "day", "last day on which to make it"),
            C("why", "text", "why these two, as it was known then", default=""),
            C("pairing", "ref", "the pairing it became at the rack", "pairing"),
            C("dropped", "day", "the day it was given up"),
            C("dropped_why", "text", "why it was given up", default=""),
        ), ("name",)),
        Table("trial", "a sib trial, fixed before it began", (
            C("name", "text", "what it is called"),
            C("species", "text", "Latin name", default=""),
            C("endpoint", "text", "what is counted, and when", default=""),
            C("stops", "day", "the day it is judged, whatever it shows"),
            C("seed", "whole", "from which arms and places were drawn"),
            C("eggs", "whole", "eggs meant to be set of each female"),
            C("rho", "number", "likeness within a brood that was reckoned with"),
            C("survival", "number", "survival that was reckoned with, 0 to 1"),
            C("opened", "day", "the day it began"),
            C("closed", "day", "the day it was over"),
            C("closed_why", "text", "why it was over", default=""),
            _NOTE,
        ), ("name",)),
        Table("trial_female", "a female of a trial and what was drawn for her", (
            C("trial", "ref", "of which trial", "trial"),
            C("arm", "text", "the arm drawn for her", words=ARMS),
            C("female", "ref", "the female", "animal"),
            C("male", "ref", "the male she is to meet", "animal"),
            C("pairing", "ref", "their pairing, once it was made", "pairing"),
            C("place", "ref", "the place on the shelf drawn for her brood", "place"),
            C("out", "day", "the day she dropped out"),
            C("out_why", "text", "why she dropped out", default=""),
            _NOTE,
        )),
        Table("search", "a laying enclosure dug through", (
            C("enclosure", "ref", "which", "enclosure"),
            C("pairing", "ref", "whose eggs these are", "pairing"),
            C("made", "span", "when"),
            C("complete", "yesno", "all of it was searched", default=False),
            C("eggs", "whole", "eggs found", default=0), C("l1", "whole", "L1 found", default=0),
            C("l2", "whole", "L2 found", default=0), C("l3", "whole", "L3 found", default=0),
            C("at_least", "yesno", "the counts are this many or more", default=False),
            _NOTE,
            C("recount", "whole", "so many of these, at the most, had been counted here before", default=0),
        )),
        Table("brood", "offspring found together", (
            C("name", "text", "what it is called"),
            C("line", "ref", "its line", "line"),
            C("pairing", "ref", "its parents' pairing", "pairing"),
            C("search", "ref", "the search that found it", "search"),
            C("parent", "ref", "the brood it was split from", "brood"),
            C("found", "span", "when it was first counted"),
            C("hatch", "span", "when it hatched"),
            C("instar", "text", "when first counted: eggs, L1, L2, L3", default=""),
            *_COUNTS,
            C("doubt", "text", "why this is doubtful", default=""),
            _NOTE,
            C("paternity", "text", "how sure the father is", words=("", *PATERNITY), default=""),
        ), ("name",)),
        Table("weight", "one weighing", (
            C("animal", "ref", "of an animal", "animal"),
            C("content", "ref", "or of one of a group", "content"),
            C("made", "span", "when"),
            C("grams", "number", "weight, g"),
            C("head_mm", "number", "head width, mm"),
            C("instar", "text", "instar then", default=""),
        )),
        Table("batch", "one mixing of substrate", (
            C("name", "text", "what it is called"), C("made", "span", "when"),
            C("recipe", "text", "what is in it", default=""), _NOTE,
        ), ("name",)),
        Table("batch_use", "substrate of a batch put into an enclosure", (
            C("batch", "ref", "which batch", "batch"), C("enclosure", "ref", "into which", "enclosure"),
            C("given", "span", "when"), C("litres", "number", "how much"),
        )),
        Table("protein", "protein food given", (
            C("enclosure", "ref", "where", "enclosure"), C("given", "span", "when"),
            C("what", "text", "what and how much", default=""),
            C("out_by", "day", "leftovers out by"), C("taken_out", "span", "when leftovers were taken out"),
        )),
        Table("loan", "an animal lent, or on loan here", (
            C("animal", "ref", "which", "animal"),
            C("way", "text", "which way", words=("in", "out")),
            C("owner", "text", "the other house", default=""),
            C("since", "span", "since when"), C("due_back", "span", "due back"),
            C("back", "span", "when it came or went back"),
            C("terms", "text", "whose offspring, and what else was agreed", default=""),
        )),
        Table("tick", "a step of a checklist that was done", (
            C("enclosure", "ref", "where", "enclosure"), C("list", "text", "of which checklist"),
            C("item", "text", "which step"), C("done", "span", "when"),
        )),
        # A group's counts are what is there now. With these rows they add up to what was once found.
        Table("fewer", "why a group became fewer", (
            C("content", "ref", "which group", "content"),
            C("line", "ref", "its line", "line"),
            C("brood", "ref", "its brood", "brood"),
            C("lot", "ref", "its arrival", "lot"),
            C("how", "text", "what became of them", words=FEWER),
            C("animal", "ref", "the one that got a number of its own", "animal"),
            *_COUNTS[:3],
            C("instar", "text", "of larvae", default=""),
            C("made", "span", "when"),
            C("last_seen", "day", "last day they were seen alive"),
            C("cause", "text", "suspected cause, or who has them now", default=""),
        )),
    )
}  # fmt: skip
"""Every table by name. All of them also have ``void``."""
