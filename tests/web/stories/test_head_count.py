"""A class counts fewer fish day by day; one is found dead, and the class is told on another day."""

from datetime import timedelta

from app.clock import FixedClock
from app.domain.records import EntryKind
from tests.page_checker import CheckedClient
from tests.record import MONDAY, Record
from tests.web.filling import lines, save, saved_id
from tests.web.visits import csrf_of, seen, words_of

TODAY, LOOK = "/tank/1/", "/tank/1/look"
PAGE, ENTRY = "/tank/1/fish-and-plants", "/tank/1/animals-entry"


def test_a_week_of_counting(
    helper: CheckedClient, adult: CheckedClient, record: Record, clock: FixedClock
) -> None:
    hands = str(record.otter)
    for day, number in enumerate((16, 13, 13, 13)):
        clock.moment = MONDAY + timedelta(days=day)
        assert "Look for 3 fish" not in seen(helper, TODAY)
        saved_id(save(helper, LOOK, seen=str(number), hands=hands))

    # Thursday: nobody is written off, somebody has to look
    came = {"arrived"}
    assert {line.detail.what for line in lines(record, EntryKind.STOCK_EVENT)} == came
    assert "Look for 3 fish" in seen(helper, TODAY)
    assert "Behind the filter, in the plants" in seen(adult, "/tank/1/to-do")

    found = {"group": "1", "what": "died", "count": "1", "private": ["y"]}
    saved_id(save(adult, ENTRY, **found))
    assert "15 expected now" in seen(adult, PAGE)
    assert "We expect 15." in seen(adult, LOOK)
    assert "We expect 16." in seen(helper, LOOK)
    assert "Look for 3 fish" in seen(helper, TODAY)
    assert "Look for 2 fish" in seen(adult, TODAY)

    clock.moment = MONDAY + timedelta(days=4)
    told = {"csrf_token": csrf_of(adult, PAGE)}
    assert adult.post(f"{PAGE}/release", data=told).status_code == 303
    assert "We expect 15." in seen(helper, LOOK)

    many = save(helper, LOOK, seen="17", hands=hands)
    assert many.status_code == 422
    said = "More than the 15 we expect! Babies, or counted twice?"
    assert said in words_of(many.text)
