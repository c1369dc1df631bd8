"""What stands on an enclosure's label, and what its QR code types: pure, without a place on paper.

A label has a title (the code), an aside (the short number) and at most two more lines. Each
of those is given in several wordings, the fullest first; where it is printed the fullest
that fits is taken (:mod:`rounds.files.label_layout`).
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from datetime import date

from rounds.files import label_sentences
from rounds.keys import scan_code
from rounds.named_tuple import NamedTuple
from rounds.problems import RoundsError
from rounds.records.ledger import Ledger
from rounds.records.observations import EnclosureState
from rounds.records.tables import Animal, Brood, Content, Line, Lot, Pairing
from rounds.text.cleaning import clean, day_and_year, day_words
from rounds.values.spans import Span, told

ENTER = "\r"
"""What a scanner that stands in for a keyboard types as the key Enter (a line feed is Ctrl+J on many)."""

LONGEST_CODE = 40  # characters that going to an enclosure takes


class Wordings(NamedTuple):
    """One line of a label: wordings that say all there is to say, then ones that visibly leave something out.

    Both the fullest first.
    """

    whole: tuple[str, ...]
    less: tuple[str, ...] = ()


class Label(NamedTuple):
    """One label; ``aims`` is what its QR code names: a code or a short number."""

    title: str
    aside: str
    lines: tuple[Wordings, ...]
    aims: str


def payload(aims: str, commands: Mapping[str, str]) -> str:
    """What the QR code of ``aims`` (a code or short number) types: the scan key, the name, Enter.

    ``commands`` is the layout in force, command by key. Raises RoundsError when it has no
    key that begins a scan.
    """
    begins = scan_code.sign(commands)
    if not begins or begins in aims:
        raise RoundsError(label_sentences.NO_SCAN_KEY)
    return f"{begins}{aims}{ENTER}"


def aim(enclosure: EnclosureState, codes: Iterable[str]) -> str:
    """What the QR code names: the code, or the short number where typing the code could lead elsewhere.

    Scanners type plain letters only; digits alone are read as a short number; a blank ends
    what is typed; and ``codes`` that differ in capitals alone are one to the walk.
    """
    code = enclosure.code
    alike = sum(1 for c in codes if c.casefold() == code.casefold())
    plain = code.isascii() and code.isprintable() and " " not in code
    safe = plain and not code.isdecimal() and len(code) <= LONGEST_CODE and alike <= 1
    return code if safe else str(enclosure.number)


def of_enclosures(
    enclosures: Sequence[EnclosureState], ledger: Ledger, every: Sequence[EnclosureState], today: int
) -> list[Label]:
    """Labels of some enclosures; ``every`` is all of the house, ``today`` the round day of printing."""
    inside: dict[int, list[Content]] = {}
    for content in ledger.rows(Content, Content.until.is_(None)):
        inside.setdefault(content.enclosure, []).append(content)
    together = {pairing.enclosure for pairing in ledger.rows(Pairing, Pairing.until.is_(None))}
    folded: dict[str, list[str]] = {}
    for e in every:
        folded.setdefault(e.code.casefold(), []).append(e.code)
    out = []
    for e in enclosures:
        contents = inside.get(e.id, [])
        species = e.species or _species(ledger, contents)
        first = stage_words(species, e.stage, e.stage_since, today)
        second = inmates(ledger, contents, pair=e.stage == "pairing" or e.id in together)
        aims = aim(e, folded[e.code.casefold()])
        out.append(Label(_readable(e.code, 60), f"no. {e.number}", (first, second), aims))
    return out


def _species(ledger: Ledger, contents: Sequence[Content]) -> str:
    """The species of whoever is inside, by their lines; "" when nobody said, or they differ."""
    named = {ledger.row(Line, c.line).species for c in contents if c.line is not None} - {""}
    return named.pop() if len(named) == 1 else ""


def stage_words(species: str, stage: str, since: Span | None, today: int) -> Wordings:
    """``Mecynorhina torquata, laying since 28 Feb 2026``, then with the genus as a letter, then shorter."""
    full = clean(species, 80).strip() or "species unknown"
    genus, _, rest = full.partition(" ")
    short = f"{genus[0]}. {rest}" if rest and genus.isalpha() and genus[0].isupper() else full
    when, brief = since_words(since, today)
    whole = (f"{full}, {stage} {when}", f"{short}, {stage} {when}", f"{short}, {stage} {brief}")
    less = [f"{clean(short, n)}, {stage} {brief}" for n in (30, 16)]
    less += (f"{clean(short, n)}, {stage}…" for n in (30, 16, 7))
    return Wordings(_each(whole), _each(less))


def _each(texts: Iterable[str]) -> tuple[str, ...]:
    """Without repetitions."""
    return tuple(dict.fromkeys(texts))


def since_words(since: Span | None, today: int) -> tuple[str, str]:
    """Since when, as sure as it is known, in full and shorter; the day of printing when nobody knows."""
    if since is None or since.unknown:
        return f"(printed {day_and_year(today)})", f"(printed {day_and_year(today)})"
    if since.exact:
        return f"since {day_and_year(since.earliest)}", day_and_year(since.earliest)
    typed = clean(told(since), 60)
    if typed.startswith("between ") or " to " in typed:
        first = day_and_year(since.earliest)
        if date.fromordinal(since.earliest).year == date.fromordinal(since.latest).year:
            first = day_words(since.earliest)
        return f"begun {typed}", f"{first}–{day_and_year(since.latest)}"
    vague = typed.partition(" ")[0].casefold() in ("about", "before", "after")
    return f"{'begun' if vague else 'since'} {typed}", typed


class _Animal(NamedTuple):
    line: str
    number: str
    sex: str


class _Group(NamedTuple):
    of: str
    rest: str  # counts males.females.unsexed, and the instar

    def said(self, letters: int) -> str:
        """``LOCH-06 at least 0.0.9 L2``."""
        return f"{_clipped(self.of, letters)} {self.rest}".strip()


_SEX = {"m": " m", "f": " f"}  # written out: fonts and dim light treat the signs badly; unknown is left out
LONGEST_NAME = 60
_CLIPS = (12, 7, 4)  # letters of a line's name, where the numbers would not fit otherwise


def inmates(ledger: Ledger, contents: Sequence[Content], *, pair: bool) -> Wordings:
    """Who is inside: ``UMBER/7 m × UMBER/12 f``, ``LOCH-06 at least 0.0.9 L2``; doubts are said.

    ``pair``: males stand before females with a cross between. The shorter wordings clip names
    of lines and broods, never a number or a count of a pair.
    """
    if not contents:
        return Wordings(("no animals recorded",))
    animals = [_animal(ledger, ledger.row(Animal, c.animal)) for c in contents if c.animal is not None]
    animals.sort(key=lambda a: ("m", "f", "unknown").index(a.sex))
    groups = [_group(ledger, c) for c in contents if c.animal is None]
    doubt = " (in doubt)" if any(c.doubt for c in contents) else ""
    males = [a for a in animals if a.sex == "m"]
    females = [a for a in animals if a.sex == "f"]
    crossed = pair and bool(males) and bool(females) and len(males) + len(females) == len(animals)
    sides = (males, females) if crossed else (animals,)
    one = animals[0].line if len({a.line for a in animals}) == 1 and len(animals) > 1 else ""

    def said(letters: int) -> list[str]:
        """All of them, names by some letters; then with a line that the animals share only once."""
        counted = [g.said(letters) for g in groups]
        ways = [_sides(sides, letters)]
        if one:
            ways.append(f"{_clipped(one, letters)} {_sides(sides, None)}")
        return [", ".join(filter(None, (way, *counted))) + doubt for way in ways]

    whole = said(LONGEST_NAME)
    less = [w for n in _CLIPS for w in reversed(said(n))]
    if not crossed:
        names = [*(_sides(((a,),), LONGEST_NAME) for a in animals), *(g.said(LONGEST_NAME) for g in groups)]
        less += (
            f"{', '.join(names[:n])} and {len(names) - n} more{doubt}" for n in range(len(names) - 1, 0, -1)
        )
    less += said(1) if animals else []
    return Wordings(_each(whole), _each(less))


def _animal(ledger: Ledger, animal: Animal) -> _Animal:
    line = ledger.row(Line, animal.line).name
    return _Animal(clean(line, LONGEST_NAME), _readable(animal.number, 40), animal.sex)


def _readable(text: str, limit: int) -> str:
    """Cleaned; ``?`` where nothing is left to be read."""
    return clean(text, limit).strip() or "?"


def _clipped(name: str, letters: int | None) -> str:
    """A name by some letters, its last one ``…`` where it is shortened; None: not at all."""
    return clean(name, letters) if name and letters else ""


def _sides(sides: Sequence[Sequence[_Animal]], letters: int | None) -> str:
    """Animals, sides parted by a cross; names of lines by some letters, None leaves them out."""

    def one(a: _Animal) -> str:
        line = _clipped(a.line, letters)
        return f"{line}{'/' if line else ''}{a.number}{_SEX.get(a.sex, '')}"

    return " × ".join(", ".join(map(one, side)) for side in sides)


def _group(ledger: Ledger, group: Content) -> _Group:
    """By its brood when that names the line itself, else by both; an arrival's where neither is known."""
    line = ledger.row(Line, group.line).name if group.line is not None else ""
    brood = ledger.row(Brood, group.brood).name if group.brood is not None else ""
    of = brood if line and brood.startswith(line) else f"{line} {brood}".strip()
    if not of and group.lot is not None:
        of = ledger.row(Lot, group.lot).name
    counts = f"{group.males}.{group.females}.{group.unsexed}"
    rest = ("at least" if group.at_least else "", counts, group.instar)
    return _Group(clean(of, LONGEST_NAME), " ".join(filter(None, rest)))
