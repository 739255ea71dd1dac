"""The rota of a class over its weeks: planned, kept, swapped, and forgotten afterwards."""

from datetime import date, timedelta

import pytest
from sqlalchemy import select

from app.domain.errors import Refused
from app.domain.rota import DutySpan
from app.domain.tank import DayKind
from app.services.school import away, classes, replacing, rota, tiles
from app.services.school.classes import ClassFacts
from app.storage.models.classes import Duty, HelperAway
from app.storage.models.site import Break
from tests.record import MONDAY, Record

TODAY = MONDAY.date()
NEXT = TODAY + timedelta(days=7)
NAMES = ("Comet", "Fern", "Moss", "Newt", "Pebble", "Reed")


@pytest.fixture
def heron(record: Record) -> dict[str, int]:
    """A class of eight; its tiles by nickname."""
    with record.database.writing() as session:
        tiles.add_helpers(session, NAMES)
        return {tile.name: tile.author_id for tile in tiles.of_class(session, 1)}


def plan(record: Record, monday: date = NEXT, today: date = TODAY) -> None:
    with record.database.writing() as session:
        rota.plan_week(session, 1, monday, today=today)


def planned(record: Record, monday: date = NEXT) -> list[list[str]]:
    with record.database.reading() as session:
        return [[line.name for line in each.lines] for each in rota.week(session, 1, monday)]


def turn(record: Record, name: str, monday: date = NEXT) -> rota.DutyLine:
    with record.database.reading() as session:
        found = [li for each in rota.week(session, 1, monday) for li in each.lines]
    return next(line for line in found if line.name == name)


@pytest.mark.usefixtures("heron")
def test_a_week_is_planned_by_name_first_and_then_goes_on(record: Record) -> None:
    plan(record)
    assert planned(record) == [
        ["Comet", "Fern"], ["Finch", "Moss"], ["Newt", "Otter"], ["Pebble", "Reed"],
        ["Comet", "Fern"],
    ]  # fmt: skip
    plan(record, NEXT + timedelta(days=7))
    assert planned(record, NEXT + timedelta(days=7))[0] == ["Finch", "Moss"]


def test_days_without_pupils_and_helpers_away_are_left_out(
    record: Record, heron: dict[str, int]
) -> None:
    with record.database.writing() as session:
        for day, kind in ((NEXT, DayKind.HOLIDAY), (NEXT + timedelta(days=1), DayKind.STAFF)):
            session.add(Break(site_id=1, first_day=day, last_day=day, kind=kind.value))
        away.set_away(session, 1, heron["Comet"], NEXT, NEXT + timedelta(days=3), today=TODAY)
        tiles.set_on_duty(session, heron["Fern"], False)
    plan(record)
    assert planned(record) == [["Finch", "Moss"], ["Newt", "Otter"], ["Comet", "Pebble"]]
    with record.database.reading() as session:
        (gone,) = away.from_day(session, 1, TODAY)
    assert (gone.name, (gone.last_day - gone.first_day).days) == ("Comet", 3)


def test_planning_again_changes_only_days_to_come_and_who_is_not_kept(
    record: Record, heron: dict[str, int]
) -> None:
    plan(record)
    wednesday = NEXT + timedelta(days=2)
    friday = turn(record, "Reed").day + timedelta(days=1)
    with record.database.writing() as session:
        rota.put_on(session, 1, friday, heron["Reed"], today=TODAY)
        tiles.set_on_duty(session, heron["Comet"], False)
        tiles.set_on_duty(session, heron["Otter"], False)
    plan(record, today=wednesday)
    after = planned(record)
    assert after[:3] == [["Comet", "Fern"], ["Finch", "Moss"], ["Newt", "Otter"]]
    assert after[3:] == [["Pebble", "Fern"], ["Reed", "Finch"]]
    with pytest.raises(Refused, match="over"):
        plan(record, today=NEXT + timedelta(days=7))


