"""The nitrate page: what it says of a tank whose numbers were worked out by hand.

The tank holds 85.0 L and gets 0.25 g of food of 45 % protein a day: 250 x 0.45 x 0.092 = 10.35 mg
of N, x 4.427 / 85.0 = 0.539 mg/L of nitrate a day, 3.77 a week; KH 10.35 / 85.0 x 0.400 = 0.0487
°dKH a day, 0.34 a week.
"""

import re
from collections.abc import Callable
from dataclasses import replace
from datetime import timedelta

import pytest

from app.domain.drafts import NewJob, NewTest
from app.domain.quantities import Quantity
from app.domain.records import JobKind
from app.domain.tank import CarePlan
from app.services import care_plans, sites, tanks
from tests.page_checker import CheckedClient
from tests.record import MONDAY, ONE_SCOOP, Record, reading
from tests.web.visits import seen, words_of

PAGE = "/tank/1/ahead/nitrate"
CHART = "/tank/1/charts/nitrate?days=30"
WEEK = timedelta(days=7)
Write = Callable[..., None]


def weigh(record: Record) -> None:
    """A scoop of a quarter of a gram, and food of 45 % protein."""
    with record.database.writing() as session:
        tanks.weigh_scoop(session, 1, 5.0, 20, now=record.now - timedelta(days=100))
        facts = tanks.tank(session, 1).facts
        tanks.change_tank(session, 1, replace(facts, food_protein_percent=45.0))


def feed(record: Record, days: int = 29) -> None:
    for ago in range(days):
        record.write(ONE_SCOOP, at=MONDAY - timedelta(days=ago, hours=1))


def tap(record: Record, quantity: Quantity, value: float) -> None:
    with record.database.writing() as session:
        sites.set_tap(session, sites.FIRST, quantity, value, MONDAY.date())


def metered(record: Record, *values: float, quantity: Quantity = Quantity.NITRATE) -> None:
    """Readings a week apart, the last one now."""
    for ago, value in enumerate(reversed(values)):
        record.write(NewTest(), reading(quantity, value), at=MONDAY - WEEK * ago)


def line_at(record: Record, high: float) -> None:
    with record.database.writing() as session:
        tanks.set_range(session, 1, Quantity.NITRATE, None, high, set_by="Me")


@pytest.fixture
def known(record: Record) -> Record:
    """Fed every day, weighed, with tap water of 5 mg/L and a line at 20."""
    weigh(record)
    feed(record)
    tap(record, Quantity.NITRATE, 5.0)
    line_at(record, 20.0)
    return record


def test_a_rise_of_three_a_week_reaches_the_line_in_two_to_three_weeks(
    known: Record, adult: CheckedClient
) -> None:
    metered(known, 3.0, 6.0, 9.0, 12.0)

    text = seen(adult, PAGE)

    found = re.search(r"reaches 20 mg/L in (\d+) to (\d+) days \((.+?) to (.+?)\)", text)
    assert found, text
    # 8 mg/L at 3.0 a week are 18.7 days; at 3.77 a week, with no plants at all, 14.8
    assert int(found[1]) <= 15
    assert 19 <= int(found[2]) <= 30
    assert found[3].split()[0].endswith("day")
    assert "estimate, not measured" in text.lower()
    assert "10.35 mg" in text
    assert "0.54 mg/L" in text
    share = re.search(r"Plants and others take about (\d+) %, could be (\S+) to (\d+) %", text)
    assert share, text
    assert int(share[2].replace("−", "-")) < 20 < int(share[3])
    assert int(share[1]) in {15, 20, 25}


def test_the_size_of_each_change_is_said_in_percent_liters_and_centimeters(
    known: Record, adult: CheckedClient
) -> None:
    metered(known, 3.0, 6.77, 10.54, 14.31)

    # 7 x 0.539 / (20 - 5) = 25 %, of 85 L 21 L; 78 x 34 cm hold 2.65 L in each cm: 8.0 cm
    said = re.search(r"each change must be (\d+) %, (\d+) L, (\S+) cm of level", seen(adult, PAGE))

    assert said
    assert int(said[1]) == pytest.approx(25, abs=3)
    assert int(said[2]) == pytest.approx(21, abs=3)
    assert float(said[3]) == pytest.approx(8.0, abs=1.0)


def test_a_household_with_gallons_reads_gallons_and_inches(
    known: Record, adult: CheckedClient
) -> None:
    metered(known, 3.0, 6.77, 10.54, 14.31)
    with known.database.writing() as session:
        draft = sites.SiteDraft(
            name="Home", zone="America/New_York", fahrenheit=True, us_gallons=True
        )
        sites.set_site(session, draft)

    text = seen(adult, PAGE)

    assert re.search(r"each change must be \d+ %, \d+\.\d US gal, \S+ cm \(\S+ in\) of level", text)


