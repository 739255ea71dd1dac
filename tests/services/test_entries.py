"""Writing down once, taking back, correcting: nothing is lost and nothing counts twice."""

import hashlib
import threading
from dataclasses import replace
from datetime import timedelta

import pytest
from sqlalchemy import func, select

from app.domain.drafts import NewJob, NewTest
from app.domain.errors import Conflict, NotFound, Refused, TokenReused
from app.domain.people import Role
from app.domain.quantities import Quantity
from app.domain.records import EntryStatus, JobKind, Treatment
from app.services import entries, story
from app.services.access.people import Visitor
from app.storage import snapshot
from app.storage.models.entry import Entry
from tests.record import ALL_FINE, ONE_SCOOP, Record, reading


def feedings(record: Record) -> int:
    with record.database.reading() as session:
        return len(snapshot.load(session, [record.tank_id], record.now)[0].feedings)


def ph_now(record: Record) -> float | None:
    with record.database.reading() as session:
        latest = snapshot.load(session, [record.tank_id], record.now)[0].latest(Quantity.PH)
        return latest.value if latest else None


def as_helper(record: Record) -> Visitor:
    adult = record.adult
    return Visitor(
        session_id=adult.session_id,
        person_id=adult.person_id,
        author_id=adult.author_id,
        role=Role.HELPER,
        name="",
        last_hands_id=record.otter,
    )


def take_back(record: Record, entry_id: int, visitor: Visitor | None = None) -> None:
    with record.database.writing() as session:
        entries.withdraw(
            session, record.tank_id, entry_id, visitor=visitor or record.adult, now=record.now
        )


def correct_ph(
    record: Record, entry_id: int, value: float, visitor: Visitor | None = None
) -> entries.Saved:
    with record.database.writing() as session:
        return entries.correct(
            session,
            record.stamp(),
            entry_id,
            NewTest(),
            [reading(Quantity.PH, value)],
            reason="misread",
            visitor=visitor or record.adult,
            now=record.now,
        )


def test_the_same_form_posted_three_times_is_one_entry(record: Record) -> None:
    answers = [record.write(ONE_SCOOP, by=record.otter, token="form") for _ in range(3)]

    assert len({a.entry_id for a in answers}) == 1
    assert [a.fresh for a in answers] == [True, False, False]
    assert feedings(record) == 1


def test_eight_posts_of_one_form_at_once_are_one_entry(record: Record) -> None:
    found: list[int] = []
    threads = [
        threading.Thread(
            target=lambda: found.append(record.write(ONE_SCOOP, token="form").entry_id)
        )
        for _ in range(8)
    ]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()

    assert len(found) == 8
    assert len(set(found)) == 1
    assert feedings(record) == 1


def test_the_same_form_with_other_values_is_neither_saved_nor_dropped(record: Record) -> None:
    first = record.write(ONE_SCOOP, reading(Quantity.TEMPERATURE, 24.9), token="form")

    with pytest.raises(TokenReused) as caught:
        record.write(ONE_SCOOP, reading(Quantity.TEMPERATURE, 25.9), token="form")

    assert caught.value.entry_id == first.entry_id
    assert feedings(record) == 1


@pytest.mark.parametrize(("minutes", "allowed"), [(4.9, True), (5.1, False)])
def test_a_few_minutes_of_clock_slip_are_forgiven(
    record: Record, minutes: float, allowed: bool
) -> None:
    ahead = record.now + timedelta(minutes=minutes)
    if allowed:
        assert record.write(ALL_FINE, at=ahead).fresh
    else:
        with pytest.raises(Refused, match="has not come yet"):
            record.write(ALL_FINE, at=ahead)


@pytest.mark.parametrize(("seconds", "allowed"), [(20, True), (21, False)])
def test_a_helper_can_undo_for_twenty_seconds(record: Record, seconds: int, allowed: bool) -> None:
    saved = record.write(ONE_SCOOP, by=record.otter)
    record.pass_time(seconds=seconds)
    if allowed:
        take_back(record, saved.entry_id, as_helper(record))
        assert feedings(record) == 0
    else:
        with pytest.raises(Refused, match="20 seconds"):
            take_back(record, saved.entry_id, as_helper(record))
        assert feedings(record) == 1


def test_what_was_undone_stays_in_the_story_with_who_and_why(record: Record) -> None:
    saved = record.write(ONE_SCOOP, by=record.otter)
    take_back(record, saved.entry_id)
    take_back(record, saved.entry_id)

    with record.database.reading() as session:
        line = story.line(session, record.tank_id, saved.entry_id)
        entries_kept = session.scalar(
            select(func.count(Entry.id)).where(Entry.id >= saved.entry_id)
        )
    assert line.status is EntryStatus.WITHDRAWN
    assert line.taken_back == "undone"
    assert entries_kept == 2


@pytest.mark.parametrize(("minutes", "allowed"), [(10, True), (10.1, False)])
def test_a_helper_can_fix_for_ten_minutes(record: Record, minutes: float, allowed: bool) -> None:
    saved = record.write(NewTest(), reading(Quantity.PH, 8.8), by=record.otter)
    record.pass_time(minutes=minutes)
    if allowed:
        correct_ph(record, saved.entry_id, 6.8, as_helper(record))
        assert ph_now(record) == 6.8
    else:
        with pytest.raises(Refused, match="10 minutes"):
            correct_ph(record, saved.entry_id, 6.8, as_helper(record))
        assert ph_now(record) == 8.8


