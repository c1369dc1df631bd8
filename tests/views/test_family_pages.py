"""Pages of animals and their kin: what they say, how sure they say it is, and that every row leads somewhere."""

from __future__ import annotations

import pytest

from rounds.acts import running_trials
from rounds.due.kinds import DueWork
from rounds.records.ledger import Draft, Ledger
from rounds.records.observations import DueNotice
from rounds.records.tables import (
    FEWER,
    Animal,
    Brood,
    Content,
    Enclosure,
    Line,
    Lot,
    Pairing,
    PairingMale,
    PlannedPairing,
    Search,
    Trial,
    TrialFemale,
)
from rounds.values.spans import UNKNOWN, Span
from rounds.views import animal_sentences, brood_page, family_queries, family_sentences, page_sentences
from rounds.views.page import TOPICS, Made
from rounds.views.page_registry import PAGE_KINDS
from tests.acts.books import TODAY, house, record, ref, span
from tests.analysis.trial.trial_books import trial_books
from tests.views.on_books import OnBooks, part, text

LISTS = ("animals", "lines", "pairings", "lots")
ROWS = {"animal": Animal, "line": Line, "pairing": Pairing, "brood": Brood, "lot": Lot}
"""Kinds about one row, and the record it shows."""


def family() -> Ledger:
    """KESTREL/2 with two males one after another: three broods, young with numbers, and a split brood.

    K-01 was found before the second male came; K-02 after; UMBER/9 has recorded parents.
    """
    d = Draft(house())
    books = d.ledger
    line = ref(books, "line", "KESTREL")
    mother, one = ref(books, "animal", "KESTREL/2"), ref(books, "animal", "KESTREL/1")
    pairing = ref(books, "pairing", "P-01")
    d.set(Pairing.paternity, pairing, "certain")
    other = d.add(Animal(line=line, number="3", sex="m"))
    first = d.add(
        Brood(name="K-01", line=line, pairing=pairing, found=span("2026-05-11"), instar="eggs", unsexed=4)
    )
    d.add(PairingMale(pairing=pairing, male=other, since=span("2026-05-14")))
    second = d.add(
        Brood(
            name="K-02",
            line=line,
            pairing=pairing,
            found=span("2026-05-16"),
            instar="L1",
            unsexed=9,
            at_least=True,
            paternity="open",
        )
    )
    tub = d.add(
        Brood(name="K-03", line=line, parent=second, found=span("2026-05-17"), instar="L1", unsexed=3)
    )
    d.add(
        Content(
            enclosure=ref(books, "enclosure", "T-11"),
            line=line,
            brood=tub,
            unsexed=3,
            instar="L1",
            since=span("2026-05-17"),
        )
    )
    for number, of in (("11", first), ("12", first), ("21", second), ("22", tub)):
        d.add(Animal(line=line, number=number, sex="unknown", brood=of))
    d.add(Animal(line=ref(books, "line", "UMBER"), number="9", sire=one, dam=mother))
    return d.ledger


def about(ledger: Ledger, table: str, name: str) -> str:
    return text(OnBooks(ledger).page(table, ref(ledger, table, name)))


def test_every_kind_of_kin_is_built_and_opened_by_a_digit_or_a_row():
    assert {*LISTS, *ROWS} <= set(PAGE_KINDS)
    assert set(brood_page.HOW) == set(FEWER)  # every way in which a group became fewer has its words
    assert [(t.key, t.link.kind) for t in TOPICS if t.link.kind in LISTS] == [
        ("4", "animals"),
        ("5", "lines"),
        ("6", "pairings"),
        ("8", "lots"),
    ]


# Parents and sibs


def test_a_father_is_said_to_be_as_sure_as_he_is():
    ledger = family()
    books = OnBooks(ledger)

    def parents(name: str) -> list[tuple[str, ...]]:
        rows = part(books.page("animal", ref(ledger, "animal", name)), "parents")
        return [r for r in rows if r[0] in ("mother", "father", "may be")]

    assert parents("UMBER/9") == [
        ("mother", "KESTREL 2 f", "recorded"),
        ("father", "KESTREL 1 m", "recorded"),
    ]
    assert parents("KESTREL/11")[1:] == [("father", "KESTREL 1 m", "certain, from P-01")]
    assert parents("KESTREL/21")[1:] == [
        ("may be", "KESTREL 1 m", "one of 2 males, from P-01"),
        ("may be", "KESTREL 3 m", "one of 2 males, from P-01"),
    ]
    assert parents("UMBER/1") == [("mother", "not recorded", ""), ("father", "not recorded", "")]


