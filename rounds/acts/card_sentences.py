"""How fields of acts are called and asked for on a card, and what else stands there."""

from __future__ import annotations

WHO, WHO_IS_IT = "who", "Which one is it?"
NOT_KNOWN = "not known"
THEN, ANOTHER = "then", "Weigh the next one after this?"
THE_NEXT_ONE, NO_MORE = "yes, the next one", "no, that was it"
FEMALE, MALE = "female", "male"
DAY_AGO, DAY_AHEAD = "15 Oct, or 12 for 12 days ago", "15 Oct, or 12 for in 12 days"
"""How a day is typed that no digit gives."""
YESTERDAY, TOMORROW = "yesterday", "tomorrow"
NONE_FOUND = "none"
NONE_FOUND_AND_NO_OTHERS = "none, and none of the others either"
CAUSES = (
    "old age",
    "too wet or mouldy",
    "too dry",
    "too hot",
    "hurt by another",
    "stuck in moult",
    "worn out by laying",
    "not known",
)
"""Suspected causes of a death that a digit gives (common practice, no source); any other text is one too."""

CALLED: dict[str, tuple[str, str]] = {
    "about": ("look at", "What should you look at?"),
    "age": ("age", "Which age are they?"),
    "animal": ("animal", "Which animal?"),
    "batch": ("batch", "Which batch of substrate?"),
    "bay": ("bay", "Which bay (letters)?"),
    "because": ("reason", "Why?"),
    "born": ("hatched", "When did it hatch?"),
    "box": ("box", "Which box is it meant for?"),
    "brood": ("brood", "Which brood?"),
    "cause": ("cause", "What may it have died of?"),
    "code": ("code", "What code does it get?"),
    "count": ("how many", "How many?"),
    "counted": ("counted", "Was it counted in the group there?"),
    "dam": ("mother", "Who is its mother?"),
    "due": ("back on", "When is it due back?"),
    "eggs": ("eggs", "How many eggs?"),
    "evenly": ("evenly", "All of them, spread evenly over the tubs?"),
    "female": ("female", "Which female?"),
    "female_to": ("she goes to", "Which box is she in now?"),
    "forbids": ("forbids", "What must not be done?"),
    "from": ("from", "From which box?"),
    "generation": ("label", "What does the seller's label say of the generation?"),
    "grams": ("weight in g", "Weight in g?"),
    "head_mm": ("head in mm", "Head width in mm?"),
    "how": ("how", "How?"),
    "in": ("box", "Which box?"),
    "instar": ("instar", "Which instar?"),
    "into": ("into", "Into which box?"),
    "item": ("steps", "Which steps are done?"),
    "l1": ("L1", "How many L1?"),
    "l2": ("L2", "How many L2?"),
    "l3": ("L3", "How many L3?"),
    "line": ("line", "Which line?"),
    "list": ("checklist", "Which checklist?"),
    "litres": ("litres", "How many litres?"),
    "locality": ("locality", "Which place in the wild is it from, as recorded?"),
    "looked": ("looked", "Was it looked through for eggs and larvae?"),
    "lot": ("arrival", "Which arrival?"),
    "male": ("male", "Which male?"),
    "males": ("male", "Which male?"),
    "males_to": ("he goes to", "Which box is he in now?"),
    "mark": ("mark", "How is it marked?"),
    "mated": ("mated", "Had the females mated before?"),
    "name": ("name", "What is it called?"),
    "note": ("note", "Anything else?"),
    "number": ("number", "Which number?"),
    "offspring": ("agreed", "Whose are the offspring, and what else was agreed?"),
    "on": ("day", "On which day?"),
    "origin": ("origin", "Where is it from, as it was told?"),
    "out_by": ("out by", "By when must leftovers be out?"),
    "owner": ("owner", "Whose is it?"),
    "pairing": ("pairing", "Which pairing?"),
    "papers": ("papers", "Which permit or invoice?"),
    "part": ("how much", "How much of the substrate was changed?"),
    "paternity": ("paternity", "How sure is the father?"),
    "per": ("per tub", "How many into each tub?"),
    "place": ("place", "Where does it stand?"),
    "prefix": ("codes", "What do the codes of the new tubs begin with?"),
    "purpose": ("purpose", "What are they paired for?"),
    "reason": ("reason", "Why?"),
    "recipe": ("recipe", "What is in it?"),
    "rest": ("box after", "If nobody is left there: what becomes of the box?"),
    "seen": ("seen alive", "When was it last seen alive?"),
    "sex": ("sex", "Which sex?"),
    "shelf": ("shelf", "Which shelf, counted from the top?"),
    "sire": ("father", "Who is its father?"),
    "slots": ("slots", "How many slots does it have?"),
    "species": ("species", "Which species (Latin name)?"),
    "stage": ("stage", "Which stage is the box in from now on?"),
    "state": ("state", "Is it alive?"),
    "subspecies": ("subspecies", "Which subspecies?"),
    "sure": ("how sure", "How sure is that?"),
    "take": ("which sex", "Which of them are taken?"),
    "then": ("then", "And then?"),
    "to": ("to", "To whom, or where?"),
    "tubs": ("new tubs", "Into how many new tubs?"),
    "until": ("until", "Until when?"),
    "what": ("what", "What and how much?"),
    "who": ("who left", "Who left?"),
    "with": ("with", "With which other?"),
    "with_male": ("with male", "Did her male go with her?"),
    "work": ("work", "Which work?"),
}
"""By field: its label on a card, and the question at the foot."""

