"""Notes are no looks; helpers' words wait; a search finds what was typed."""

from datetime import date, timedelta

import pytest

from app.domain.drafts import NewLook, NewMeal, NewNote, NewTest
from app.domain.errors import Refused
from app.domain.records import Sign
from app.services import entries, notebook, private_notes, sightings, story, tasks
from app.services.notebook import Note
from app.services.school import approvals
from tests.pictures import every_byte
from tests.record import ALL_FINE, MONDAY, Record

NOTE = NewNote(note="The snail laid eggs on the glass.")
HOUR = timedelta(hours=1)


def texts(record: Record, *, keeper: bool) -> list[str]:
    with record.database.reading() as session:
        items = notebook.page(session, record.tank_id, keeper=keeper).items
    return [item.text for item in items if isinstance(item, Note)]


def decide(record: Record, entry_id: int, *, shown: bool) -> None:
    with record.database.writing() as session:
        approvals.decide_note(
            session, record.tank_id, entry_id,
            shown=shown, by_id=record.adult.author_id, now=record.now,
        )  # fmt: skip


def waiting(record: Record) -> list[str]:
    with record.database.reading() as session:
        found = approvals.waiting(session, record.tank_id, now=record.now)
        count = approvals.count_waiting(session, [record.tank_id], now=record.now)
    assert count.get(record.tank_id, 0) == len(found.notes) + len(found.photos)
    return [note.text for note in found.notes]


def test_a_note_tells_nothing_of_the_tank(record: Record) -> None:
    record.write(ALL_FINE, at=MONDAY - timedelta(days=6))
    with record.database.reading() as session:
        before, seen_before = tasks.look(session, [record.tank_id], now=MONDAY)[record.tank_id]

    for minutes in range(3):
        record.write(NOTE, at=MONDAY - timedelta(minutes=minutes))

    with record.database.reading() as session:
        after, seen_after = tasks.look(session, [record.tank_id], now=MONDAY)[record.tank_id]
    assert after.observations == before.observations
    assert [o.seen for o in after.observations] == [16]
    assert after.last_counted == before.last_counted
    assert seen_after.freshness == seen_before.freshness
    assert (seen_after.state, seen_after.state_line) == (
        seen_before.state,
        seen_before.state_line,
    )


def test_an_old_look_stays_known_however_many_notes_follow(record: Record) -> None:
    long_ago = MONDAY - timedelta(days=90)
    record.write(NewLook(signs=(Sign.CLOUDY,)), at=long_ago)
    record.write(NOTE, at=MONDAY - HOUR)
    with record.database.reading() as session:
        snapshot, _ = tasks.look(session, [record.tank_id], now=MONDAY)[record.tank_id]
    assert [o.happened_at for o in snapshot.observations] == [long_ago]


def test_a_note_is_undone_and_fixed_as_any_entry(record: Record) -> None:
    saved = record.write(NOTE, by=record.otter)
    decide(record, saved.entry_id, shown=True)
    with record.database.writing() as session:
        fixed = entries.correct(
            session, record.stamp(by=record.otter), saved.entry_id,
            NewNote(note="The snail laid eggs on a leaf."), (),
            reason="misread", visitor=record.adult, now=record.now,
        )  # fmt: skip
        with pytest.raises(Refused, match="keeps the kind"):
            entries.correct(
                session, record.stamp(), fixed.entry_id, ALL_FINE, (),
                reason="misread", visitor=record.adult, now=record.now,
            )  # fmt: skip
    # other words have to be looked at again
    assert texts(record, keeper=True) == ["The snail laid eggs on a leaf."]
    assert texts(record, keeper=False) == []

    with record.database.writing() as session:
        entries.withdraw(
            session, record.tank_id, fixed.entry_id, visitor=record.adult, now=record.now
        )
    assert texts(record, keeper=False) == ["The snail laid eggs on the glass."]


def test_a_look_is_not_fixed_into_a_note(record: Record) -> None:
    look = record.write(ALL_FINE)
    with record.database.writing() as session, pytest.raises(Refused, match="keeps the kind"):
        entries.correct(
            session, record.stamp(), look.entry_id, NOTE, (),
            reason="misread", visitor=record.adult, now=record.now,
        )  # fmt: skip


def test_words_of_helpers_wait_and_those_of_adults_do_not(record: Record) -> None:
    record.write(NewNote(note="From the grown-up."), at=MONDAY - HOUR)
    kept = record.write(NewNote(note="Not for all."), by=record.otter, at=MONDAY - 2 * HOUR)
    shown = record.write(NewLook(seen=16, note="Two hide."), by=record.finch, at=MONDAY - 3 * HOUR)
    record.write(NewTest(note="Held to the light."), by=record.finch, at=MONDAY - 4 * HOUR)
    record.write(NewMeal(), by=record.finch, at=MONDAY - 5 * HOUR)
    # an adult's words beside a look stand in the story; helpers read what is written for them
    record.write(NewLook(seen=15, note="Ask about the heater."), at=MONDAY - 6 * HOUR)
    assert waiting(record) == ["Held to the light.", "Two hide.", "Not for all."]
    assert texts(record, keeper=False) == ["From the grown-up."]

    decide(record, kept.entry_id, shown=False)
    decide(record, shown.entry_id, shown=True)

    assert waiting(record) == ["Held to the light."]
    assert texts(record, keeper=False) == ["From the grown-up.", "Two hide."]
    assert texts(record, keeper=True) == [
        "From the grown-up.", "Not for all.", "Two hide.", "Held to the light.",
    ]  # fmt: skip
    with record.database.reading() as session:
        families = notebook.shown_notes(session, record.tank_id, MONDAY - 24 * HOUR)
    assert [note.text for note in families] == ["From the grown-up.", "Two hide."]


