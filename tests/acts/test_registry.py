"""Fields of acts are read or refused in plain words, and acts are taken back or not."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rounds.acts import fields, registry, shared_act_sentences
from rounds.acts.all_acts import MODULES
from rounds.acts.fields import LABEL, Counts, Field, FieldError
from rounds.records.invariants import faults
from rounds.records.ledger import Add, Ledger, Set
from rounds.records.tables import Animal
from rounds.values.rough_width import RoughWidth
from rounds.values.spans import Span
from tests.acts.books import TODAY, counted_house, day, house, plan, record, ref, span, with_trial
from tests.acts.random_acts import names

BOOKS = house()


def read(field: Field, text: str, ledger: Ledger = BOOKS) -> object:
    """The value of one field; raises AssertionError with the slips."""
    values, slips = fields.read((field,), {field.name: text}, ledger, TODAY)
    assert not slips, str(slips[0])
    return values[field.name]


def slip(field: Field, text: str, ledger: Ledger = BOOKS) -> FieldError:
    values, slips = fields.read((field,), {field.name: text}, ledger, TODAY)
    assert len(slips) == 1, (values, slips)
    assert slips[0].field == field.name
    assert str(slips[0]).startswith(f"{field.name}: ")
    return slips[0]


TEXT, LABELLED = Field("note", "text", "anything"), Field("name", "text", "its name", label=True)
WORD = Field("sex", "word", "its sex", words=("m", "f", "unknown"))
AGE = Field("age", "word", "its age", words=("eggs", "L1", "L2"))
SPAN, PAST = Field("on", "span", "when"), Field("on", "span", "when it was", past=True)
DAY, YESNO = Field("until", "day", "until when"), Field("looked", "yesno", "looked")
WHOLE = Field("n", "whole", "how many", low=1, high=40)
GRAMS = Field("g", "number", "weight in grams", low=0, high=200)
COUNT = Field("count", "counts", "how many")
STAGE = Field("stage", "stage", "the stage")


@pytest.mark.parametrize(
    ("field", "typed", "value"),
    [
        (TEXT, 'as it was told: F2, "hill" [sic]', 'as it was told: F2, "hill" [sic]'),
        (LABELLED, "07", "07"),
        (WORD, "M", "m"),
        (WORD, "male", "m"),
        (WORD, "♀", "f"),
        (WORD, "W", "f"),
        (AGE, "l1", "L1"),
        (STAGE, "Cell", "cell"),
        (YESNO, "YES", True),
        (YESNO, "no", False),
        (YESNO, "ja", True),
        (SPAN, "today", Span(TODAY, TODAY)),
        (SPAN, "Yesterday", Span(TODAY - 1, TODAY - 1)),
        (SPAN, "spring 2026", span("spring 2026")),
        (SPAN, "31.10.2025", span("31.10.2025")),
        (DAY, "31/10/2025", day("2025-10-31")),
        (DAY, "5.6.2026", day("2026-06-05")),
        (DAY, "+30", TODAY + 30),
        (DAY, "2026-06-19", day("2026-06-19")),
        (WHOLE, "12", 12),
        (WHOLE, "12.0", 12),
        (GRAMS, "5,3", 5.3),
        (GRAMS, "0", 0.0),
        (COUNT, "12", Counts(0, 0, 12)),
        (COUNT, "1.2.3", Counts(1, 2, 3)),
        (COUNT, "12+", Counts(0, 0, 12, True)),
        (COUNT, "At least 1.0.2", Counts(1, 0, 2, True)),
        (COUNT, "1.2", Counts(1, 2, 0)),
        (COUNT, ">30", Counts(0, 0, 31, True)),
        (COUNT, "1.2.3+", Counts(1, 2, 3, True)),
        (COUNT, "1+.2.0", Counts(1, 2, 0, True)),
    ],
)
def test_what_is_read(field: Field, typed: str, value: object) -> None:
    assert read(field, f"  {typed} ") == value


@pytest.mark.parametrize(
    ("field", "typed", "message", "hint"),
    [
        (TEXT, "a\0b", "NUL", "again"),
        (TEXT, "a\ud800b", "half a character", "again"),
        (LABELLED, "x" * (LABEL + 1), "61 characters", "at most 60"),
        (LABELLED, "A, B", "cannot be a name", "without commas"),
        (LABELLED, "A\nB", "cannot be a name", "one line"),
        (LABELLED, "A\x1b[2J", "cannot be a name", "one line"),
        (WORD, "m?", "not sure", "Give one of: m, f, unknown. Did you mean `unknown` or `m`?"),
        (WORD, "unknwn", "`unknwn`", "Did you mean `unknown`?"),
        (AGE, "L4", "`L4`", "Give one of: eggs, L1, L2."),
        (STAGE, "larva", "`larva`", "Did you mean `larvae`?"),
        (YESNO, "perhaps", "`perhaps`", "yes, no"),
        (SPAN, "05/06/2026", "can be 5 June or 6 May", "`2026-06-05` or `2026-05-06`"),
        (SPAN, "1/2/26", "four digits", "`2026-02-01` or `2026-01-02`"),
        (SPAN, "sprnig 2026", "not a date", "Did you mean `spring 2026`?"),
        (SPAN, "2026-02-30", "February 2026 has 28 days", "Did you mean `2026-02-28`?"),
        (PAST, "2026-05-19", "has not come yet", "Give today (18 May 2026) or an earlier day."),
        (DAY, "May 2026", "more than one day", "+14"),
        (DAY._replace(past=True), "+1", "has not come yet", "or an earlier day"),
        (DAY, "+99999", "not a date", "Give one day"),
        (WHOLE, "twelve", "not a number", "how many, 1 to 40"),
        (WHOLE, "1.5", "not a whole number", "how many, 1 to 40"),
        (WHOLE, "0", "below 1", "1 to 40"),
        (WHOLE, "41", "above 40", "1 to 40"),
        (WHOLE, "1" * 5000, "too many digits", "1 to 40"),
        (WHOLE, "inf", "not a number", "1 to 40"),
        (WHOLE, "nan", "not a number", "1 to 40"),
        (WHOLE, "1_0", "not a number", "1 to 40"),
        (WHOLE, "٣", "not a number", "1 to 40"),
        (GRAMS, "1e5", "not a number", "weight in grams, 0 to 200"),
        (GRAMS, "-1", "below 0", "0 to 200"),
        (GRAMS._replace(high=None), "1,234", "can be 1.234 or 1234", "`1.234` or `1234`"),
        (GRAMS, "12 mm", "more than a number", "Did you mean `12`?"),
        (WHOLE._replace(high=None), "1,234", "not a whole number", "Did you mean `1234`?"),
        (Field("g", "number", "weight", low=0), "-1", "below", "weight, 0 or more"),
        (Field("g", "number", "weight", high=9), "10", "above", "weight, 9 or less"),
        (COUNT, "-3", "not a count", "males.females.unsexed"),
        (COUNT, "1234567", "goes up to", "12"),
    ],
)
def test_what_is_refused_says_the_field_what_was_expected_and_the_nearest(
    field: Field, typed: str, message: str, hint: str
) -> None:
    found = slip(field, typed)
    assert message in found.message
    assert hint in found.hint


@pytest.mark.parametrize(
    ("typed", "read_as"),
    [
        ("about 20", Counts(0, 0, 18, True, 22, "about 20")),
        ("ca. 20", Counts(0, 0, 18, True, 22, "ca. 20")),
        ("~20", Counts(0, 0, 18, True, 22, "~20")),
        ("10-12", Counts(0, 0, 10, True, 12, "10-12")),
        ("1.2.10-12", Counts(1, 2, 10, True, 12, "1.2.10-12")),
    ],
)
def test_a_rough_count_keeps_its_words_and_both_ends(typed: str, read_as: Counts) -> None:
    assert read(COUNT, typed) == read_as


def test_how_far_about_reaches_is_a_setting() -> None:
    values, slips = fields.read((COUNT,), {COUNT.name: "~20"}, BOOKS, TODAY, RoughWidth(25, 1))
    assert (values[COUNT.name][2:5], slips) == ((15, True, 25), [])


@pytest.mark.parametrize(
    ("typed", "meant"), [("up to 5", "1-5"), ("<6", "1-5"), ("at most 1", "1"), ("1.2-3.0", "")]
)
def test_a_count_that_says_too_little_is_refused(typed: str, meant: str) -> None:
    found = slip(COUNT, typed)
    assert f"`{meant}`" in found.hint if meant else "Did you mean" not in found.hint


def test_a_long_text_is_quoted_only_at_its_beginning() -> None:
    for field in (WORD, SPAN, DAY, WHOLE, COUNT, STAGE, Field("in", "ref", "where", of="enclosure")):
        found = slip(field, "x" * 10_000)
        assert len(found.message) < 200, field.type
        assert "..." in found.message or "…" in found.message


REFS = [
    ("enclosure", "t-06", "T-06"),
    ("enclosure", "6", "T-06"),
    ("line", "umber", "UMBER"),
    ("animal", "UMBER/1", "UMBER/1"),
    ("animal", "umber 1", "UMBER/1"),
    ("animal", "UMBER / 1", "UMBER/1"),
    ("animal", "8", "TALLOW/8"),
    ("pairing", "p-01", "P-01"),
    ("brood", "LOCH-01", "LOCH-01"),
    ("lot", "moss gate spring", "Moss Gate spring"),
    ("place", "a1-1", "A1-1"),
]


@pytest.mark.parametrize(("table", "typed", "same"), REFS)
def test_rows_are_meant_by_the_names_people_use(table: str, typed: str, same: str) -> None:
    field = Field("which", "ref", "which", of=table)
    assert read(field, typed) == ref(BOOKS, table, same)


@pytest.mark.parametrize(
    ("table", "typed", "message", "hint"),
    [
        ("enclosure", "T-66", "no box `T-66`", "Did you mean `T-06`?"),
        ("enclosure", "99", "no box `99`", "There are: T-01"),
        ("enclosure", "9" * 5000, "no box", "There are"),
        ("enclosure", "²", "no box", "There are"),
        ("line", "UMBRE", "no line `UMBRE`", "Did you mean `UMBER`?"),
        ("animal", "UMBER/11", "no animal `UMBER/11`", "Did you mean `UMBER/1`?"),
        ("animal", "1", "several animals have the number `1`", "KESTREL/1, RUSH/1, UMBER/1"),
        ("animal", "zzz", "no animal `zzz`", "LINE/NUMBER"),
        ("place", "Q9-9", "no place `Q9-9`", "B3-2"),
        ("pairing", "P-03", "no pairing `P-03`", "Did you mean `P-0"),
        ("batch", "mix 12", "no batch `mix 12`", "No batch is recorded yet."),
    ],
)
def test_a_row_that_is_not_there_names_the_nearest(table: str, typed: str, message: str, hint: str) -> None:
    found = slip(Field("which", "ref", "which", of=table), typed)
    assert message in found.message
    assert hint in found.hint


def test_numbers_are_kept_as_typed_and_the_exact_spelling_goes_first() -> None:
    books = BOOKS
    for number in ("07", "7", "3 b", "4/x", "B", "b"):
        books = record(books, "animal", "UMBER", number=number, in_="T-01")
    for number in ("07", "7", "3 b", "4/x", "B", "b"):
        found = books.row(Animal, ref(books, "animal", f"UMBER/{number}"))
        assert found.number == number
    assert ref(books, "animal", "UMBER 3 b") == ref(books, "animal", "UMBER/3 b")
    assert ref(books, "animal", "4/x") == ref(books, "animal", "UMBER/4/x")
    with pytest.raises(ValueError, match="no animal"):
        ref(books, "animal", "UMBER/007")


def test_all_slips_come_at_once_and_nothing_is_planned() -> None:
    with pytest.raises(registry.BadAct) as e:
        plan(BOOKS, "animal", "UMBRE", number="", sex="mele", in_="T-66", colour="black")
    assert [s.field for s in e.value.slips] == ["line", "colour", "number", "sex", "in"]
    lines = str(e.value).splitlines()
    assert len(lines) == 5
    assert "Did you mean `UMBER`?" in lines[0]
    assert "no such field" in lines[1]
    assert house() == BOOKS


@pytest.mark.parametrize(
    ("act", "subject", "field", "words"),
    [
        ("ded", "UMBER/1", "act", "Did you mean `dead`?"),
        ("xyzzy", "", "act", "`rounds record` lists them all."),
        ("dead", "", "animal", shared_act_sentences.subject_missing("dead", "animal").hint),
        ("arrival", "T-01", "act", shared_act_sentences.concerns_the_house("arrival", "T-01").message),
        ("stage", "T-1", "enclosure", "Did you mean `T-"),
    ],
)
def test_the_act_and_its_subject_are_checked_too(act: str, subject: str, field: str, words: str) -> None:
    with pytest.raises(registry.BadAct) as e:
        plan(BOOKS, act, subject)
    assert e.value.slips[0].field == field
    assert words in str(e.value.slips[0])


def test_an_unknown_field_names_the_nearest() -> None:
    values, slips = fields.read((LABELLED, WORD), {"nme": "A"}, BOOKS, TODAY)
    assert slips == [FieldError("nme", "there is no such field.", "Did you mean `name`?")]
    assert values == {"name": None, "sex": None}


def test_lists_name_nothing_twice() -> None:
    males = Field("males", "ref", "the males", True, of="animal", many=True)
    assert read(males, "UMBER/1, KESTREL/1") == [ref(BOOKS, "animal", n) for n in ("UMBER/1", "KESTREL/1")]
    assert "there twice" in slip(males, "UMBER/1, umber 1").message
    assert "names nothing" in slip(males, " , ").message
    _, slips = fields.read((males,), {"males": "UMBER/x, KESTREL/y"}, BOOKS, TODAY)
    assert len(slips) == 2


EVERY = [TEXT, LABELLED, WORD, AGE, SPAN, PAST, DAY, YESNO, WHOLE, GRAMS, COUNT, STAGE] + [
    Field("which", "ref", "which", of=t, many=many)
    for t in ("enclosure", "animal", "line", "lot", "brood", "pairing", "place", "batch")
    for many in (False, True)
]


@given(field=st.sampled_from(EVERY), text=st.text(st.characters(), max_size=40))
def test_no_text_crashes_a_reader(field: Field, text: str) -> None:
    values, slips = fields.read((field,), {field.name: text}, BOOKS, TODAY)
    assert set(values) == {field.name}
    for s in slips:
        assert s.field == field.name
        assert s.message


@given(text=st.from_regex(r"(at least )?[0-9. +,/T-]{1,12}", fullmatch=True), field=st.sampled_from(EVERY))
def test_no_near_miss_crashes_a_reader(field: Field, text: str) -> None:
    fields.read((field,), {field.name: text}, BOOKS, TODAY)


@given(st.integers(0, 999_999), st.integers(0, 999_999), st.integers(0, 999_999), st.booleans())
def test_counts_come_back_as_written(males: int, females: int, unsexed: int, least: bool) -> None:
    text = f"{'at least ' if least else ''}{males}.{females}.{unsexed}"
    assert read(COUNT, text) == Counts(males, females, unsexed, least)
    assert fields.counts(f"{males}.{females}.{unsexed}").total == males + females + unsexed


@given(st.integers(-200, 0))
def test_a_day_that_has_come_is_taken(back: int) -> None:
    from datetime import date

    text = date.fromordinal(TODAY + back).isoformat()
    assert read(PAST, text) == Span(TODAY + back, TODAY + back)


@given(st.decimals(0, 200, places=2))
def test_a_number_reads_the_same_with_a_comma(value: object) -> None:
    assert read(GRAMS, str(value)) == read(GRAMS, str(value).replace(".", ",")) == float(str(value))


def test_every_field_has_a_reader_and_words_of_its_own() -> None:
    for act in registry.all_acts().values():
        names = [f.name for f in act.fields]
        assert len(set(names)) == len(names), act.id
        for field in act.fields:
            assert field.about, (act.id, field.name)
            fields.read((field._replace(required=False),), {field.name: "zz"}, BOOKS, TODAY)
            if field.default:
                _, slips = fields.read((field,), {}, BOOKS, TODAY)
                assert not slips, (act.id, field.name)
    with pytest.raises(KeyError):
        fields.read((Field("x", "colour", "no such type"),), {"x": "1"}, BOOKS, TODAY)


def _recorded(name: str, made: registry.PlannedAct) -> registry.Recorded:
    return registry.Recorded(name.encode(), name, made.changes)


def test_an_act_on_which_others_rest_is_not_taken_back() -> None:
    one = plan(BOOKS, "animal", "UMBER", number="9", in_="T-01")
    books = BOOKS.after(one.changes)
    two = plan(books, "animal", "UMBER", number="10", in_="T-01", sire="UMBER/9")
    books = books.after(two.changes)
    three = plan(books, "marked", "UMBER/1", mark="tag 4")
    books = books.after(three.changes)
    first, second, third = (_recorded(n, p) for n, p in (("one", one), ("two", two), ("three", three)))
    assert registry.depending(first, [second, third]) == [second]
    with pytest.raises(registry.BadAct, match="two: rests on `one`"):
        registry.take_back(first, [second, third], books)
    books = books.after(registry.take_back(second, [third], books))
    books = books.after(registry.take_back(first, [third], books))
    assert books == BOOKS.after(three.changes)


@pytest.mark.parametrize(
    ("later", "rests"),
    [
        (Set("animal", 1, "mark", "tag 4", "tag 5"), True),
        (Set("animal", 1, "sex", "unknown", "m"), False),
        (Set("animal", 2, "mark", "tag 4", "tag 5"), False),
        (Set("content", 1, "unsexed", 4, 3), False),  # of its row another value was changed, to a plain no
        (Set("lock", 3, "reason", "wet", "dry"), True),  # the row was void and was taken up again
        (Set("lock", 4, "reason", "wet", "dry"), False),  # the row was made void
        (Set("animal", 1, "sire", None, 99), True),
        (Set("animal", 1, "sire", None, 98), False),
        (Set("animal", 99, "mark", "", "tag 6"), True),
        (Add("animal", 100, Animal(line=1, number="10", sire=99).values), True),
        (Add("animal", 100, Animal(line=1, number="10", sire=98).values), False),
    ],
)
def test_an_act_rests_on_one_that_set_the_value_or_made_the_row(later: Set | Add, rests: bool) -> None:
    changes = (
        Set("animal", 1, "mark", "", "tag 4"),
        Set("content", 1, "at_least", True, False),
        Set("lock", 3, "void", True, False),
        Set("lock", 4, "void", False, True),
        Add("animal", 99, Animal(line=1, number="9").values),
    )
    done, after = registry.Recorded(b"1", "done", changes), registry.Recorded(b"2", "after", (later,))
    assert registry.depending(done, [after]) == [after] * rests
    assert registry.reversal(changes)[0] == Set("animal", 99, "void", False, True)


def test_a_name_used_again_after_an_undo_counts_as_new() -> None:
    """The void row is taken up again: what refers to it rests on the act that took it up."""
    gone = plan(BOOKS, "animal", "UMBER", number="9", in_="T-01")
    books = BOOKS.after(gone.changes)
    books = books.after(registry.reversal(gone.changes))
    again = plan(books, "animal", "UMBER", number="9", sex="m", in_="T-02")
    books = books.after(again.changes)
    child = plan(books, "animal", "UMBER", number="10", in_="T-01", sire="UMBER/9")
    assert registry.depending(_recorded("again", again), [_recorded("child", child)])


def test_an_undo_that_would_break_the_books_is_refused_though_nothing_rests_on_it() -> None:
    """UMBER/5's father was corrected away from UMBER/1; then UMBER/5 became father of UMBER/1."""
    first = record(BOOKS, "sexed", "UMBER/5", sex="m", how="adult")
    first = record(first, "parents", "UMBER/5", sire="UMBER/1")
    fix = plan(first, "parents", "UMBER/5", sire="KESTREL/1", sure=True)
    books = first.after(fix.changes)
    then = plan(books, "parents", "UMBER/1", sire="UMBER/5")
    books = books.after(then.changes)
    done, later = _recorded("fix", fix), [_recorded("then", then)]
    assert registry.depending(done, later) == []
    assert any("own ancestor" in f for f in faults(books.after(registry.reversal(fix.changes))))
    with pytest.raises(registry.BadAct, match="own ancestor"):
        registry.take_back(done, later, books)