def test_the_present_habit_settles_below_the_line_or_above_it(
    known: Record, adult: CheckedClient
) -> None:
    # +3.77 a week over tap water of 5: 20.1 before a change of a quarter, 42.7 of a tenth
    for ago in range(1, 4):
        change = NewJob(job=JobKind.WATER_CHANGE, liters_out=21.25)
        known.write(change, at=MONDAY - WEEK * ago + timedelta(hours=1))
    metered(known, 20.1, 20.1, 20.1, 20.1)
    line_at(known, 30.0)

    quarter = seen(adult, PAGE)
    with known.database.writing() as session:
        care_plans.set_plan(session, 1, CarePlan(water_change_days=7, water_change_percent=10.0))
    tenth = seen(adult, PAGE)

    found = re.search(r"settles at (\d+) mg/L, could be .*?; (\d+) mg/L after it", quarter)
    assert found
    assert int(found[1]) == pytest.approx(20, abs=2)
    assert int(found[2]) == pytest.approx(16, abs=2)
    assert "That is below the line: the plan holds it." in quarter
    found = re.search(r"settles at (\d+) mg/L", tenth)
    assert found
    assert int(found[1]) == pytest.approx(43, abs=5)
    assert "That is above the line." in tenth


def test_tap_water_above_the_line_cannot_hold_it(known: Record, adult: CheckedClient) -> None:
    tap(known, Quantity.NITRATE, 22.0)
    metered(known, 23.0, 24.0, 25.0)

    text = seen(adult, PAGE)

    assert "The line cannot be reached with this tap water: it has 22 mg/L itself." in text
    assert "Feed less" in text


def test_kh_lasts_and_settles(known: Record, adult: CheckedClient) -> None:
    tap(known, Quantity.KH, 8.0)
    metered(known, 6.0, quantity=Quantity.KH)

    text = seen(adult, PAGE)

    assert "The filter uses 0.34 °dKH in a week, could be 0.17 to 0.55" in text
    assert "1 °dKH goes every 20.5 days" in text
    assert "With this habit it settles at 6.6 °dKH" in text
    assert re.search(r"KH falls to 2 °dKH in \d+ ", text)


@pytest.mark.parametrize(
    ("quantity", "answer"),
    [(None, "nobody wrote a nitrate test of the last weeks"),
     (Quantity.NITRATE, "the grams of the meals, or three tests")],
)  # fmt: skip
def test_what_is_missing_is_said(
    record: Record, adult: CheckedClient, quantity: Quantity | None, answer: str
) -> None:
    if quantity is not None:
        metered(record, 12.0)

    text = seen(adult, PAGE)

    assert answer in text
    assert "nobody wrote a KH test of the last weeks" in text
    assert "Write down a water test" in text


def test_the_chart_goes_on_as_a_fan_and_its_words_and_table_say_that_nobody_measured(
    known: Record, adult: CheckedClient, helper: CheckedClient
) -> None:
    before = adult.get(CHART)
    metered(known, 3.0, 6.0, 9.0, 12.0)

    for client, page in ((adult, CHART), (adult, PAGE), (helper, CHART)):
        answer = client.get(page)
        text = words_of(answer.text)
        assert 'class="fan"' in answer.text
        assert 'class="forecast"' in answer.text
        assert "what is expected: estimate, not measured" in text
        said = re.search(r"On (\w+ \d+ \w+) it may be (\d+) to (\d+) mg/L, best guess (\d+)", text)
        assert said
        # the last row of the table holds the numbers of the sentence
        assert f"{said[1]} {said[2]} {said[4]} {said[3]}" in text
    assert 'class="fan"' not in before.text
    assert adult.get("/tank/1/charts/ph").text.count('class="fan"') == 0


def test_an_unchanged_fan_is_not_sent_again(known: Record, adult: CheckedClient) -> None:
    metered(known, 3.0, 6.0, 9.0, 12.0)
    tag = adult.get(CHART).headers["ETag"]

    assert adult.get(CHART, headers={"If-None-Match": tag}).status_code == 304
    feed(known, days=1)
    assert adult.get(CHART, headers={"If-None-Match": tag}).status_code == 200


def test_helpers_do_not_open_it(helper: CheckedClient) -> None:
    assert helper.get(PAGE).status_code == 403


@pytest.mark.usefixtures("known")
def test_an_overdue_change_is_said_to_be_counted_as_done(
    adult: CheckedClient, record: Record
) -> None:
    metered(record, 12.0, 15.0, 18.0)
    change = NewJob(job=JobKind.WATER_CHANGE, liters_out=21.0)
    record.write(change, at=MONDAY - 2 * WEEK)

    page = seen(adult, PAGE)

    assert "It is due, and the forecast counts it as done: 25 %" in page
    assert "after it, by the tests." in page


def test_where_the_habit_settles_says_that_it_rests_on_food_alone(
    adult: CheckedClient, known: Record
) -> None:
    metered(known, 18.0)

    assert "after it, by the food alone." in seen(adult, PAGE)
