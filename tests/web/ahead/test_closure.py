"""A break rehearsed through its page: what fails, what is asked for, and how it was afterwards.

The tank: 78 by 34 cm, 85.0 L, heater line 40 mm down, 50 W, seen to cool with 5.08 W for each °C.
The break: Friday 18 December 2026, 3 pm, to Monday 4 January 2027, 8:30 am.
"""

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from urllib.parse import urlencode

import pytest

from app.clock import FixedClock
from app.domain.drafts import NewJob, NewMeal, NewTest
from app.domain.quantities import Quantity
from app.domain.records import JobKind
from app.services import sites, tanks
from app.services.school import school_days
from tests.page_checker import CheckedClient
from tests.record import Record, reading
from tests.web.ahead.heated import change, cooled, heater
from tests.web.visits import fields_of, seen, words_of

URL = "/tank/1/ahead/break"
BREAK = f"{URL}/2026-12-21"
PLAN = "/tank/1/to-do"
BEFORE = datetime(2026, 12, 14, 14, 0, tzinfo=UTC)
LEAVES = datetime(2026, 12, 18, 20, 0, tzinfo=UTC)
RETURNS = datetime(2027, 1, 4, 13, 30, tzinfo=UTC)
DAY = timedelta(days=1)
STORY = {
    "leaves": "2026-12-18T15:00", "returns": "2027-01-04T08:30", "visits": "8", "grams": "0.12",
    "evaporation": "1.5", "room": "12", "watts": "50", "room_then": "18",
}  # fmt: skip
TOP_UP = "For the break: ask a visitor to top up by"


@pytest.fixture(autouse=True)
def a_winter_break(record: Record, clock: FixedClock) -> None:
    """A week before the break; the heater was found off two days ago."""
    with record.database.writing() as session:
        school_days.add(session, sites.FIRST, date(2026, 12, 21), date(2027, 1, 1), "Winter break")
        shape = replace(tanks.tank(session, 1).shape, heater_line_cm=32.0)
    change(
        record, shape=shape, set_point_c=25.0, coldest_room_c=12.0, food_protein_percent=45.0,
        cover="open",
    )  # fmt: skip
    heater(record)
    move(record, clock, BEFORE)
    cooled(record, BEFORE - 2 * DAY)


def move(record: Record, clock: FixedClock, moment: datetime) -> None:
    clock.moment = record.now = moment


def rehearsed(client: CheckedClient, **typed: str) -> str:
    return seen(client, f"{URL}?{urlencode(STORY | typed)}")


def test_the_page_opens_on_the_next_break_with_the_usual_plan(adult: CheckedClient) -> None:
    page = adult.get(URL)

    assert page.status_code == 200
    words = words_of(page.text)
    assert "Friday 18 December 2026, 3:00 pm, to Monday 4 January 2027, 8:30 am" in words
    assert 'value="2026-12-18T15:00"' in page.text
    assert 'name="visits" type="text" value="8"' in page.text
    assert 'name="evaporation" type="text" value=""' in page.text  # never a measurement filled in


def test_seventeen_days_with_visits(adult: CheckedClient) -> None:
    page = rehearsed(adult)

    assert "16 days 17.5 h" in page
    assert "8 visits with 0.96 g of food in all add about 2.1 mg/L of nitrate" in page
    assert "0.96 × 1000 × 0.45 × 0.092 × 4.427 ÷ 85.0 = 2.1 mg/L" in page
    assert "falls by about 25 mm, 6.7 L, and stays 15 mm above the heater line" in page
    assert "cannot hold more than about 21.8 °C" in page
    assert "Holding 25.0 °C takes 66 W" in page
    assert "estimate, not measured" in page
    assert "The water level: how far the water falls 25 mm 25 mm not by this guess" in page


def test_twice_the_evaporation_reaches_the_heater_line_on_new_year_s_eve(
    adult: CheckedClient,
) -> None:
    page = rehearsed(adult, evaporation="3")

    assert "The water comes to the heater line: Thursday 31 December, about 11 pm." in page
    assert "falls by about 50 mm" in page
    assert "40 ÷ 3.0 = 13.3 days" in page
    assert "A visitor tops up with treated water before then." in page