BAD = {
    "text": "a\0b",
    "word": "zzzz",
    "stage": "zzzz",
    "yesno": "zzzz",
    "span": "zzzz",
    "day": "zzzz",
    "whole": "zzzz",
    "number": "zzzz",
    "counts": "zzzz",
    "ref": "zzzz",
}


@pytest.mark.parametrize(
    ("act", "field"),
    [(a, f) for a in registry.all_acts().values() for f in a.fields],
    ids=lambda x: getattr(x, "id", getattr(x, "name", "")),
)
def test_every_field_of_every_act_refuses_what_it_cannot_be(act: registry.Act, field: Field) -> None:
    """Whatever module an act is in: the slip names the field and says what would be right."""
    subject = {
        "enclosure": "T-06",
        "animal": "UMBER/1",
        "line": "LOCH",
        "pairing": "P-01",
        "brood": "LOCH-01",
    }
    with pytest.raises(registry.BadAct) as e:
        plan(
            BOOKS,
            act.id,
            subject.get(act.on, "nobody") if act.on else "",
            **{field.name + "_": BAD[field.type]},
        )
    found = [s for s in e.value.slips if s.field == field.name]
    assert len(found) == 1
    assert found[0].message
    assert found[0].hint, "says what is wrong and not what would be right"


def test_every_module_that_registers_an_act_is_imported_by_the_registry() -> None:
    """A new module that ``all_acts`` does not name would be silently without effect."""
    folder = Path(fields.__file__).parent
    registering = {p.stem for p in folder.glob("*.py") if "\n@act(\n" in p.read_text(encoding="utf-8")}
    named = {module.__name__.rpartition(".")[2] for module in MODULES}
    assert registering == named


@pytest.mark.parametrize("name", sorted(registry.all_acts()))
def test_an_act_that_is_told_nothing_is_refused_or_done_and_never_fails(name: str) -> None:
    """Whatever it is about: what an act cannot do without is asked for, and no other error comes."""
    books = with_trial(counted_house())
    on = registry.known(name).on
    for subject in names(books, on) if on else [""]:
        try:
            done = registry.plan(name, subject, {}, books, TODAY, "Ferrow", sure=True)
        except registry.BadAct:
            continue
        assert faults(books.after(done.changes)) == faults(books)
