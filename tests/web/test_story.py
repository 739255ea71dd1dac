"""The story: newest first, nothing erased, gaps named, late entries marked."""

import re
from datetime import UTC, datetime, timedelta

import pytest

from app.clock import FixedClock
from app.domain.drafts import NewMeal, NewTest
from app.domain.quantities import Quantity
from app.services import entries
from app.web.story.pages import key_from, key_text
from tests.page_checker import CheckedClient
from tests.record import ALL_FINE, MONDAY, ONE_SCOOP, Record, reading
from tests.web.visits import csrf_of, seen, words_of

FRIDAY = datetime(2027, 2, 5, 20, 10, tzinfo=UTC)


def correct_ph(record: Record) -> tuple[int, int]:
    """8.8 was misread and becomes 6.8; returns the old and the new entry."""
    old = record.write(NewTest(), reading(Quantity.PH, 8.8), by=record.finch)
    with record.database.writing() as session:
        new = entries.correct(
            session, record.stamp(), old.entry_id, NewTest(), (reading(Quantity.PH, 6.8),),
            reason="misread", visitor=record.adult, now=record.now,
        )  # fmt: skip
    return old.entry_id, new.entry_id


def test_the_newest_entry_comes_first(adult: CheckedClient, record: Record) -> None:
    record.write(ALL_FINE, at=FRIDAY)
    record.write(ONE_SCOOP, by=record.otter)
    text = seen(adult, "/tank/1/story")
    assert text.index("Fed, 1 scoop") < text.index("16 of 16 seen")
    assert text.index("Monday 8 February") < text.index("Friday 5 February")


def test_a_weekend_is_a_gap_and_nothing_is_missing(adult: CheckedClient, record: Record) -> None:
    record.write(ALL_FINE, at=FRIDAY)
    record.write(ONE_SCOOP)
    text = seen(adult, "/tank/1/story")
    assert "Weekend 2 days 17 h 31 min between two entries Nobody was meant to come." in text


def test_days_on_which_somebody_comes_are_another_gap(adult: CheckedClient, record: Record) -> None:
    record.write(ALL_FINE, at=MONDAY - timedelta(days=5))
    record.write(ONE_SCOOP)
    text = seen(adult, "/tank/1/story")
    assert "Thu 4 Feb to Sun 7 Feb" in text
    assert "Nothing is written." in text


def test_a_filter_shows_its_kinds_and_no_gaps(adult: CheckedClient, record: Record) -> None:
    record.write(ALL_FINE, at=FRIDAY)
    record.write(ONE_SCOOP)
    text = seen(adult, "/tank/1/story?kind=food")
    assert "Fed, 1 scoop" in text
    assert "16 of 16 seen" not in text
    assert "Nobody was meant to come" not in text


def test_a_correction_stands_beside_what_it_replaced(adult: CheckedClient, record: Record) -> None:
    old, new = correct_ph(record)
    html = adult.get("/tank/1/story").text
    assert "<del>pH 8.8</del>" in html
    text = words_of(html)
    assert "pH 6.8 Corrected: misread" in text
    assert "1 correction" in text
    for entry_id in (old, new):
        history = seen(adult, f"/tank/1/entry/{entry_id}")
        assert "History" in history
        assert history.index("pH 8.8") < history.index("pH 6.8") or entry_id == new


def test_what_was_replaced_offers_no_second_correction(
    adult: CheckedClient, record: Record
) -> None:
    old, new = correct_ph(record)
    assert "Fix" not in adult.get(f"/tank/1/entry/{old}").text
    assert "Fix" in adult.get(f"/tank/1/entry/{new}").text


def test_an_entry_taken_back_stays_struck_through(adult: CheckedClient, record: Record) -> None:
    saved = record.write(ONE_SCOOP)
    url = f"/tank/1/entry/{saved.entry_id}"
    answer = adult.post(f"{url}/undo", data={"csrf_token": csrf_of(adult, url)})
    assert answer.status_code == 303
    html = adult.get("/tank/1/story").text
    assert "<del><a" in html
    assert "Taken back" in html
    assert "Take it back" not in adult.get(url).text


def test_a_late_entry_stands_on_its_day_and_says_when_it_was_added(
    adult: CheckedClient, record: Record
) -> None:
    saturday = datetime(2027, 2, 6, 15, 0, tzinfo=UTC)
    saved = record.write(ONE_SCOOP, at=saturday)
    text = seen(adult, "/tank/1/story")
    assert "Saturday 6 February" in text
    assert "added Mon 8:41 am" in text
    assert "Last fed Saturday 10:00 am" in seen(adult, "/tank/1/")
    assert "Written down today 8:41 am" in seen(adult, f"/tank/1/entry/{saved.entry_id}")


def test_what_was_typed_stands_beside_the_kept_value(adult: CheckedClient, record: Record) -> None:
    warm = reading(Quantity.TEMPERATURE, 25.0, typed="77")
    saved = record.write(ONE_SCOOP, warm)
    text = seen(adult, f"/tank/1/entry/{saved.entry_id}")
    assert "Temperature 25.0 °C" in text
    assert "Temperature as typed 77" in text


def test_pages_hang_together_without_doubles_or_holes(adult: CheckedClient, record: Record) -> None:
    for number in range(90):
        # several entries share a moment: the key must tell them apart
        record.write(NewMeal(scoops=number + 1.0), at=MONDAY - timedelta(minutes=number // 3))
    titles: list[str] = []
    url = "/tank/1/story?kind=food"
    for _ in range(4):
        html = adult.get(url).text
        titles += [f"Fed, {n} scoop" for n in _amounts(html)]
        if "Older entries" not in html:
            break
        url = html.split('class="btn btn-plain" href="')[1].split('"')[0].replace("&amp;", "&")
    assert len(titles) == len(set(titles)) == 90


def _amounts(html: str) -> list[str]:
    return re.findall(r"Fed, (\d+) scoop", words_of(html))


@pytest.mark.parametrize(
    "text", ["", "x", "2027-02-08T00:00:00.0~", "~1", "2027-13-01T00:00:00.0~1"]
)
def test_a_broken_page_key_is_no_page(adult: CheckedClient, text: str) -> None:
    assert key_from(text) is None
    assert adult.get(f"/tank/1/story?before={text}").status_code == 404


def test_a_page_key_survives_the_address() -> None:
    moment = datetime(2027, 2, 8, 13, 41, 59, 123456, tzinfo=UTC)
    assert key_from(key_text((moment, 7))) == (moment, 7)


def test_an_entry_of_another_tank_is_not_there(adult: CheckedClient, record: Record) -> None:
    saved = record.write(ONE_SCOOP)
    assert adult.get(f"/tank/2/entry/{saved.entry_id}").status_code == 404
    assert adult.get("/tank/1/entry/99999").status_code == 404


def test_last_year_names_its_year(adult: CheckedClient, record: Record, clock: FixedClock) -> None:
    record.write(ONE_SCOOP, at=datetime(2026, 12, 18, 14, 0, tzinfo=UTC))
    assert "Friday 18 December 2026" in seen(adult, "/tank/1/story")


def test_notes_are_text_and_nothing_else(adult: CheckedClient, record: Record) -> None:
    planted = '"><script>alert(1)</script>{{ 7 * 7 }}'
    saved = record.write(NewTest(note=planted), reading(Quantity.PH, 7.0))
    number = saved.entry_id
    for url in ("/tank/1/story", f"/tank/1/entry/{number}", f"/tank/1/?saved={number}"):
        html = adult.get(url).text
        assert "<script>alert" not in html
        assert "{{ 7 * 7 }}" in html