@pytest.mark.parametrize("typed", [{}, {"room": "20", "watts": "100"}])
def test_the_cautions_stand_before_what_is_tried(
    adult: CheckedClient, typed: dict[str, str]
) -> None:
    page = rehearsed(adult, **typed)

    places = [
        page.index(words)
        for words in ("Estimates, not measured", "Before you touch the heater", "What was tried")
    ]
    assert places == sorted(places)


def test_the_longest_absence_that_is_rehearsed_is_answered(adult: CheckedClient) -> None:
    page = rehearsed(adult, leaves="2027-12-18T15:00", returns="2028-12-18T15:00")

    assert "366 days 0.0 h" in page  # 29 February 2028 lies between (calendar)
    assert "366 days at most" not in page


@pytest.mark.parametrize("returns", ["2028-12-18T15:01", "2199-12-31T23:59"])
def test_a_longer_absence_is_refused_and_keeps_what_was_typed(
    adult: CheckedClient, returns: str
) -> None:
    typed = STORY | {"leaves": "2027-12-18T15:00", "returns": returns}
    answer = adult.get(f"{URL}?{urlencode(typed)}")

    assert answer.status_code == 422
    assert "Enter 366 days at most." in words_of(answer.text)
    assert f'value="{returns}"' in answer.text


def test_a_break_of_two_years_in_the_settings_is_refused_too(
    adult: CheckedClient, record: Record
) -> None:
    with record.database.writing() as session:
        school_days.add(session, sites.FIRST, date(2027, 3, 1), date(2029, 3, 1), "Two years")
    answer = adult.get(f"{URL}/2027-03-01")

    assert answer.status_code == 422
    assert "Enter 366 days at most." in words_of(answer.text)


def test_a_warm_room_fails_nothing(adult: CheckedClient) -> None:
    page = rehearsed(adult, room="20", watts="100")

    assert "Nothing fails by the best guess. That is no promise." in page


def test_what_would_fail_is_a_task_until_somebody_saw_to_it(
    adult: CheckedClient, record: Record
) -> None:
    # filled five days ago, 15 mm below the line since: 3 mm a day
    record.write(NewJob(job=JobKind.TOP_UP, liters_in=3.0), at=BEFORE - 5 * DAY)
    record.write(NewTest(), reading(Quantity.WATER_LEVEL, 15.0), at=BEFORE)
    assert f"{TOP_UP} Thursday 31 December" in seen(adult, PLAN)
    assert URL in adult.get(PLAN).text
    form = fields_of(adult.get(URL).text) | {"trouble": "level", "how": "Aunt fills up on the 28th"}

    assert adult.post(BREAK, data=form).status_code == 303

    assert TOP_UP not in seen(adult, PLAN)
    assert "Arranged: Aunt fills up on the 28th" in seen(adult, URL)
    assert adult.post(BREAK, data=form).status_code == 303
    assert seen(adult, "/tank/1/story?kind=jobs").count("Aunt fills up on the 28th") == 1


@pytest.mark.parametrize(
    ("typed", "says"),
    [
        ({"trouble": "warmth", "how": "  "}, "Write what was arranged"),
        ({"how": "The room stays warm"}, "Choose what you saw to."),
        ({"trouble": "storm", "how": "The room stays warm"}, "Choose what you saw to."),
    ],
)
def test_what_is_arranged_must_be_said(
    adult: CheckedClient, typed: dict[str, str], says: str
) -> None:
    form = fields_of(adult.get(URL).text) | typed
    answer = adult.post(BREAK, data=form)

    assert answer.status_code == 422
    assert says in words_of(answer.text)


