"""A tank's calendar, read by `vobject`: a general library that is none of those that write it."""

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from typing import Any
from uuid import UUID

import pytest
import vobject

from app.domain.records import JobKind, StockEventKind
from app.domain.snapshot import TankSnapshot
from app.domain.tank import Break, CarePlan, DayKind
from app.rules.ahead import planned
from app.services.sharing.calendar_feed import calendar_of
from tests.rules.checks import KNOWLEDGE, judged
from tests.rules.class_situations import CLASS
from tests.situations import SCHOOL, Thing, at, calm, fed, job, look, snapshot, stock, tank

NOW = "2027-02-12 12:30"
FAMILY = UUID(int=7)
# anything but a letter that the format itself uses, and letters of more than one byte
HOSTILE = 'Otter; pool, \\ "Tank":\r\nEND:VCALENDAR\nX-A:b — Überlänge 水槽 🐟' * 3


def written(known: TankSnapshot, family: UUID = FAMILY) -> str:
    return calendar_of(known, judged(known), KNOWLEDGE, family).decode()


def events(known: TankSnapshot, family: UUID = FAMILY) -> list[Any]:
    read = vobject.readOne(written(known, family))
    return list(read.vevent_list)


def titles(known: TankSnapshot) -> list[str]:
    return [event.summary.value for event in events(known)]


def at_school(now: str = NOW, *things: Thing, **more: Any) -> TankSnapshot:
    return snapshot(now, *(things or calm(now)), **({"tank": CLASS} | more))


def test_what_is_planned_and_what_is_due_stands_in_it() -> None:
    known = at_school()
    by_title: dict[str, list[Any]] = {}
    for event in events(known):
        by_title.setdefault(event.summary.value, []).append(event)

    feeding = by_title["Feed: 1 scoop"]
    # today and the school days of six weeks
    assert len(feeding) == 1 + 30
    assert feeding[0].dtstart.value == date(2027, 2, 12)
    assert feeding[0].dtend.value == date(2027, 2, 13)  # RFC 5545, 3.6.1: not part of it
    # changed on Wednesday 10 February, every seven days
    change = by_title["Change water: 25 %, 21 L"]
    assert [e.dtstart.value for e in change][:2] == [date(2027, 2, 17), date(2027, 2, 24)]
    # rinsed on 2 February, every 30 days
    assert by_title["Rinse the filter sponge in tank water"][0].dtstart.value == date(2027, 3, 4)
    assert by_title["Test the water"][0].dtstart.value == date(2027, 2, 17)
    # counted today, every seven days, on Friday in a class
    assert by_title["Count all animals"][0].dtstart.value == date(2027, 2, 19)
    assert [
        e.dtstart.value for e in by_title[next(t for t in by_title if "Friday list:" in t)]
    ] == [date(2027, 2, 12)]


@pytest.mark.parametrize(
    ("now", "first", "utc_hour"),
    [
        ("2027-03-08 09:00", date(2027, 3, 12), 17),  # noon in winter
        ("2027-03-15 09:00", date(2027, 3, 19), 16),  # the clocks went forward on the 14th
        ("2026-10-26 09:00", date(2026, 10, 30), 16),
        ("2026-11-02 09:00", date(2026, 11, 6), 17),  # and back on 1 November
    ],
)
def test_the_list_before_a_weekend_is_at_noon_whatever_the_clocks_do(
    now: str, first: date, utc_hour: int
) -> None:
    found = [e for e in events(at_school(now)) if e.summary.value.startswith("Friday list, before")]
    starts = [e.dtstart.value.astimezone(UTC) for e in found]
    assert starts[0] == datetime(first.year, first.month, first.day, utc_hour, tzinfo=UTC)
    for start in starts:
        assert start == at(f"{start:%Y-%m-%d} 12:00")
    ends = found[0].dtend.value.astimezone(UTC)
    assert ends - starts[0] == timedelta(minutes=30)


