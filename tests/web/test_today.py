"""Today: may we feed, is it calm, what first. Monday 8 February 2027, 8:41 at the school."""

from datetime import UTC, datetime, timedelta

import pytest

from app.clock import FixedClock
from app.domain.drafts import NewJob, NewLook, NewMeal, NewTest
from app.domain.quantities import Quantity
from app.domain.records import JobKind, Rinse, Treated
from app.services import sites
from tests.page_checker import CheckedClient
from tests.record import ALL_FINE, MONDAY, ONE_SCOOP, Record, reading
from tests.web.test_access import add_tank
from tests.web.visits import csrf_of, fields_of, seen, words_of

FRIDAY = datetime(2027, 2, 5, 20, 10, tzinfo=UTC)  # 3:10 pm


def write_usual_life(record: Record) -> None:
    """Two weeks of meals on school days, a water change on Friday, a rinse before that."""
    for days in range(1, 15):
        at = MONDAY - timedelta(days=days)
        if at.weekday() < 5:
            record.write(ONE_SCOOP, at=at, by=record.finch)
    change = NewJob(job=JobKind.WATER_CHANGE, liters_out=21.0, liters_in=21.0, treated=Treated.YES)
    record.write(change, at=MONDAY - timedelta(days=3))
    record.write(NewJob(job=JobKind.FILTER_RINSE, rinse=Rinse.TANK), at=MONDAY - timedelta(days=10))
    record.write_checks(MONDAY - timedelta(days=5))


def write_all_tests(record: Record, at: datetime, nitrate_at: datetime | None = None) -> None:
    """All that matters, inside the range, with card steps where a card is used."""
    nitrate = reading(Quantity.NITRATE, 10.0, low=5.0, high=20.0)
    record.write(NewTest(), nitrate, at=nitrate_at or at)
    record.write(
        NewTest(),
        reading(Quantity.PH, 7.2),
        reading(Quantity.AMMONIA, 0.0),
        reading(Quantity.NITRITE, 0.0),
        at=at,
    )


def test_before_the_meal_it_says_not_fed_and_leads_there(adult: CheckedClient) -> None:
    answer = adult.get("/tank/1/")
    assert "NOT FED YET TODAY" in words_of(answer.text)
    assert 'class="btn btn-first" href="/tank/1/feed"' in answer.text


def test_after_the_meal_it_says_who_and_when(adult: CheckedClient, record: Record) -> None:
    record.write(ONE_SCOOP, by=record.otter)
    text = seen(adult, "/tank/1/")
    assert "FED 8:41, Otter, 1 scoop" in text
    assert "NOT FED" not in text
    assert "Feed now" not in text


def test_on_a_day_without_food_it_says_so(adult: CheckedClient, clock: FixedClock) -> None:
    clock.moment = MONDAY + timedelta(days=5)
    text = seen(adult, "/tank/1/")
    assert "NO FOOD TODAY" in text
    assert "No more food until Monday." in text


def test_two_meals_stand_there_in_words(adult: CheckedClient, record: Record) -> None:
    record.write(ONE_SCOOP, by=record.otter)
    record.write(ONE_SCOOP, by=record.finch)
    assert "DOUBLE MEAL TODAY" in seen(adult, "/tank/1/")


def test_monday_after_a_weekend_is_dont_know_and_nothing_is_missing(
    adult: CheckedClient, record: Record, clock: FixedClock
) -> None:
    write_usual_life(record)
    record.write(ALL_FINE, at=FRIDAY, by=record.otter)
    clock.moment = datetime(2027, 2, 8, 13, 5, tzinfo=UTC)
    text = seen(adult, "/tank/1/")
    assert "Don’t know" in text
    assert "Friday 3:10 pm" in text
    assert "2 days 16 h 55 min" in text
    assert "No meal is written" not in text
    assert text.index("Look and count") < text.index("Readings")


def test_after_a_look_and_fresh_tests_the_tank_is_steady(
    adult: CheckedClient, record: Record
) -> None:
    write_usual_life(record)
    write_all_tests(record, MONDAY - timedelta(days=3))
    record.write(ALL_FINE, reading(Quantity.TEMPERATURE, 24.6))
    answer = adult.get("/tank/1/")
    assert "surface-steady" in answer.text
    assert "Steady All calm." in words_of(answer.text)


def test_an_old_nitrate_test_alone_makes_it_watch(adult: CheckedClient, record: Record) -> None:
    write_usual_life(record)
    write_all_tests(record, MONDAY - timedelta(days=3), nitrate_at=MONDAY - timedelta(days=17))
    record.write(ALL_FINE, reading(Quantity.TEMPERATURE, 24.6))
    answer = adult.get("/tank/1/")
    assert "surface-watch" in answer.text
    assert "Tested 17 days ago. It kept 14 days. Now: don’t know." in words_of(answer.text)


@pytest.mark.parametrize(
    ("left", "said"),
    [
        (timedelta(minutes=1), "Keeps less than an hour"),
        (timedelta(minutes=-1), "It kept 14 days. Now: don’t know."),
    ],
)
def test_a_reading_past_its_shelf_life_says_dont_know(
    adult: CheckedClient, record: Record, clock: FixedClock, left: timedelta, said: str
) -> None:
    record.write(NewTest(), reading(Quantity.NITRATE, 10.0))
    clock.moment = MONDAY + timedelta(days=14) - left
    answer = adult.get("/tank/1/")
    assert said in words_of(answer.text)
    assert ("reading-gone" in answer.text) == (left < timedelta(0))


def test_a_card_reading_is_shown_as_what_it_could_be(adult: CheckedClient, record: Record) -> None:
    record.write(
        NewTest(),
        reading(Quantity.NITRATE, 20.0, low=10.0, high=40.0, typed="20"),
    )
    text = seen(adult, "/tank/1/")
    assert "Nitrate 10 – 40 mg/L the card said 20 mg/L, as nitrate" in text


