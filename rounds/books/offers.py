"""Which acts the walk offers at an enclosure, whom each may concern, and what it must be told."""

from __future__ import annotations

from rounds.books import plans
from rounds.books.act_fields import Field
from rounds.books.acts import Act, all_acts
from rounds.books.ledger import Ledger
from rounds.husbandry.entry_state import Offer, OfferField
from rounds.husbandry.stages import STAGES

FIRST = {
    "quarantine": ("quarantine-over", "dead", "sexed"),
    "holding": ("plan-made", "pair", "first-feed", "mature", "weigh", "dead"),
    "pairing": ("plan-made", "mating-seen", "to-laying", "male-out", "male-in", "parted", "dead"),
    "laying": ("search", "protein", "rebed", "dead"),
    "eggs": ("hatched", "search", "counted"),
    "larvae": ("weigh-one", "weigh", "wandering", "cell", "rebed", "protein", "dead-some", "split"),
    "wandering": ("cell", "wandering"),
    "cell": ("eclosed", "emerged", "dead"),
    "resting": ("emerged", "first-feed", "dead"),
    "colony": ("dead-some", "protein", "rebed"),
    "prepared": ("plan-made", "tick", "stage"),
    "empty": ("plan-made", "cleaned", "stage", "tick"),
}
"""What happens most at each stage; the other acts of the stage follow."""
LAST = len(max(FIRST.values(), key=len))
MANY = 8  # an act of so many stages is a general one, and comes after those of the stage


def offers(ledger: Ledger, enclosure: int) -> tuple[Offer, ...]:
    """The acts of the enclosure's stage that concern somebody here, the likeliest first."""
    row = ledger.row("enclosure", enclosure)
    found = [a for a in all_acts().values() if row["stage"] in a.stages]
    first = FIRST[row["stage"]]
    found.sort(key=lambda a: (first.index(a.id) if a.id in first else LAST, len(a.stages) >= MANY))
    group = any(
        r["animal"] is None for _, r in ledger.rows("content", enclosure=enclosure) if r["until"] is None
    )
    out = []
    for act in found:
        if act.id.endswith("-some") and not group:
            continue  # it takes some out of a group, and there is none
        whom = _whom(ledger, act, enclosure)
        if whom:
            title = f"{act.title}: {whom[0][1]}" if act.on == "plan" and len(whom) == 1 else act.title
            out.append(Offer(act.id, title, whom, tuple(asked(f) for f in act.fields if f.required)))
    return tuple(out)


def _whom(ledger: Ledger, act: Act, enclosure: int) -> tuple[tuple[str, str], ...]:
    """Those an act may concern, as (what would be typed, what is shown)."""
    box = ledger.row("enclosure", enclosure)
    if act.on == "enclosure":
        return ((str(box["code"]), str(box["code"])),)
    if act.on == "animal":
        here = [r["animal"] for _, r in ledger.rows("content", enclosure=enclosure) if r["until"] is None]
        return tuple(_animal(ledger, a) for a in here if a is not None)
    if act.on == "pairing":
        open_ = [r for _, r in ledger.rows("pairing", enclosure=enclosure) if r["until"] is None]
        return tuple((str(r["name"]), str(r["name"])) for r in open_)
    if act.on == "plan":
        return tuple((str(r["name"]), plans.both(ledger, r)) for r in plans.here(ledger, enclosure))
    return ()


def _animal(ledger: Ledger, id_: int) -> tuple[str, str]:
    row = ledger.row("animal", id_)
    line = str(ledger.row("line", row["line"])["name"])
    sex = {"m": " m", "f": " f"}.get(row["sex"], "")
    return f"{line}/{row['number']}", f"{line} {row['number']}{sex}"


def asked(field: Field) -> OfferField:
    """How the walk asks for a field: by digits where it has fixed answers."""
    words = {"word": field.words, "yesno": ("yes", "no"), "stage": STAGES}.get(field.type, ())
    return OfferField(field.name, field.about, () if field.many or len(words) > 9 else words)