@pytest.mark.parametrize(
    ("typed", "says"),
    [
        ({"returns": "2026-12-18T14:00"}, "Coming back is after leaving."),
        ({"leaves": "some day"}, "Write day and time, such as 2027-02-08 08:30."),
        ({"leaves": "0001-01-10T08:30"}, "Write a year from 1990 to 2199."),
        ({"leaves": "9999-12-31T23:59"}, "Write a year from 1990 to 2199."),
        ({"returns": "9999-12-31T23:59"}, "Write a year from 1990 to 2199."),
        ({"returns": "2027-03-14T02:30"}, "The clocks went forward"),
        ({"visits": ""}, "Enter the visits with food."),
        ({"room": "99"}, "99 °C would be too hot to touch."),
    ],
)
def test_days_and_numbers_that_cannot_be(
    adult: CheckedClient, typed: dict[str, str], says: str
) -> None:
    answer = adult.get(f"{URL}?{urlencode(STORY | typed)}")

    assert answer.status_code == 422
    assert says in words_of(answer.text)
    assert "This would fail" not in answer.text


def test_what_lapses_before_they_are_back(adult: CheckedClient, record: Record) -> None:
    record.write(NewTest(), reading(Quantity.NITRATE, 10.0), at=BEFORE)
    assert "unless a visitor writes it down:" in rehearsed(adult)
    assert "Nitrate" in rehearsed(adult).partition("writes it down:")[2][:200]


def test_afterwards_expected_and_read_stand_side_by_side(
    adult: CheckedClient, record: Record, clock: FixedClock
) -> None:
    record.write(NewTest(), reading(Quantity.NITRATE, 10.0), at=BEFORE)
    move(record, clock, RETURNS + DAY / 12)
    for visit in range(1, 9):
        record.write(NewMeal(scoops=1.0), at=LEAVES + 2 * DAY * visit)
    record.write(
        NewTest(),
        reading(Quantity.WATER_LEVEL, 26.0),
        reading(Quantity.TEMPERATURE, 19.0),
        reading(Quantity.NITRATE, 80.0),
    )

    page = rehearsed(adult, evaporation="1.5")

    assert "What it was like" in page
    assert "How far the water fell 23 to 27 mm 26 mm as expected" in page
    assert "19.0 °C" in page
    assert "80 mg/L (as nitrate) not as expected" in page


def test_water_that_went_in_before_hides_it(
    adult: CheckedClient, record: Record, clock: FixedClock
) -> None:
    record.write(NewTest(), reading(Quantity.NITRATE, 10.0), at=BEFORE)
    move(record, clock, RETURNS + DAY)
    record.write(NewJob(job=JobKind.WATER_CHANGE, liters_out=20.0, liters_in=20.0), at=RETURNS)
    record.write(NewTest(), reading(Quantity.NITRATE, 12.0))

    page = rehearsed(adult)

    assert "water went in before it was read can’t tell" in page


def test_a_visitor_s_food_is_taken_as_it_was_written(
    adult: CheckedClient, record: Record, clock: FixedClock
) -> None:
    move(record, clock, RETURNS + DAY)
    for visit in range(1, 4):
        record.write(NewMeal(scoops=1.0), at=LEAVES + 4 * DAY * visit)
    assert 'name="visits" type="text" value="3"' in adult.get(BREAK).text


@pytest.mark.parametrize("day", ["2027-05-01", "soon"])
def test_a_break_that_is_not_there(adult: CheckedClient, day: str) -> None:
    assert adult.get(f"{URL}/{day}").status_code == 404


def test_without_a_break_days_are_typed(adult: CheckedClient, record: Record) -> None:
    with record.database.writing() as session:
        school_days.strike(session, sites.FIRST, school_days.written(session, sites.FIRST)[0].id)
    assert "Days without people" in seen(adult, URL)
    assert "16 days 17.5 h" in rehearsed(adult)


def test_the_way_there(adult: CheckedClient, helper: CheckedClient) -> None:
    assert URL in adult.get("/tank/1/breaks").text
    assert "Winter break" in seen(adult, "/tank/1/ahead")
    assert helper.get(URL).status_code == 403
