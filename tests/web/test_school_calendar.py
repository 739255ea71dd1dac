"""Breaks, holidays and staff days, calendars that are brought in, and hours with less heating."""

import io
from datetime import date, time
from typing import Any

import pytest
from werkzeug.test import TestResponse

from app.domain.tank import Break, DayKind, Setback, Site
from app.services import sites
from app.services.school import school_days, setbacks
from tests.page_checker import CheckedClient
from tests.record import Record
from tests.services.calendars import calendar, whole_day
from tests.web.filling import form_on, opened, save
from tests.web.visits import seen, words_of

PAGE = "/settings/calendar"
FILE = calendar(
    whole_day("winter@test", "Winter recess", "20270215", "20270220"),
    whole_day("staff@test", "Staff development", "20270312", "20270313"),
    whole_day("fair@test", "Book fair", "20270401", "20270403"),
)


def place(record: Record) -> Site:
    with record.database.reading() as session:
        return sites.place(session, sites.FIRST)


def handed_in(adult: CheckedClient, content: bytes, **more: Any) -> TestResponse:
    file = (io.BytesIO(content), "school.ics")
    return adult.post(PAGE, data=opened(adult, PAGE) | {"file": file} | more)


def saved(adult: CheckedClient, shown: TestResponse, **changed: str) -> TestResponse:
    """Press Save on the page that shows the events; `changed` is by the event's name."""
    form = form_on(shown.text)
    for name, kind in changed.items():
        label = shown.text.index(f'aria-label="What is {name.replace("_", " ")}"')
        field = shown.text.index('name="event-', label)
        form[shown.text[field + 6 : field + 28]] = kind
    return adult.post(PAGE, data=form | {"save": "yes"})


def test_a_calendar_is_looked_at_first_then_saved_and_then_stands_here_already(
    adult: CheckedClient, record: Record
) -> None:
    shown = handed_in(adult, FILE)
    text = words_of(shown.text)
    assert shown.status_code == 200
    assert "Winter recess Monday 15 February 2027 to Friday 19 February 2027 New" in text
    assert "Book fair Thursday 1 April 2027 to Friday 2 April 2027 New" in text
    assert place(record).breaks == ()

    assert saved(adult, shown).status_code == 303
    kinds = {b.name: b.kind for b in place(record).breaks}
    # as guessed from the words; the fair is left out
    assert kinds == {"Winter recess": DayKind.HOLIDAY, "Staff development": DayKind.STAFF}
    assert "Staff development : Friday 12 March 2027 , staff day, from a calendar" in seen(
        adult, "/settings/breaks"
    )
    again = words_of(handed_in(adult, FILE).text)
    assert "2 events stand here already." in again
    assert "Winter recess" not in again


def test_each_event_is_what_somebody_says(adult: CheckedClient, record: Record) -> None:
    shown = handed_in(adult, FILE)
    saved(adult, shown, Winter_recess="staff", Staff_development="", Book_fair="holiday")
    assert {b.name: b.kind for b in place(record).breaks} == {
        "Winter recess": DayKind.STAFF,
        "Book fair": DayKind.HOLIDAY,
    }


def test_what_changed_is_shown_before_it_is_moved(adult: CheckedClient, record: Record) -> None:
    saved(adult, handed_in(adult, FILE))
    moved = calendar(
        whole_day("winter@test", "Winter recess", "20270222", "20270227"),
        whole_day("staff@test", "Staff development", "20270312", "20270313", "STATUS:CANCELLED"),
    )
    shown = handed_in(adult, moved)
    text = words_of(shown.text)
    assert "Changed. Before: Monday 15 February 2027 to Friday 19 February 2027 (holiday)" in text
    assert "Called off" in text
    assert len(place(record).breaks) == 2

    saved(adult, shown)
    (left,) = place(record).breaks
    assert (left.first_day, left.last_day) == (date(2027, 2, 22), date(2027, 2, 26))


@pytest.mark.parametrize(
    ("content", "said"),
    [(b"no calendar", "This is no calendar file."), (b"x" * 500_001, "This file is too large.")],
)
def test_a_file_that_is_none_gets_a_sentence(
    adult: CheckedClient, record: Record, content: bytes, said: str
) -> None:
    answer = handed_in(adult, content)
    assert answer.status_code == 422
    assert said in words_of(answer.text)
    empty = adult.post(PAGE, data=opened(adult, PAGE))
    assert "Choose a file." in words_of(empty.text)
    assert place(record).breaks == ()


