"""What becomes of enclosures and pairings when animals come and go."""

from __future__ import annotations

from rounds.acts.act import ActInput, ActRefused
from rounds.acts.common import set_stage
from rounds.acts.fields import Field, FieldError
from rounds.acts.work_windows import drop_dues
from rounds.husbandry.spans import Span, text
from rounds.husbandry.stages import STAGES
from rounds.records.ledger import Draft, Ledger
from rounds.records.naming import code
from rounds.records.whereabouts import inside

NEW_STAGE = Field("stage", "stage", "the stage of the enclosure from now on, when it was empty or prepared")


REST = Field("rest", "word", "what becomes of the enclosure when it was the last in it: keep, empty or prepare",
             words=("keep", "empty", "prepare"))  # fmt: skip


LOOKED = Field("looked", "yesno", "was it looked through for eggs and larvae before anything was thrown out")


BREEDING = ("pairing", "laying", "colony")
"""Stages in which eggs may be in the substrate whether or not anybody has seen them."""


def move_in(draft: Draft, box: int, stage: str | None, when: Span, field: str = "stage") -> None:
    """See to it that an enclosure has a stage that animals can live in, before they go in.

    One that was empty or prepared needs ``stage``; one in use keeps its own, and another is refused.
    """
    now = str(draft.ledger.row("enclosure", box)["stage"])
    lived = [s for s in STAGES if s not in ("empty", "prepared")]
    if stage is not None and stage not in lived:
        raise ActRefused(
            FieldError(
                field, f"cannot be {stage} with animals inside.", f"Expected one of: {', '.join(lived)}."
            )
        )
    if now not in ("empty", "prepared"):
        if stage is not None and stage != now:
            raise ActRefused(FieldError(field, f"{code(draft.ledger, box)} is in use, in stage {now}.", "Leave it out, or record `stage` for it."))  # fmt: skip
        return
    if stage is None:
        raise ActRefused(FieldError(field, f"is missing: {code(draft.ledger, box)} is {now}.", f"Expected one of: {', '.join(lived)}."))  # fmt: skip
    set_stage(draft, box, stage, when)


def left_behind(draft: Draft, box: int, given: ActInput) -> None:
    """What becomes of an enclosure that animals have left: its ``rest``, asked for when it is vacant."""
    there = inside(draft.ledger, box)
    rest = given["rest"]
    if there:
        if rest in ("empty", "prepare"):
            raise ActRefused(
                FieldError(
                    "rest", f"{code(draft.ledger, box)} still holds others.", "Expected keep, or nothing."
                )
            )
        return
    if rest is None:
        raise ActRefused(FieldError(
            "rest", f"is missing: {code(draft.ledger, box)} is vacant now.", "Expected keep, empty or prepare.",
        ))  # fmt: skip
    if rest != "keep":
        clear(draft, box, "empty" if rest == "empty" else "prepared", given)


def pairing_left(draft: Draft, box: int, given: ActInput) -> None:
    """What becomes of an enclosure where a pairing stood, once none is open in it.

    Whoever stays behind without the other sex is held from now on; a vacant one asks for its ``rest``.
    """
    ledger = draft.ledger
    there = [r["animal"] for _, r in inside(ledger, box)]
    stood = ledger.row("enclosure", box)["stage"] == "pairing"
    if given["rest"] is not None or (stood and not there):
        left_behind(draft, box, given)
    if not stood or not there or None in there or any(ledger.rows("pairing", until=None, enclosure=box)):
        return
    sexes = {ledger.row("animal", a)["sex"] for a in there}
    if len(there) == 1 or sexes in ({"m"}, {"f"}):
        set_stage(draft, box, "holding", given["on"])


def clear(draft: Draft, box: int, stage: str, given: ActInput) -> None:
    """Empty a vacant enclosure, after a look for eggs and larvae; refused without one.

    Where eggs may be in the substrate, a complete search must be in the books, made not
    certainly before the last animal left.
    """
    ledger, name = draft.ledger, code(draft.ledger, box)
    if inside(ledger, box):
        raise ActRefused(
            FieldError("enclosure", f"{name} still holds animals.", "Record where they went first.")
        )
    if given["looked"] is not True:
        raise ActRefused(FieldError(
            "looked", f"must be yes before {name} is cleared.",
            "Look for eggs and larvae first, and record what you find with `search`.",
        ))  # fmt: skip
    if _bred_in(ledger, box) and not _searched(ledger, box):
        raise ActRefused(FieldError(
            "looked", f"{name} may hold eggs, and no complete search since the last animal left is in the books.",
            "Record `search` with what was found (0 is an answer), then clear it.",
        ))  # fmt: skip
    set_stage(draft, box, stage, given["on"])
    for i, row in list(ledger.rows("lock", enclosure=box)):
        if row["lifted"] is None:
            draft.set("lock", i, "lifted", given.today)
    drop_dues(draft, given.today, f"{name} was cleared", enclosure=box)


def _bred_in(ledger: Ledger, box: int) -> bool:
    """Whether eggs may be in the substrate: also where she, or he, was only held after the pairing."""
    stage = str(ledger.row("enclosure", box)["stage"])
    if stage == "holding":
        past = [str(r["stage"]) for _, r in ledger.rows("stage_past", enclosure=box)]
        stage = next((s for s in reversed(past) if s != "holding"), "")
    return stage in BREEDING


def _searched(ledger: Ledger, box: int) -> bool:
    left = max(
        (r["until"].earliest for _, r in ledger.rows("content", enclosure=box) if r["until"]), default=None
    )
    if left is None:
        return True
    return any(r["complete"] and r["made"].latest >= left for _, r in ledger.rows("search", enclosure=box))


def part(draft: Draft, animal: int, when: Span, box: int | None = None) -> None:
    """An animal is with its partners no longer: its pairings (those in ``box``, when given) end.

    A pairing goes on while its female and a male are left in it.
    """
    ledger = draft.ledger
    for i, row in list(ledger.rows("pairing", until=None)):
        if box is not None and row["enclosure"] not in (None, box):
            continue
        males = [(k, r) for k, r in ledger.rows("pairing_male", pairing=i) if r["until"] is None]
        going = [k for k, r in males if animal in (r["male"], row["female"])]
        if not going and animal != row["female"]:
            continue
        if row["since"] is not None and when.latest < row["since"].earliest:
            raise ActRefused(
                FieldError(
                    "on", f"is before {row['name']} began ({text(row['since'])}).", "Give a later day."
                )
            )
        for k in going:
            draft.set("pairing_male", k, "until", when)
        if animal == row["female"] or len(going) == len(males):
            draft.set("pairing", i, "until", when)
