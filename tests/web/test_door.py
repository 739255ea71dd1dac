"""The door view: what everybody who walks by reads, from far."""

import re
from datetime import UTC, datetime
from pathlib import Path

import pytest

from app.clock import FixedClock
from app.domain.drafts import NewLook, NewMeal
from app.web.today.door import REFRESH_S
from tests.page_checker import CheckedClient
from tests.record import Record
from tests.web.visits import seen, words_of

DOOR = "/tank/1/door"
STYLE = Path(__file__).parents[2] / "static" / "css" / "sheets.css"
# Friday 29 January 2027, 3:10 pm, and Monday 1 February, 8:05 am, in New York
FRIDAY = datetime(2027, 1, 29, 20, 10, tzinfo=UTC)
MONDAY = datetime(2027, 2, 1, 13, 5, tzinfo=UTC)


def test_monday_morning(helper: CheckedClient, record: Record, clock: FixedClock) -> None:
    record.now = FRIDAY
    record.write(NewMeal(scoops=1.0), at=FRIDAY, by=record.otter)
    record.write(NewLook(seen=16, breathing_calm=True), at=FRIDAY, by=record.otter)
    clock.moment = MONDAY

    answer = helper.get(DOOR)
    text = words_of(answer.text)
    assert "NOT FED YET TODAY" in text
    assert "Don’t know Last looked at Friday 3:10 pm, 2 days 17 hours ago." in text
    assert "First: Look at all the fish. Count them." in text
    # on Today to the minute
    assert "Friday 3:10 pm, 2 days 16 h 55 min ago" in seen(helper, "/tank/1/").replace(
        "\u00a0", " "
    )
    assert "missed" not in text
    assert len(re.findall(r"(First|Then): ", text)) <= 3


def test_it_comes_anew_by_itself_and_has_nothing_to_press(
    helper: CheckedClient, adult: CheckedClient
) -> None:
    for client in (helper, adult):
        answer = client.get(DOOR)
        assert answer.headers["Refresh"] == str(REFRESH_S)
        assert "http-equiv" not in answer.text
        for part in ("<button", "<form", 'class="btn', "<nav"):
            assert part not in answer.text
        assert DOOR in client.get("/tank/1/").text
    assert helper.get("/tank/99/door").status_code == 404


@pytest.mark.parametrize("meals", [1, 2])
def test_nobody_is_named(adult: CheckedClient, record: Record, meals: int) -> None:
    for _ in range(meals):
        record.write(NewMeal(scoops=1.0), by=record.finch)
    record.write(NewLook(seen=15), by=record.otter)
    text = adult.get(DOOR).text
    for name in ("Finch", "Otter", record.adult.name):
        assert name not in text
    assert "Finch" in adult.get("/tank/1/").text
    if meals == 1:
        assert "FED 8:41, 1 scoop" in words_of(text)


def test_the_state_is_as_large_as_six_meters_want() -> None:
    style = STYLE.read_text(encoding="utf-8")
    for rule in (".door-water .state-word", ".door-feed", ".door-fed .door-feed"):
        font = rf"^{re.escape(rule)} {{[^}}]*max\([\d.]+rem, ([\d.]+)vw\)"
        size = re.search(font, style, re.MULTILINE)
        assert size, rule
        assert float(size[1]) >= 11.5