def test_a_site_that_reads_fahrenheit_gets_it(adult: CheckedClient, record: Record) -> None:
    record.write(ONE_SCOOP, reading(Quantity.TEMPERATURE, 25.0))
    with record.database.writing() as session:
        draft = sites.SiteDraft(name="Hill School", zone="America/New_York", fahrenheit=True)
        sites.set_site(session, draft)
    assert "77.0 °F" in seen(adult, "/tank/1/")


def test_what_was_never_measured_is_named_and_not_drawn(
    adult: CheckedClient, record: Record
) -> None:
    record.write(ONE_SCOOP, reading(Quantity.TEMPERATURE, 24.9))
    text = seen(adult, "/tank/1/")
    assert "Not written yet: Fish counted, Ammonia (total), Nitrite, Nitrate, pH." in text


def test_the_saved_line_stays_with_undo_and_fix(adult: CheckedClient, record: Record) -> None:
    saved = record.write(ONE_SCOOP, reading(Quantity.TEMPERATURE, 24.9), by=record.otter)
    answer = adult.get(f"/tank/1/?saved={saved.entry_id}")
    text = words_of(answer.text)
    assert "Saved. Fed, 1 scoop · Temperature 24.9 °C · Otter Undo Fix" in text
    assert f'action="/tank/1/entry/{saved.entry_id}/undo"' in answer.text
    assert f'href="/tank/1/entry/{saved.entry_id}/fix"' in answer.text


@pytest.mark.parametrize(
    ("seconds", "undo", "fix"), [(20, True, True), (21, False, True), (601, False, False)]
)
def test_helpers_undo_for_20_seconds_and_fix_for_10_minutes(
    helper: CheckedClient,
    record: Record,
    clock: FixedClock,
    *,
    seconds: int,
    undo: bool,
    fix: bool,
) -> None:
    saved = record.write(ONE_SCOOP, by=record.otter)
    clock.moment = record.now + timedelta(seconds=seconds)
    html = helper.get(f"/tank/1/?saved={saved.entry_id}").text
    assert (">Undo</button>" in html) == undo
    assert (">Fix</a>" in html) == fix
    assert ">Entry</a>" not in html


def test_a_saved_line_of_another_tank_is_not_shown(adult: CheckedClient) -> None:
    assert "Saved." not in seen(adult, "/tank/1/?saved=99999")
    assert "Saved." not in seen(adult, "/tank/1/?saved=x")


def test_undo_beside_the_saved_line_takes_the_meal_back(
    adult: CheckedClient, record: Record
) -> None:
    saved = record.write(ONE_SCOOP)
    url = f"/tank/1/?saved={saved.entry_id}"
    data = {"csrf_token": csrf_of(adult, url)}
    assert adult.post(f"/tank/1/entry/{saved.entry_id}/undo", data=data).status_code == 303
    text = seen(adult, "/tank/1/")
    assert "NOT FED YET TODAY" in text
    assert "Taken back" in text
    # the old address no longer offers what is done
    assert "Undo" not in seen(adult, url)


def test_feeding_takes_six_taps_and_two_pages(adult: CheckedClient) -> None:
    """Feed now, 2, 4, ., 9, Save: nothing but the temperature has to be typed."""
    today = adult.get("/tank/1/").text
    assert 'href="/tank/1/feed"' in today
    form = adult.get("/tank/1/feed").text
    fields = fields_of(form)
    assert fields["temperature"] == ""
    answer = adult.post("/tank/1/feed", data=fields | {"temperature": "24.9"})
    assert answer.status_code == 303
    text = seen(adult, answer.location)
    assert "Saved. Fed, 1 scoop · Temperature 24.9 °C" in text


def test_helpers_read_why_on_the_spot(helper: CheckedClient) -> None:
    html = helper.get("/tank/1/").text
    assert "<summary>Why?</summary>" in html
    assert "What clears it" in html
    assert "/to-do" not in html


def test_no_name_stands_near_a_slip_on_a_helpers_page(
    helper: CheckedClient, adult: CheckedClient, record: Record
) -> None:
    high = reading(Quantity.PH, 8.8)
    record.write(NewTest(), high, reading(Quantity.AMMONIA, 1.0), by=record.finch)
    assert "Finch" in seen(adult, "/tank/1/")
    assert "Finch" not in seen(helper, "/tank/1/")


def test_the_door_view_has_no_buttons_and_says_what_is_first(
    helper: CheckedClient, record: Record
) -> None:
    write_usual_life(record)
    record.write(NewLook(seen=16, breathing_calm=True), at=FRIDAY, by=record.otter)
    answer = helper.get("/tank/1/door")
    text = words_of(answer.text)
    assert "NOT FED YET TODAY" in text
    assert "Don’t know" in text
    assert "First: Look at all the fish." in text
    assert "<button" not in answer.text
    assert 'class="btn' not in answer.text


@pytest.mark.parametrize(
    ("meals", "said"), [(0, "NOT FED"), (1, "FED 8:41"), (2, "FED TWICE NO MORE FOOD")]
)
def test_the_door_view_answers_for_every_meal(
    adult: CheckedClient, record: Record, meals: int, said: str
) -> None:
    for _ in range(meals):
        record.write(NewMeal(scoops=1.0))
    assert said in seen(adult, "/tank/1/door")


def test_an_empty_tank_says_what_starts_it(adult: CheckedClient, record: Record) -> None:
    text = seen(adult, f"/tank/{add_tank(record, 'Pool')}/")
    assert "Nothing is measured yet" in text
    assert "Don’t know" in text
