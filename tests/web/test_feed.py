"""Feeding through the page: fast, once, asked before a second meal, taken back and fixed."""

import threading
from datetime import UTC, datetime, timedelta

import pytest
from flask import Flask

from app.clock import FixedClock
from app.domain.drafts import NewTest
from app.domain.quantities import Quantity
from app.domain.records import EntryKind
from app.services import story, tanks
from app.services.story import StoryLine
from tests.page_checker import CheckedClient
from tests.record import MONDAY, Record, reading
from tests.web.conftest import signed_in
from tests.web.filling import form_on, opened, save, saved_id
from tests.web.visits import seen, words_of

FEED = "/tank/1/feed"
TODAY = "/tank/1/"


def meals(record: Record) -> tuple[StoryLine, ...]:
    with record.database.reading() as session:
        page = story.story(session, record.tank_id, kinds=frozenset({EntryKind.FEEDING}))
    return page.lines


def test_a_meal_with_its_temperature_is_one_post(helper: CheckedClient, record: Record) -> None:
    with record.database.writing() as session:
        tanks.weigh_scoop(session, record.tank_id, 2.4, 20, now=record.now)

    answer = save(helper, FEED, hands=str(record.otter), temperature="24.9")

    assert answer.status_code == 303
    shown = seen(helper, answer.location)
    assert "Fed, 1 scoop (0.12 g)" in shown
    assert "24.9 °C" in shown
    assert "Otter" in shown
    (meal,) = meals(record)
    assert [(r.value, r.typed, r.unit) for r in meal.readings] == [(24.9, "24.9", "°C")]


def test_the_page_is_ready_except_for_the_measurement(
    helper: CheckedClient, record: Record
) -> None:
    save(helper, FEED, hands=str(record.finch), temperature="24.9")

    ready = opened(helper, FEED)

    assert ready["hands"] == str(record.finch)
    assert ready["when"] == "now"
    assert ready["amount"] == "1"
    assert ready["temperature"] == ""


def test_six_taps_are_enough(helper: CheckedClient, record: Record) -> None:
    # from Today: Fed, 2, 4, point, 9, Save; the tile used last is chosen already
    save(helper, FEED, hands=str(record.otter), when="pick", picked="2027-02-05T08:30")
    page = words_of(helper.get(FEED).text)
    ready = opened(helper, FEED)

    assert "Otter" in page
    assert all(ready[name] for name in ("hands", "when", "amount", "token", "csrf_token"))
    assert helper.post(FEED, data=ready | {"temperature": "24.9"}).status_code == 303


def test_the_same_form_posted_again_is_the_same_meal(
    helper: CheckedClient, record: Record, clock: FixedClock
) -> None:
    form = opened(helper, FEED) | {"hands": str(record.otter), "temperature": "24.9"}

    answers = [helper.post(FEED, data=form) for _ in range(3)]
    clock.moment += timedelta(seconds=40)
    answers.append(helper.post(FEED, data=form))

    assert len({saved_id(answer) for answer in answers}) == 1
    assert len(meals(record)) == 1


def test_the_same_form_with_other_values_shows_both_and_asks(
    helper: CheckedClient, record: Record
) -> None:
    form = opened(helper, FEED) | {"hands": str(record.otter), "temperature": "24.9"}
    helper.post(FEED, data=form)

    answer = helper.post(FEED, data=form | {"temperature": "25.4"})

    assert answer.status_code == 409
    shown = words_of(answer.text)
    assert "24.9 °C" in shown
    assert "25.4" in shown
    assert len(meals(record)) == 1

    # "one more" is a fresh form, and so it meets the question about a second meal
    more = helper.post(FEED, data=form_on(answer.text))
    assert "Did food go in again?" in words_of(more.text)
    assert helper.post(FEED, data=form_on(more.text) | {"again": "yes"}).status_code == 303
    assert len(meals(record)) == 2


def test_a_second_meal_is_asked_about_first(
    helper: CheckedClient, record: Record, clock: FixedClock
) -> None:
    save(helper, FEED, hands=str(record.otter))
    clock.moment += timedelta(minutes=3)

    asked = save(helper, FEED, hands=str(record.finch), temperature="24.7")

    assert asked.status_code == 200
    assert "Otter fed 3 minutes ago. Did food go in again?" in words_of(asked.text)
    assert "No, it was the same" in asked.text
    assert len(meals(record)) == 1

    answer = helper.post(FEED, data=form_on(asked.text) | {"again": "yes"})
    assert answer.status_code == 303
    assert [m.hands for m in meals(record)] == ["Finch", "Otter"]
    assert meals(record)[0].readings[0].value == 24.7
    assert "DOUBLE MEAL TODAY" in seen(helper, TODAY)