def test_sibs_are_counted_by_how_they_are_related():
    ledger = family()
    page = text(OnBooks(ledger).page("animal", ref(ledger, "animal", "KESTREL/11")))
    assert "sibs: 2 full or half sibs, 2 full sibs\n" in page
    assert "KESTREL 12 | full sibs" in page
    one = OnBooks(ledger).page("animal", ref(ledger, "animal", "UMBER/4"))
    assert "sibs" not in dict(one.facts)


def test_young_of_a_male_are_his_only_possibly_where_there_were_two():
    ledger = family()
    books = OnBooks(ledger)
    first = {r[0]: r for r in part(books.page("animal", ref(ledger, "animal", "KESTREL/1")), "young")}
    assert "possibly" not in first["KESTREL 11"][1]
    assert first["KESTREL 21"][1].endswith(animal_sentences.possibly_its(2))
    later = {r[0] for r in part(books.page("animal", ref(ledger, "animal", "KESTREL/3")), "young")}
    assert "KESTREL 21" in later
    assert not later & {"KESTREL 11", "KESTREL 12", "K-01"}  # found before he came
    hers = {r[0] for r in part(books.page("animal", ref(ledger, "animal", "KESTREL/2")), "young")}
    assert {"KESTREL 11", "KESTREL 21", "KESTREL 22", "K-01", "K-02", "UMBER 9"} <= hers


# Totals


def test_at_least_stays_at_least_everywhere():
    ledger = family()
    books = OnBooks(ledger)
    pairing = ref(ledger, "pairing", "P-01")
    assert ("young", "at least 13 found") in books.page("pairing", pairing).facts
    assert [r[-1] for r in part(books.page("pairings"), "together now")] == ["at least 13 found"]
    brood_page = about(ledger, "brood", "K-02")
    assert "counted: at least 0.0.9 L1" in brood_page
    assert "what became of" not in brood_page.partition("= ")[0]  # nobody can say how many are not told
    loch = about(ledger, "brood", "LOCH-01")
    assert f"there now: {page_sentences.total(21, None)}" in loch
    assert "at least" in dict(books.page("line", ref(ledger, "line", "LOCH")).facts)["living"]


def test_a_recount_makes_the_fewest_smaller():
    d = Draft(family())
    pairing = ref(d.ledger, "pairing", "P-01")
    search = d.add(
        Search(enclosure=4, pairing=pairing, made=span("2026-05-15"), complete=True, eggs=6, recount=4)
    )
    d.set(Brood.at_least, ref(d.ledger, "brood", "K-02"), False)
    d.set(Brood.search, ref(d.ledger, "brood", "K-02"), search)
    page = OnBooks(d.ledger).page("pairing", pairing)
    assert ("young", "9 to 13 found") in page.facts
    assert part(page, "searches") == [
        ("15 May 2026", "T-04 (A1-4)", "complete", "6 eggs; up to 4 counted before")
    ]


def test_what_nobody_wrote_down_is_not_told():
    ledger = record(house(), "dead-some", "T-06", count="2")
    d = Draft(ledger)
    d.set(Brood.at_least, ref(ledger, "brood", "LOCH-01"), False)
    for group in d.ledger.rows(Content, Content.animal.is_(None)):
        if group.at_least:
            d.set(Content.at_least, group.id, False)
    d.set(Brood.unsexed, ref(ledger, "brood", "LOCH-01"), 30)
    page = about(d.ledger, "brood", "LOCH-01")
    assert f"not told: {family_sentences.unexplained(9)}" in page
    assert "the others: 2 found dead" in page


def test_unknown_is_said_and_not_dated():
    d = Draft(house())
    one = ref(d.ledger, "animal", "UMBER/5")
    d.set(Animal.emerged, one, UNKNOWN)
    page = OnBooks(d.ledger).page("animal", one)
    life = {r[0]: r for r in part(page, "life")}
    assert life["emerged"][1:] == ("day not known", "unknown")
    assert "hatched" in life["not recorded"][1]
    assert dict(page.facts)["sex"] == "not known"
    assert family_queries.life(d.ledger.row(Animal, one), TODAY) == "emerged"