def test_a_helper_neither_fixes_nor_takes_back_what_a_grown_up_did(record: Record) -> None:
    saved = record.write(NewTest(), reading(Quantity.PH, 8.8))
    with pytest.raises(Refused, match="grown-up wrote"):
        correct_ph(record, saved.entry_id, 6.8, as_helper(record))
    with pytest.raises(Refused, match="grown-up wrote"):
        take_back(record, saved.entry_id, as_helper(record))
    assert ph_now(record) == 8.8


def test_a_correction_replaces_and_taking_it_back_restores(record: Record) -> None:
    saved = record.write(NewTest(), reading(Quantity.PH, 8.8))
    record.pass_time(hours=2)
    fixed = correct_ph(record, saved.entry_id, 6.8)
    assert ph_now(record) == 6.8

    take_back(record, fixed.entry_id)
    assert ph_now(record) == 8.8

    correct_ph(record, saved.entry_id, 7.0)
    assert ph_now(record) == 7.0
    with record.database.reading() as session:
        line = story.history(session, record.tank_id, saved.entry_id)
    assert [entry.status for entry in line] == [
        EntryStatus.CORRECTED,
        EntryStatus.WITHDRAWN,
        EntryStatus.OK,
    ]


def test_two_open_fix_forms_of_one_entry_do_not_overwrite_each_other(record: Record) -> None:
    saved = record.write(NewTest(), reading(Quantity.PH, 8.8))
    correct_ph(record, saved.entry_id, 6.8)

    with pytest.raises(Conflict, match="meanwhile"):
        correct_ph(record, saved.entry_id, 7.8)

    assert ph_now(record) == 6.8


def test_a_corrected_entry_cannot_be_taken_back_behind_its_correction(record: Record) -> None:
    saved = record.write(NewTest(), reading(Quantity.PH, 8.8))
    correct_ph(record, saved.entry_id, 6.8)

    with pytest.raises(Refused, match="correction back first"):
        take_back(record, saved.entry_id)


def test_as_of_a_past_moment_the_old_value_still_counts(record: Record) -> None:
    saved = record.write(NewTest(), reading(Quantity.PH, 8.8))
    before = record.now + timedelta(hours=1)
    record.pass_time(hours=2)
    fixed = correct_ph(record, saved.entry_id, 6.8)
    between = record.now + timedelta(hours=1)
    record.pass_time(hours=2)
    take_back(record, fixed.entry_id)

    def then(moment: object) -> float | None:
        with record.database.reading() as session:
            found = snapshot.load(session, [record.tank_id], moment, past=True)[0]  # type: ignore[arg-type]
            latest = found.latest(Quantity.PH)
            return latest.value if latest else None

    assert then(before) == 8.8
    assert then(between) == 6.8
    assert then(record.now) == 8.8


def test_an_entry_of_another_tank_is_not_there(record: Record) -> None:
    saved = record.write(ONE_SCOOP)
    with record.database.writing() as session, pytest.raises(NotFound):
        entries.withdraw(
            session, record.tank_id + 1, saved.entry_id, visitor=record.adult, now=record.now
        )


def test_a_late_entry_keeps_both_times(record: Record) -> None:
    saturday = record.now - timedelta(days=2)
    saved = record.write(ONE_SCOOP, at=saturday)

    with record.database.reading() as session:
        line = story.line(session, record.tank_id, saved.entry_id)
    assert line.happened_at == saturday
    assert line.recorded_at == record.now
    assert line.added_later


def test_a_form_saved_before_the_newer_fields_came_is_known_again(record: Record) -> None:
    # as the first schema's program wrote it: the fields of that time, sorted by name
    stamp = record.stamp(token="form")
    what: tuple[object, ...] = ("NewMeal", [("amount_words", ""), ("scoops", 1.0)], None, [])
    old = hashlib.sha256(repr(what).encode()).hexdigest()
    assert entries.digest_of(stamp, ONE_SCOOP, ()) == old
    assert entries.digest_of(stamp, replace(ONE_SCOOP, left_over=False), ()) != old
    assert entries.digest_of(stamp, replace(ONE_SCOOP, minutes_to_eat=3.0), ()) != old


@pytest.mark.parametrize(("said", "kept"), [(None, "Label words"), ("Other words", "Other words")])
def test_a_correction_keeps_a_treatment_that_its_form_does_not_ask(
    record: Record, said: str | None, kept: str
) -> None:
    draft = NewJob(job=JobKind.TREATMENT, treatment=Treatment(product="Label words", label_ml=5))
    saved = record.write(draft)
    again = replace(
        draft, note="in the evening", treatment=Treatment(product=said) if said else None
    )
    with record.database.writing() as session:
        entries.correct(
            session, record.stamp(), saved.entry_id, again, (),
            reason="misread", visitor=record.adult, now=record.now,
        )  # fmt: skip
        (job,) = snapshot.load(session, [record.tank_id], record.now)[0].jobs
    assert job.treatment is not None
    assert (job.note, job.treatment.product) == ("in the evening", kept)


def test_a_treatment_is_not_carried_over_to_another_job(record: Record) -> None:
    draft = NewJob(job=JobKind.TREATMENT, treatment=Treatment(product="Label words"))
    saved = record.write(draft)
    with record.database.writing() as session:
        entries.correct(
            session, record.stamp(), saved.entry_id, NewJob(job=JobKind.CARBON), (),
            reason="misread", visitor=record.adult, now=record.now,
        )  # fmt: skip
        (job,) = snapshot.load(session, [record.tank_id], record.now)[0].jobs
    assert (job.job, job.treatment) == (JobKind.CARBON, None)