def test_two_people_in_the_same_second_do_not_both_feed(
    app: Flask, record: Record, clock: FixedClock
) -> None:
    clients = [signed_in(app, record, clock) for _ in range(2)]
    forms = [opened(client, FEED) for client in clients]
    answers: list[int] = []

    def feed(client: CheckedClient, form: dict[str, str]) -> None:
        answers.append(client.post(FEED, data=form).status_code)

    threads = [
        threading.Thread(target=feed, args=pair) for pair in zip(clients, forms, strict=True)
    ]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()

    assert sorted(answers) == [200, 303]
    assert len(meals(record)) == 1


def test_a_day_without_food_asks_in_other_words(
    helper: CheckedClient, record: Record, clock: FixedClock
) -> None:
    clock.moment = MONDAY - timedelta(days=1)

    asked = save(helper, FEED, hands=str(record.otter))

    assert "No food is planned for today. Did food go in?" in words_of(asked.text)
    assert "it was the same" not in asked.text
    assert meals(record) == ()


@pytest.mark.parametrize(
    ("typed", "offer", "kept"),
    [
        ("77", "temperature~77~°F~", (25.0, "77", "°F")),
        ("249", "temperature~24.9~°C~", (24.9, "24.9", "°C")),
    ],
)
def test_an_impossible_temperature_is_held_with_an_offer(
    helper: CheckedClient, record: Record, typed: str, offer: str, kept: tuple[float, str, str]
) -> None:
    held = save(helper, FEED, hands=str(record.otter), temperature=typed)

    assert held.status_code == 422
    assert "Did you mean" in held.text
    assert f'value="{offer}"' in held.text
    assert form_on(held.text)["temperature"] == typed
    assert meals(record) == ()

    answer = helper.post(FEED, data=form_on(held.text) | {"take": offer})
    assert answer.status_code == 303
    (reading,) = meals(record)[0].readings
    assert (round(reading.value or 0, 6), reading.typed, reading.unit) == kept


def test_an_unusual_temperature_asks_for_a_second_look(
    helper: CheckedClient, record: Record
) -> None:
    held = save(helper, FEED, hands=str(record.otter), temperature="15,0")

    assert held.status_code == 422
    assert "Measure once more?" in held.text
    again = helper.post(FEED, data=form_on(held.text) | {"temperature_again": "15.0"})

    assert again.status_code == 303
    (reading,) = meals(record)[0].readings
    assert (reading.value, reading.readers) == (15.0, 2)
    assert "Act" in seen(helper, TODAY)


@pytest.mark.parametrize(
    ("when", "local"),
    [
        ({"when": "morning"}, datetime(2027, 2, 8, 13, 0, tzinfo=UTC)),
        ({"when": "pick", "picked": "2027-02-08T07:30"}, datetime(2027, 2, 8, 12, 30, tzinfo=UTC)),
        ({"when": "pick", "picked": "2027-02-08T08:46"}, datetime(2027, 2, 8, 13, 46, tzinfo=UTC)),
    ],
)
def test_the_time_is_told_in_words(
    helper: CheckedClient, record: Record, when: dict[str, str], local: datetime
) -> None:
    saved_id(save(helper, FEED, hands=str(record.otter), **when))

    (meal,) = meals(record)
    assert meal.happened_at == local
    assert meal.recorded_at == MONDAY


@pytest.mark.parametrize(
    ("picked", "sentence"),
    [
        ("2027-02-08T08:47", "That time has not come yet."),
        ("2027-02-09T08:00", "That time has not come yet."),
        ("0002-01-01T00:00", "Write a year from 1990 to 2199."),
        ("1999-12-31T23:59", "Pick a day from 2000"),
        ("9999-12-31T23:59", "Write a year from 1990 to 2199."),
        ("2099-12-31T23:59", "up to today"),
        ("", "Pick the day and the time."),
        ("next week", "Write day and time"),
    ],
)
def test_a_time_that_cannot_be_is_refused(
    helper: CheckedClient, record: Record, picked: str, sentence: str
) -> None:
    answer = save(helper, FEED, hands=str(record.otter), when="pick", picked=picked)

    assert answer.status_code == 422
    assert sentence in words_of(answer.text)
    assert meals(record) == ()


