"""Acts of animals that are not here any more: dead, given away, lent, missing, and back again."""

from __future__ import annotations

from rounds.acts import leaving_sentences
from rounds.acts.act import ActInput, ActRefused, ConfirmationRequired, act
from rounds.acts.arrivals import back_later, open_loan
from rounds.acts.effects import NEW_STAGE, move_in, part
from rounds.acts.fields import Field
from rounds.acts.groups import WHICH, take_out, the_group
from rounds.acts.growing import stepped
from rounds.acts.late_truths import worked_out_again
from rounds.acts.life import follow
from rounds.acts.moving_and_locks import ON, leave, living, put
from rounds.acts.vacating import LOOKED, REST
from rounds.husbandry.life_table import ANIMAL, LEFT
from rounds.husbandry.stages import LIVED_IN
from rounds.records.ledger import Draft
from rounds.records.naming import animal_name
from rounds.records.tables import Animal, Content, Due, Loan
from rounds.records.whereabouts import where_is
from rounds.text.cleaning import day_and_year
from rounds.values.spans import Span, told

_COUNT = Field("count", "counts", "how many: 3, or males.females.unsexed", required=True)
_SEEN = Field("seen", "day", "last day it was seen alive", past=True)
_CAUSE = Field("cause", "text", "suspected cause (unknown is an answer)")
_INTO = Field("into", "ref", "the box it is in now", required=True, of="enclosure")


def _go(draft: Draft, given: ActInput, state: str, why: str = "") -> None:
    """An animal leaves its enclosure, its pairings and what was due for it."""
    one, when, before = given.subject, given["on"], draft.ledger
    here = where_is(draft.ledger, one)
    part(draft, one, when)
    draft.set(Animal.state, one, state)
    follow(draft, given, ANIMAL, animal=one, why=why)
    if here is not None:
        leave(draft, here, when)
        follow(draft, given, LEFT, draft.ledger.row(Content, here).enclosure, times=1)
    elif given["rest"] is not None:
        raise ActRefused.at("rest", leaving_sentences.was_in_no_enclosure(animal_name(draft.ledger, one)))
    worked_out_again(before, draft, given, one)


def _seen_before(seen: int | None, when: Span) -> None:
    if seen is not None and seen > when.latest:
        raise ActRefused.at("seen", leaving_sentences.seen_later(told(when)))


@act(
    "dead",
    "found dead",
    _SEEN,
    _CAUSE,
    REST,
    LOOKED,
    ON,
    on="animal",
    about="It was found dead: the day is when it was found, not when it died.",
    stages=LIVED_IN,
)
def dead(draft: Draft, given: ActInput) -> None:
    one, when, seen = given.subject, given["on"], given["seen"]
    living(draft.ledger, one)
    _seen_before(seen, when)
    # Between when it was last seen alive and when it was found; without the first, what is known is the find.
    died = when if seen is None or seen == when.earliest else Span(min(seen, when.earliest), when.latest)
    stepped(draft, one, Animal.died, died, given)
    draft.set(Animal.last_seen, one, seen if seen is not None else draft.ledger.row(Animal, one).last_seen)
    draft.set(Animal.cause, one, given["cause"] or "")
    _end_loan(draft, one, when)
    _go(draft, given, "dead", leaving_sentences.died(animal_name(draft.ledger, one)))


@act(
    "dead-some",
    "found dead in a group",
    _COUNT,
    _SEEN,
    _CAUSE,
    *WHICH,
    REST,
    LOOKED,
    ON,
    on="enclosure",
    about="Some of a counted group were found dead.",
    stages=LIVED_IN,
)
def dead_some(draft: Draft, given: ActInput) -> None:
    _some(draft, given, "dead", given["seen"], given["cause"] or "")


def _some(draft: Draft, given: ActInput, how: str, seen: int | None, cause: str) -> None:
    group = the_group(draft.ledger, given)
    _seen_before(seen, given["on"])
    take_out(draft, group, given["count"], given["on"], how, last_seen=seen, cause=cause)
    follow(draft, given, LEFT, given.subject, times=given["count"].total)


_TO = Field("to", "text", "who has it now", required=True)


@act(
    "given-away",
    "given away",
    _TO,
    REST,
    LOOKED,
    ON,
    on="animal",
    about="It has left the house for good: given, traded or sold.",
    stages=LIVED_IN,
)
def given_away(draft: Draft, given: ActInput) -> None:
    row = living(draft.ledger, given.subject)
    if row.owner:
        raise ActRefused.at(
            "animal",
            leaving_sentences.belongs_to_another_house(animal_name(draft.ledger, given.subject), row.owner),
        )
    draft.set(Animal.owner, given.subject, given["to"])
    who = animal_name(draft.ledger, given.subject)
    _go(draft, given, "gone", leaving_sentences.is_with(who, given["to"]))


@act(
    "given-away-some",
    "given away from a group",
    _COUNT,
    _TO,
    *WHICH,
    REST,
    LOOKED,
    ON,
    on="enclosure",
    about="Some of a counted group have left the house for good.",
    stages=("larvae", "colony", "holding"),
)
def given_away_some(draft: Draft, given: ActInput) -> None:
    _some(draft, given, "given away", None, given["to"])