def test_breaks_and_staff_days_are_there_with_their_names() -> None:
    days = (
        Break(first_day=date(2027, 3, 15), last_day=date(2027, 3, 19), name="Spring, part one"),
        Break(first_day=date(2027, 3, 12), last_day=date(2027, 3, 12), kind=DayKind.STAFF),
        Break(first_day=date(2027, 3, 12), last_day=date(2027, 3, 12), kind=DayKind.HOLIDAY),
        Break(first_day=date(2027, 1, 4), last_day=date(2027, 1, 8), name="Over"),
    )
    found = {e.summary.value: e for e in events(at_school(site=replace(SCHOOL, breaks=days)))}
    spring = found["Spring, part one. Break: nobody comes"]
    assert (spring.dtstart.value, spring.dtend.value) == (date(2027, 3, 15), date(2027, 3, 20))
    assert "Staff day: no pupils" in found
    assert not [title for title in found if "Over" in title]
    feeding = {e.dtstart.value for e in events(at_school(site=replace(SCHOOL, breaks=days)))
               if e.summary.value.startswith("Feed")}  # fmt: skip
    assert date(2027, 3, 16) not in feeding
    assert date(2027, 3, 22) in feeding


def test_uids_are_all_different_and_stay_the_same() -> None:
    today, later = at_school(), at_school("2027-02-12 15:00")
    uids = [e.uid.value for e in events(today)]
    assert len(set(uids)) == len(uids)
    assert {e.uid.value for e in events(later)} >= set(uids) - {uids[0]}
    assert not set(uids) & {e.uid.value for e in events(today, UUID(int=8))}
    assert all(e.dtstamp.value == at(NOW) for e in events(today))


def test_no_text_can_break_out_of_its_line() -> None:
    known = at_school(
        tank=replace(CLASS, name=HOSTILE),
        site=replace(SCHOOL, breaks=(
            Break(first_day=date(2027, 3, 15), last_day=date(2027, 3, 19), name=HOSTILE),
        )),
    )  # fmt: skip
    text = written(known)
    # RFC 5545, 3.1: no line is longer than 75 octets, and each ends with CR and LF
    lines = text.removesuffix("\r\n").split("\r\n")
    assert max(len(line.encode()) for line in lines) <= 75
    assert not any("\n" in line or "\r" in line for line in lines)
    assert text.count("\r\nEND:VCALENDAR") == 1

    read = vobject.readOne(text)
    one_line = " ".join(HOSTILE.split())
    assert read.contents["x-wr-calname"][0].value == one_line
    said = [e.summary.value for e in read.vevent_list if "Überlänge" in e.summary.value]
    assert said == [f"{one_line}. Break: nobody comes"]


def test_nobody_is_named_and_no_loss_and_no_note_is_told() -> None:
    gone = stock(StockEventKind.DIED, "2027-02-12 09:00", 2, note="Otter found it", done_by="Finch")
    things = (
        fed("2027-02-12 08:41", by="Otter"),
        fed("2027-02-12 08:44", by="Finch"),
        look("2027-02-12 10:00", 11, expected=16, done_by="Moss", note="Moss saw it"),
        job(JobKind.GLASS, "2027-02-11 10:00", done_by="Otter", note="with Finch"),
        gone,
    )
    known = at_school(NOW, *things)
    text = written(known)
    assert "leftover" in text  # it does speak of the two meals
    for word in ("Otter", "Finch", "Moss", "died", "11 of", "Look for", "count the others"):
        assert word not in text


def test_a_tank_without_animals_has_no_feeding_days_and_an_empty_plan_no_jobs() -> None:
    assert not [t for t in titles(at_school(groups=())) if t.startswith("Feed")]
    never = tank(plan=CarePlan(feed_weekdays=frozenset()))
    assert not [t for t in titles(at_school(tank=never)) if t.startswith("Feed")]
    assert planned(snapshot(NOW, groups=()), KNOWLEDGE, date(2027, 2, 20)) == ()