def test_what_an_adult_has_not_read_is_not_read_to_pupils_after_a_save(record: Record) -> None:
    saved = record.write(NewLook(seen=16, note="Two hide."), by=record.otter)

    def lines(*, pupils: bool) -> tuple[str, ...]:
        with record.database.reading() as session:
            return story.line(session, record.tank_id, saved.entry_id, pupils=pupils).lines

    assert lines(pupils=False) == ("Two hide.",)
    assert lines(pupils=True) == (story.WORDS_WAIT,)
    decide(record, saved.entry_id, shown=True)
    assert lines(pupils=True) == ("Two hide.",)


def test_what_was_taken_back_is_not_decided_on(record: Record) -> None:
    saved = record.write(NOTE, by=record.otter)
    with record.database.writing() as session:
        entries.withdraw(
            session, record.tank_id, saved.entry_id, visitor=record.adult, now=record.now
        )
    assert waiting(record) == []
    with pytest.raises(Refused, match="taken back"):
        decide(record, saved.entry_id, shown=True)


def test_pages_of_the_notebook_hold_every_note_once(record: Record) -> None:
    for number in range(30):
        # every third one at the very same moment
        record.write(NewNote(note=f"note {number}"), at=MONDAY - timedelta(minutes=number // 3))
    found, before = [], None
    with record.database.reading() as session:
        for _ in range(30):
            page = notebook.page(session, record.tank_id, keeper=True, before=before, limit=7)
            found += [item.text for item in page.items if isinstance(item, Note)]
            if (before := page.older) is None:
                break
    assert sorted(found) == sorted(f"note {n}" for n in range(30))


@pytest.mark.parametrize(
    ("text", "found"),
    [
        ("AIKO", ["Aïko the shrimp sat on the Java-Möss."]),
        ("moss shrimp", ["Aïko the shrimp sat on the Java-Möss."]),
        ("EGGS", ["The snail laid eggs on the glass."]),
        ("the", ["Aïko the shrimp sat on the Java-Möss.", "The snail laid eggs on the glass."]),
        ("eggs moss", []),
        ("100%", []),
        ("_", []),
        ("", []),
    ],
)
def test_a_search_knows_no_capitals_and_no_accents(
    record: Record, text: str, found: list[str]
) -> None:
    record.write(NOTE, at=MONDAY - HOUR)
    record.write(NewLook(seen=16, note="Aïko the shrimp sat on the Java-Möss."), by=record.otter)
    with record.database.reading() as session:
        lines = notebook.search(session, record.tank_id, text, keeper=True).entries
    assert [line.detail.note for line in lines] == found


def test_a_search_finds_reasons_and_what_happened_to_animals_of_a_name(record: Record) -> None:
    saved = record.write(NOTE)
    with record.database.writing() as session:
        entries.correct(
            session, record.stamp(), saved.entry_id, NewNote(note="On the leaf."), (),
            reason="misread", visitor=record.adult, now=record.now,
        )  # fmt: skip
    with record.database.reading() as session:
        by_reason = notebook.search(session, record.tank_id, "Misread", keeper=True)
        by_name = notebook.search(session, record.tank_id, "CORY", keeper=True)
    assert [line.detail.note for line in by_reason.entries] == ["On the leaf."]
    assert [name for _, name in by_name.groups] == ["peppered cory"]
    assert [line.title for line in by_name.entries] == ["6 peppered cory came"]


@pytest.mark.sqlite_only("the bytes of the file")
def test_private_notes_are_written_once_and_erased(record: Record) -> None:
    def write(text: str) -> int:
        with record.database.writing() as session:
            return private_notes.write(
                session, record.tank_id, text, author_id=record.adult.author_id, now=record.now
            )

    first = write("Speak with the caretaker. marker-private")
    assert write("Speak with the caretaker. marker-private") == first
    assert b"marker-private" in every_byte(record)
    with record.database.reading() as session:
        assert len(private_notes.private_notes(session, record.tank_id)) == 1
        assert notebook.search(session, record.tank_id, "caretaker", keeper=True).is_empty

    private_notes.erase(record.database, record.tank_id, first)

    with record.database.reading() as session:
        assert private_notes.private_notes(session, record.tank_id) == ()
    assert b"marker-private" not in every_byte(record)


def test_signs_are_counted_by_look_and_day(record: Record) -> None:
    gasps, cloudy = Sign.GASPING, Sign.CLOUDY
    record.write(NewLook(signs=(gasps, cloudy)), at=MONDAY)
    record.write(NewLook(signs=(gasps,), breathing_calm=False), at=MONDAY - HOUR, by=record.otter)
    record.write(ALL_FINE, at=MONDAY - 2 * HOUR)
    record.write(NOTE, at=MONDAY - 3 * HOUR)
    record.write(NewLook(signs=(cloudy,)), at=MONDAY - timedelta(days=6))
    record.write(NewLook(signs=(Sign.LEAK,)), at=MONDAY - timedelta(days=7))
    with record.database.reading() as session:
        found = sightings.sightings(session, record.tank_id, now=MONDAY)
    assert (found.days[0], found.days[-1]) == (date(2027, 2, 2), date(2027, 2, 8))
    assert found.looks == (1, 0, 0, 0, 0, 0, 3)
    assert dict(found.signs) == {
        "gasping at the surface": (0, 0, 0, 0, 0, 0, 2),
        "cloudy water": (1, 0, 0, 0, 0, 0, 1),
        "fast breathing": (0, 0, 0, 0, 0, 0, 1),
    }