@act(
    "missing",
    "missing",
    _SEEN,
    REST,
    LOOKED,
    ON,
    on="animal",
    about="It is not where it should be, and nobody knows where it is.",
    stages=LIVED_IN,
)
def missing(draft: Draft, given: ActInput) -> None:
    row = living(draft.ledger, given.subject)
    if row.state == "missing":
        raise ActRefused.at(
            "animal", leaving_sentences.missing_already(animal_name(draft.ledger, given.subject))
        )
    _seen_before(given["seen"], given["on"])
    if given["seen"] is not None:
        draft.set(Animal.last_seen, given.subject, given["seen"])
    _go(draft, given, "missing")


@act(
    "missing-some",
    "missing from a group",
    _COUNT,
    _SEEN,
    *WHICH,
    REST,
    LOOKED,
    ON,
    on="enclosure",
    about="Some of a counted group are not there any more, and nobody knows where.",
    stages=("larvae", "colony", "holding"),
)
def missing_some(draft: Draft, given: ActInput) -> None:
    _some(draft, given, "missing", given["seen"], "")


@act(
    "found",
    "found again",
    _INTO,
    NEW_STAGE,
    ON,
    on="animal",
    about="An animal that was missing turned up.",
)
def found(draft: Draft, given: ActInput) -> None:
    one, row = given.subject, draft.ledger.row(Animal, given.subject)
    if row.state != "missing":
        raise ActRefused.at("animal", leaving_sentences.not_missing(animal_name(draft.ledger, one)))
    _after_it_left(draft, one, given["on"])
    move_in(draft, given, given["into"], given["stage"])
    put(draft, one, given["into"], given["on"])


def _after_it_left(draft: Draft, animal: int, when: Span) -> None:
    left = [
        content.until.earliest
        for content in draft.ledger.rows(Content, Content.animal.is_(animal))
        if content.until is not None
    ]
    if left and when.latest < max(left):
        day = day_and_year(max(left))
        raise ActRefused.at("on", leaving_sentences.before_it_left(day))


@act(
    "lent",
    "lent out",
    Field("to", "text", "who has it for the time being", required=True),
    Field("due", "span", "when it is due back"),
    Field("offspring", "text", "whose the offspring are, and what else was agreed"),
    REST,
    LOOKED,
    ON,
    on="animal",
    about="It is with another house for a time and stays ours.",
    stages=("holding", "resting"),
)
def lent(draft: Draft, given: ActInput) -> None:
    one, row = given.subject, living(draft.ledger, given.subject)
    who = animal_name(draft.ledger, one)
    if row.state == "missing":
        raise ActRefused.at("animal", leaving_sentences.is_missing(who))
    if row.owner and not given.sure:
        raise ConfirmationRequired("to", leaving_sentences.lend_it_on(who, row.owner))
    back_later(given["due"], given["on"])
    _go(draft, given, "gone", leaving_sentences.is_lent_to(who, given["to"]))
    open_loan(draft, one, "out", given["to"], given["on"], given["due"], given["offspring"] or "")


def _open_loan(draft: Draft, animal: int, way: str) -> int:
    """The loan of an animal that is running. Refused when there is none."""
    loan = next(
        (r.id for r in draft.ledger.rows(Loan, Loan.animal.is_(animal), Loan.way.is_(way)) if r.back is None),
        None,
    )
    if loan is None:
        refusal = leaving_sentences.not_lent_out if way == "out" else leaving_sentences.not_on_loan_here
        raise ActRefused.at("animal", refusal(animal_name(draft.ledger, animal)))
    return loan


def _close(draft: Draft, loan: int, when: Span, today: int) -> None:
    about = draft.ledger.row(Loan, loan)
    if about.since is not None and when.latest < about.since.earliest:
        raise ActRefused.at("on", leaving_sentences.before_the_loan(told(about.since)))
    draft.set(Loan.back, loan, when)
    for due in list(draft.ledger.rows(Due, Due.animal.is_(about.animal), Due.what.is_("loan back"))):
        if due.done is None:
            draft.set(Due.done, due.id, today)


def _end_loan(draft: Draft, animal: int, when: Span) -> None:
    """An animal on loan here that died is not due back any more."""
    for loan in list(draft.ledger.rows(Loan, Loan.animal.is_(animal), Loan.back.is_(None))):
        draft.set(Loan.back, loan.id, when)
        draft.set(Loan.terms, loan.id, "; ".join(filter(None, (loan.terms, leaving_sentences.DIED_HERE))))


@act(
    "came-back",
    "came back from a loan",
    _INTO,
    NEW_STAGE,
    ON,
    on="animal",
    about="An animal that was lent out is here again.",
)
def came_back(draft: Draft, given: ActInput) -> None:
    one = given.subject
    loan = _open_loan(draft, one, "out")
    _close(draft, loan, given["on"], given.today)
    # Lent animals are gone from the house, which would keep them from being put anywhere.
    draft.set(Animal.state, one, "alive")
    move_in(draft, given, given["into"], given["stage"])
    put(draft, one, given["into"], given["on"])


@act(
    "went-back",
    "went back to its owner",
    REST,
    LOOKED,
    ON,
    on="animal",
    about="An animal that was here on loan is with its owner again.",
    stages=("holding", "pairing", "laying"),
)
def went_back(draft: Draft, given: ActInput) -> None:
    loan = _open_loan(draft, given.subject, "in")
    living(draft.ledger, given.subject)
    _close(draft, loan, given["on"], given.today)
    who = animal_name(draft.ledger, given.subject)
    _go(draft, given, "gone", leaving_sentences.went_back(who))