@pytest.mark.parametrize(
    ("when", "said"),
    [
        ("2026-05-06", "12 d"),
        ("between 2026-04-17 and 2026-05-06", "12–31 d"),
        ("before 2026-05-07", "12+ d"),
        ("after 2026-05-05", "up to 12 d"),
        ("unknown", ""),
        ("2026-05-18", "0 d"),
    ],
)
def test_days_since_are_as_coarse_as_what_they_count_from(when: str, said: str):
    assert family_queries.ago(TODAY, span(when)) == said


# Trials


def test_while_a_trial_runs_no_page_tells_its_arm_its_purpose_or_f():
    d = trial_books()
    trial = d.add(Trial(name="TR-01", endpoint="adult", stops=TODAY + 200, opened=TODAY - 100))
    for n, (name, arm) in enumerate((("S-01", "sibs"), ("X-01", "cross"))):
        pairing = d.ids[name]
        female = d.ledger.row(Pairing, pairing).female
        assert female is not None
        male = next(r.male for r in d.ledger.rows(PairingMale, PairingMale.pairing.is_(pairing)))
        d.add(TrialFemale(trial=trial, arm=arm, female=female, male=male, pairing=pairing))
        d.add(PlannedPairing(name=f"PL-{n}", female=female, male=male, purpose=arm, why=f"{arm} by design"))
    running = d.ledger
    d.set(Trial.closed, trial, TODAY)

    def said(ledger: Ledger, name: str) -> str:
        books = OnBooks(ledger)
        pairing = d.ids[name]
        broods = [brood.id for brood in ledger.rows(Brood, Brood.pairing.is_(pairing))]
        young = [animal.id for b in broods for animal in ledger.rows(Animal, Animal.brood.is_(b))]
        pages = [books.page("pairing", pairing), *(books.page("brood", b) for b in broods)]
        pages += [books.page("animal", a) for a in (*young, ledger.row(Pairing, pairing).female)]
        listed = [p for p in part(books.page("pairings"), "planned, not yet made") if p[0].startswith("PL-")]
        return "\n".join(
            [*(text(p) for p in pages if "female" not in p.title), *(" ".join(r) for r in listed)]
        )

    for name in ("S-01", "X-01"):
        hidden = said(running, name)
        assert running_trials.HIDDEN in hidden
        for word in (
            "sibs by design",
            "cross by design",
            "for: sibs",
            "for: cross",
            "F of young: 0",
        ):
            assert word not in hidden, word
        assert "in a trial" in hidden
        control = said(d.ledger, name)  # the trial is over: all of it is told
        assert running_trials.HIDDEN not in control
        assert f"for: {'sibs' if name[0] == 'S' else 'cross'}" in control
        assert "F of young: 0" in control


# Notes


def test_only_looks_at_its_enclosure_while_it_was_there_and_naming_it_are_listed():
    d = Draft(house())
    mover = ref(d.ledger, "animal", "UMBER/1")
    for stay in d.ledger.rows(Content, Content.animal.is_(mover)):
        d.set(Content.until, stay.id, span("2026-04-26"))
        old = stay.enclosure
    new = ref(d.ledger, "enclosure", "T-15")
    d.add(Content(enclosure=new, animal=mover, line=1, since=span("2026-04-26")))
    notes = {
        old: [
            (TODAY - 40, "UMBER/1 drags a leg"),
            (TODAY - 5, "UMBER/1 drags a leg"),
            (TODAY - 39, "gave 1 cup"),
        ],
        new: [
            (TODAY - 1, "umber 1 eats again"),
            (TODAY - 2, "UMBER 12 is next door"),
            (TODAY, "No. 1 is calm"),
        ],
        new + 1: [(TODAY - 1, "UMBER/1 is not here")],
    }
    books = OnBooks(d.ledger, notes)
    assert [r[1] for r in part(books.page("animal", mover), "notes that name it")] == [
        "No. 1 is calm",
        "umber 1 eats again",
        "UMBER/1 drags a leg",
    ]
    assert "working …" in text(OnBooks(d.ledger, notes, wait=True).page("animal", mover))


# Lists