def test_somebody_stands_in_and_whose_turn_it_was_keeps_it(
    record: Record, heron: dict[str, int]
) -> None:
    plan(record)
    monday = turn(record, "Fern")
    with record.database.writing() as session:
        assert rota.stand_in(session, 1, monday.id, heron["Fern"], today=TODAY) == "Finch"
        # the same button pressed twice
        assert rota.stand_in(session, 1, monday.id, heron["Fern"], today=TODAY) == "Finch"
    assert turn(record, "Finch").instead_of == "Fern"
    assert "Fern" not in planned(record)[0]

    with record.database.writing() as session:
        with pytest.raises(Refused, match="over"):
            rota.stand_in(session, 1, monday.id, heron["Fern"], today=NEXT + timedelta(days=1))
        rota.swap_back(session, 1, monday.id, today=TODAY)
        assert away.from_day(session, 1, TODAY) == ()
    assert planned(record)[0] == ["Comet", "Fern"]

    with record.database.writing() as session:
        rota.stand_in(session, 1, monday.id, heron["Fern"], today=TODAY)
        friday = [li for li in rota.week(session, 1, NEXT)[4].lines if li.name == "Fern"]
        rota.take_off(session, 1, friday[0].id, today=TODAY)
    plan(record, NEXT + timedelta(days=7), today=NEXT)
    assert planned(record, NEXT + timedelta(days=7))[0][0] == "Fern"


@pytest.mark.usefixtures("heron")
def test_a_week_that_is_over_leaves_only_the_last_turn_of_each(record: Record) -> None:
    plan(record, TODAY)
    with record.database.writing() as session:
        first = rota.week(session, 1, TODAY)[0].lines[1]
        rota.stand_in(session, 1, first.id, first.author_id, today=TODAY)
    plan(record, NEXT, today=NEXT)
    with record.database.reading() as session:
        past = session.scalars(select(Duty).where(Duty.day < NEXT)).all()
        assert session.scalars(select(HelperAway)).all() == []
        now_on = {row.helper_id for row in session.scalars(select(Duty).where(Duty.day >= NEXT))}
    assert len({row.helper_id for row in past}) == len(past)
    assert not {row.helper_id for row in past} & now_on
    assert all(row.instead_of_id is None for row in past)


@pytest.mark.usefixtures("heron")
def test_the_same_helpers_come_all_week_where_an_adult_wants_it(record: Record) -> None:
    with record.database.writing() as session:
        facts = ClassFacts(name="5-Heron", tank_ids=frozenset({1}), duty_span=DutySpan.WEEK)
        classes.change(session, 1, facts)
    plan(record)
    assert planned(record) == [["Comet", "Fern"]] * 5
    plan(record, NEXT, today=NEXT + timedelta(days=2))
    assert planned(record) == [["Comet", "Fern"]] * 5


@pytest.mark.usefixtures("heron")
def test_who_is_on_duty_at_a_tank_is_of_the_classes_that_look_after_it(record: Record) -> None:
    plan(record, TODAY)
    with record.database.writing() as session:
        assert [h.name for h in rota.on_duty(session, 1, TODAY)] == ["Comet", "Fern"]
        assert rota.on_duty(session, 1, TODAY, class_id=2) == ()
        classes.change(session, 1, ClassFacts(name="5-Heron", tank_ids=frozenset()))
        assert rota.on_duty(session, 1, TODAY) == ()


def lacking(record: Record, monday: date = NEXT) -> dict[int, int]:
    """How many helpers are needed, by the day of the month."""
    with record.database.reading() as session:
        return {e.day.day: e.lacks for e in rota.week(session, 1, monday) if e.lacks}


def fill(record: Record, today: date = TODAY) -> int:
    with record.database.writing() as session:
        return rota.fill_week(session, 1, NEXT, today=today)


def test_a_helper_who_is_replaced_leaves_a_gap_that_the_week_tells_and_one_tap_fills(
    record: Record, heron: dict[str, int]
) -> None:
    plan(record)
    assert lacking(record) == {}
    with record.database.writing() as session:
        replacing.replace(session, [heron["Moss"]], (), now=MONDAY)
    assert planned(record)[1] == ["Finch"]
    assert lacking(record) == {16: 1}

    before = planned(record)
    assert fill(record) == 1
    # turns still ahead count too: Comet and Fern have two in this week, Newt's comes first
    assert planned(record)[1] == ["Finch", "Newt"]
    assert [d for at, d in enumerate(planned(record)) if at != 1] == [
        d for at, d in enumerate(before) if at != 1
    ]
    with pytest.raises(Refused, match="Nobody else"):
        fill(record)


def test_a_gap_on_the_day_itself_is_filled_too(record: Record, heron: dict[str, int]) -> None:
    plan(record)
    with record.database.writing() as session:
        replacing.replace(session, [heron["Comet"]], (), now=MONDAY)
    assert lacking(record) == {15: 1, 19: 1}
    assert fill(record, today=NEXT) == 2
    assert lacking(record) == {}


@pytest.mark.usefixtures("heron")
def test_a_week_that_nobody_planned_lacks_nobody(record: Record) -> None:
    assert lacking(record) == {}