def test_a_skipped_hour_asks_for_another_time(
    helper: CheckedClient, record: Record, clock: FixedClock
) -> None:
    # the clocks of New York go forward on 14 March 2027 at 2:00 (IANA time zone database)
    clock.moment = datetime(2027, 3, 15, 13, 0, tzinfo=UTC)

    skipped = save(helper, FEED, hands=str(record.otter), when="pick", picked="2027-03-14T02:30")

    assert skipped.status_code == 422
    assert "2:30 did not exist" in words_of(skipped.text)


def test_a_doubled_hour_asks_which_one(
    helper: CheckedClient, record: Record, clock: FixedClock
) -> None:
    # the clocks of New York went back on 1 November 2026 at 2:00 (IANA time zone database)
    clock.moment = datetime(2026, 11, 2, 14, 0, tzinfo=UTC)
    picked = {"when": "pick", "picked": "2026-11-01T01:30", "hands": str(record.otter)}

    asked = save(helper, FEED, **picked)
    assert asked.status_code == 422
    assert "this time came twice" in words_of(asked.text)

    for turn in ("first", "second"):
        question = helper.post(FEED, data=opened(helper, FEED) | picked | {"turn": turn})
        helper.post(FEED, data=form_on(question.text) | {"again": "yes"})

    assert [m.happened_at.hour for m in meals(record)] == [6, 5]


def test_undo_within_twenty_seconds(
    helper: CheckedClient, record: Record, clock: FixedClock
) -> None:
    entry_id = saved_id(save(helper, FEED, hands=str(record.otter)))
    csrf = opened(helper, FEED)["csrf_token"]
    clock.moment += timedelta(seconds=15)

    answer = helper.post(f"/tank/1/entry/{entry_id}/undo", data={"csrf_token": csrf})

    assert answer.status_code == 303
    assert "NOT FED" in seen(helper, TODAY)
    assert [m.status.value for m in meals(record)] == ["withdrawn"]


def test_after_twenty_seconds_a_helper_fixes_and_after_ten_minutes_asks(
    helper: CheckedClient, record: Record, clock: FixedClock
) -> None:
    entry_id = saved_id(save(helper, FEED, hands=str(record.otter), temperature="24.9"))
    csrf = opened(helper, FEED)["csrf_token"]
    fix = f"/tank/1/entry/{entry_id}/fix"

    clock.moment = MONDAY + timedelta(seconds=25)
    late = helper.post(f"/tank/1/entry/{entry_id}/undo", data={"csrf_token": csrf})
    assert late.status_code == 403
    clock.moment = MONDAY + timedelta(minutes=9)
    fixed = save(helper, fix, reason="misread", temperature="24.4")
    assert fixed.status_code == 303

    clock.moment = MONDAY + timedelta(minutes=20)
    refused = helper.get(f"/tank/1/entry/{saved_id(fixed)}/fix")
    assert refused.status_code == 403
    assert "Ask the grown-up in charge" in words_of(refused.text)
    assert [(m.status.value, m.reason) for m in meals(record)] == [
        ("ok", "misread"),
        ("corrected", ""),
    ]


def test_other_food_and_more_scoops_need_to_be_told(helper: CheckedClient, record: Record) -> None:
    hands = str(record.otter)
    assert save(helper, FEED, hands=hands, amount="words").status_code == 422
    assert save(helper, FEED, hands=hands, amount="more").status_code == 422
    assert save(helper, FEED, hands=hands, amount="more", scoops="x").status_code == 422
    assert save(helper, FEED, hands="", amount="1").status_code == 422
    assert save(helper, FEED, hands="999", amount="1").status_code == 422
    assert meals(record) == ()

    saved_id(save(helper, FEED, hands=hands, amount="words", amount_words="2 pea halves"))
    assert "2 pea halves" in meals(record)[0].title


def test_a_meal_is_asked_about_while_the_water_forbids_one(
    helper: CheckedClient, record: Record
) -> None:
    record.write(NewTest(), reading(Quantity.NITRITE, 0.5))

    asked = save(helper, FEED, hands=str(record.otter))
    assert "Nitrite is too high. No food was meant to go in." in words_of(asked.text)
    assert meals(record) == ()
    assert save(helper, FEED, hands=str(record.otter), again="yes").status_code == 303
    assert len(meals(record)) == 1