def test_animals_are_listed_living_first_by_line_and_number_and_made_when_asked_for():
    d = Draft(Ledger())
    line = d.add(Line(name="UMBER", species="Mecynorhina torquata"))
    box = d.add(Enclosure(code="T-1", number=1, stage="holding"))
    ledger = d.ledger
    animals = {
        i: Animal(id=i, line=line, number=str(10_001 - i), sex="f", state="dead" if i % 10 == 0 else "alive")
        for i in range(1, 10_001)
    }
    many = OnBooks(
        ledger.narrowed({Animal.table: animals}),
        dues=[(box, DueNotice(0, box, "weigh", Span(TODAY, TODAY), None, ""))],
    )
    page = many.page("animals")
    assert [len(p.rows) for p in page.parts] == [9000, 0, 1000]
    living = page.parts[0].rows
    assert not isinstance(living, list)
    assert [living[i].cells[0] for i in (0, 1, 9)] == ["UMBER 2 f", "UMBER 3 f", "UMBER 12 f"]
    assert living[-1].cells[0] == "UMBER 10000 f"
    assert len(list(living[:3])) == 3
    again = many.page("animals").parts[0].rows
    assert isinstance(living, Made)
    assert isinstance(again, Made)
    assert again.ids is living.ids  # the order is kept while the books stay as they are


def test_work_for_one_animal_does_not_stand_at_its_neighbour():
    ledger = house()
    box = ref(ledger, "enclosure", "T-03")
    today = Span(TODAY + 2, TODAY + 4)
    dues = [
        (box, DueNotice(0, box, "weigh", today, None, "", "KESTREL/1")),
        (box, DueNotice(0, box, "pairing over", Span(TODAY + 3, TODAY + 9), None, "")),
    ]
    rows = {r[0]: r[-1] for r in part(OnBooks(ledger, dues=dues).page("animals"), "living")}
    assert rows["KESTREL 1 m"] == "20 May weigh"
    assert rows["KESTREL 2 f"] == "21 May pairing over"
    assert rows["UMBER 1 m"] == ""
    one, two = ref(ledger, "animal", "KESTREL/1"), ref(ledger, "animal", "KESTREL/2")
    far = Span(TODAY + 200, TODAY + 300)
    works = [
        DueWork("w1", "weigh-in", "weigh", box, one, far, None, ""),
        DueWork("w2", "pairing-over", "pairing over", box, None, far, TODAY + 250, ""),
        DueWork("w3", "weigh-in", "weighed long ago", box, two, today, None, "", done=TODAY - 1),
        DueWork("w4", "weigh-in", "put off", box, two, today, None, "", off_until=TODAY + 900),
    ]
    worked = OnBooks(ledger, dues=dues, works=works)  # once all work is worked out, however far ahead
    rows = {r[0]: r[-1] for r in part(worked.page("animals"), "living")}
    assert rows["KESTREL 1 m"] == "4 Dec weigh"
    assert rows["KESTREL 2 f"] == "23 Jan 2027 pairing over"
    due = [r[1] for r in part(worked.page("animal", one), "now") if r[0] == "due"]
    assert due == []  # not within a week
    soon = OnBooks(ledger, works=[w._replace(window=today, likely=TODAY + 3, off_until=None) for w in works])
    for mine, said in ((one, "weigh (KESTREL 1 m)"), (two, "put off (KESTREL 2 f)")):
        due = sorted(r[1] for r in part(soon.page("animal", mine), "now") if r[0] == "due")
        assert due == sorted(["pairing over", said])


def test_an_empty_book_says_what_to_do_first():
    books = OnBooks(Ledger())
    for kind in LISTS:
        page = books.page(kind)
        assert page.hint, kind
        assert page.size() == 0


def test_what_was_taken_back_has_no_page():
    d = Draft(house())
    for kind, of in ROWS.items():
        some = next(record.id for record in d.ledger.rows(of))
        OnBooks(d.ledger).page(kind, some)
        d.set(of.column("void"), some, True)
        with pytest.raises(KeyError):
            OnBooks(d.ledger).page(kind, some)
        d.set(of.column("void"), some, False)


def test_who_can_breed_and_what_keeps_the_others_from_it():
    ledger = house()
    rows = {
        r[0]: r[1]
        for r in part(OnBooks(ledger).page("line", ref(ledger, "line", "UMBER")), "grown, and can it breed")
    }
    assert rows["UMBER 1 m"] == family_sentences.CAN_BREED
    assert "laying" in rows["UMBER 4 f"]


def test_a_line_in_groups_alone_is_not_counted_as_none():
    ledger = house()
    rows = {r[0]: r[2] for r in part(OnBooks(ledger).page("lines"), "living lines")}
    assert rows["BRAMBLE"] == family_sentences.in_groups("10")
    at_least_10 = family_sentences.in_groups(page_sentences.total(10, None))
    assert rows["UMBER"] == f"1.2.1 + {at_least_10}"
    assert rows["KESTREL"] == "1.1.0"
    assert rows["LOCH"] == family_sentences.in_groups(page_sentences.total(21, None))