CALLED_OF: dict[tuple[str, str], tuple[str, str]] = {
    ("search", "how"): ("substrate", "Was all of the substrate searched?"),
    ("sexed", "how"): ("sexed by", "How was it sexed?"),
    ("sexed-some", "how"): ("sexed by", "How were they sexed?"),
    ("counted", "how"): ("the missing", "What became of those that are not there?"),
    ("search", "pairing"): ("pairing", "Whose eggs are these?"),
    ("search", "name"): ("brood name", "What is the brood called?"),
    ("split", "place"): ("places", "Where do the new tubs stand?"),
    ("split", "into"): ("into tubs", "Or into which tubs that there are?"),
    ("split-some", "place"): ("places", "Where do the new tubs stand?"),
    ("split-some", "into"): ("into tubs", "Or into which tubs that there are?"),
    ("to-laying", "to"): ("laying box", "Which laying box?"),
    ("male-out", "to"): ("he goes to", "Which box is he in now?"),
    ("arrival", "into"): ("box", "Which box did they go into?"),
    ("loan-in", "into"): ("box", "Which box did it go into?"),
    ("found", "into"): ("box", "Which box is it in now?"),
    ("came-back", "into"): ("box", "Which box is it in now?"),
    ("substrate-used", "into"): ("boxes", "Which boxes got it?"),
    ("lift", "forbids"): ("lifts", "What may be done again?"),
    ("move", "to"): ("box", "Which box is it in now?"),
    ("move-some", "to"): ("box", "Which box are they in now?"),
    ("move-box", "to"): ("place", "Where does it stand now?"),
    ("given-away", "to"): ("to whom", "Who has it now?"),
    ("given-away-some", "to"): ("to whom", "Who has them now?"),
    ("lent", "to"): ("to whom", "Who has it for the time being?"),
    ("promised", "to"): ("to whom", "To whom is it promised, or for what is it kept?"),
    ("swapped-labels", "from"): ("since", "Since when at the earliest?"),
    ("swapped-labels", "to"): ("until", "Until when at the latest?"),
    ("swapped-labels", "with"): ("with box", "With which other box?"),
    ("labels-settled", "were"): ("mixed up", "Were the labels mixed up?"),
    ("labels-settled", "with"): ("with box", "With which other box?"),
    ("labels-settled", "sex"): ("sexed then", "Was an animal sexed on those days?"),
    ("swap-boxes", "with"): ("with box", "With which other box?"),
    ("plan-pair", "with"): ("with", "With which other animal?"),
    ("plan-pair", "from"): ("from", "From which day on?"),
    ("merge", "from"): ("from tubs", "Which tubs are in with these now?"),
    ("arrival", "from"): ("from whom", "Who did they come from?"),
    ("search-sooner", "to"): ("day", "To which day is it brought forward?"),
    ("look-again", "in"): ("day", "On which day?"),
    ("wandering", "then"): ("box then", "What is the box now?"),
    ("emptied", "then"): ("box then", "Is it empty, or filled anew and waiting?"),
    ("quarantine-over", "stage"): ("stage", "Which stage is the box in now?"),
    ("stage", "stage"): ("stage", "Which stage is the box in now?"),
    ("trial-open", "eggs"): ("eggs each", "How many eggs are to be set of each female?"),
    ("trial-close", "because"): ("reason", "Why does it end before its last day?"),
    ("cell", "until"): ("until", "Not to be disturbed until when?"),
}
"""The same of one act, where it means something else there."""


def question_of(act: str, field: str) -> str:
    """What is asked for a field of an act; "" for a field that no card asks for by name."""
    return CALLED_OF.get((act, field), CALLED.get(field, ("", "")))[1]


def several(first: str, last: str, many: int) -> str:
    return f"{first} to {last}, {many} in all"


def at_least(number: str) -> str:
    return f"at least {number}"


def all_there(count: str) -> str:
    return f"all of them ({count})"


def box_in_stage(code: str, stage: str, place: str) -> str:
    return f"{code} {stage}{f' at {place}' if place else ''}"


def wrong(label: str, message: str, hint: str) -> str:
    return f"{label}: {message}{f' {hint}' if hint else ''}"