def test_a_page_with_very_many_events_stays_small(adult: CheckedClient) -> None:
    many = [
        whole_day(
            f"{n}@test", f"Holiday number {n} with a rather long name", "20270215", "20270220"
        )
        for n in range(300)
    ]
    text = words_of(handed_in(adult, calendar(*many)).text)  # the checker refuses over 60 KB
    assert "events more are not shown." in text


def test_staff_days_by_hand(adult: CheckedClient, record: Record) -> None:
    days = {"first_day": "2027-02-12", "last_day": "2027-02-12"}
    assert save(adult, "/settings/breaks", kind="staff", **days).status_code == 303
    assert place(record).breaks == (
        Break(first_day=date(2027, 2, 12), last_day=date(2027, 2, 12), kind=DayKind.STAFF),
    )
    assert save(adult, "/settings/breaks", kind="party", **days).status_code == 422
    assert "1 time of staff days" in seen(adult, "/settings")


def test_coming_breaks_leave_out_staff_days_and_single_holidays(
    adult: CheckedClient, record: Record
) -> None:
    with record.database.writing() as session:
        for first, last, name, kind in (
            (15, 19, "Winter break", DayKind.BREAK),
            (17, 17, "Within it", DayKind.HOLIDAY),
            (24, 24, "A free Wednesday", DayKind.HOLIDAY),
            (25, 25, "Staff day", DayKind.STAFF),
        ):
            days = date(2027, 2, first), date(2027, 2, last)
            school_days.add(session, sites.FIRST, *days, name, kind=kind)
    text = seen(adult, "/tank/1/breaks")
    assert "Winter break" in text
    assert not [n for n in ("Within it", "A free Wednesday", "Staff day Thursday") if n in text]
    assert "A free Wednesday" not in seen(adult, "/tank/1/ahead/break")


HEATING = "/settings/heating"
NIGHTS = {"weekdays": ["0", "1", "2", "3", "4"], "starts": "17:00", "ends": "06:00"}


def test_hours_with_less_heating_are_written_once_and_struck(
    adult: CheckedClient, record: Record
) -> None:
    form = opened(adult, HEATING) | NIGHTS | {"room": "14,5"}
    for _ in range(2):
        assert adult.post(HEATING, data=form).status_code == 303
    expected = Setback(weekdays=frozenset(range(5)), starts=time(17), ends=time(6), room_c=14.5)
    assert place(record).setbacks == (expected,)
    said = "Monday to Friday, 5:00 pm to 6:00 am the next day; the room then: 14.5 °C"
    assert said in seen(adult, HEATING)
    assert "1 time with less heating" in seen(adult, "/settings")

    with record.database.reading() as session:
        (found,) = setbacks.written(session, sites.FIRST)
    csrf = opened(adult, HEATING)["csrf_token"]
    adult.post(f"{HEATING}/{found.id}/strike", data={"csrf_token": csrf})
    assert place(record).setbacks == ()


@pytest.mark.parametrize(
    ("changed", "said"),
    [
        ({"weekdays": []}, "Choose the days"),
        ({"starts": ""}, "Enter when they begin."),
        ({"ends": "25:00"}, "Write the time with hours and minutes"),
        ({"room": "-40"}, "from -10 to 40"),
        ({"room": "cold"}, "with digits only"),
    ],
)
def test_hours_that_cannot_be_stay_as_typed(
    adult: CheckedClient, record: Record, changed: dict[str, Any], said: str
) -> None:
    answer = save(adult, HEATING, **(NIGHTS | {"room": "14"} | changed))
    assert answer.status_code == 422
    assert said in words_of(answer.text)
    assert place(record).setbacks == ()


def test_all_day_in_breaks_alone_is_enough_and_degrees_fahrenheit_are_read(
    adult: CheckedClient, record: Record
) -> None:
    save(adult, "/settings", warmth="f")
    answer = save(
        adult, HEATING, weekdays=[], starts="00:00", ends="00:00", room="50", while_away="y"
    )
    assert answer.status_code == 303
    (found,) = place(record).setbacks
    assert found.while_away
    assert found.room_c == pytest.approx(10.0)
    text = seen(adult, HEATING)
    assert "All day while nobody comes; the room then: 50.0 °F" in text
    # it is colder than anything that is written of the tank's own place
    assert "50.0 °F" in seen(adult, "/tank/1/ahead/warmth")
