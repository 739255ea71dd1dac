"""The hand-over pack for given days, and what it was like afterwards."""

from datetime import timedelta

import pytest

from app.clock import FixedClock
from app.domain.drafts import NewJob, NewLook, NewStockEvent, NewTest
from app.domain.quantities import Quantity
from app.domain.records import JobKind, StockEventKind
from app.services import tanks
from tests.page_checker import CheckedClient
from tests.record import ALL_FINE, ONE_SCOOP, Record, reading
from tests.web.guest.linking import SITTER, made
from tests.web.visits import seen, words_of

PACK = "/tank/1/share/hand-over"
DAYS = "?person={}&first=2027-02-13&last=2027-02-21"
DAY = timedelta(days=1)


@pytest.fixture(autouse=True)
def weeks(record: Record, clock: FixedClock) -> None:
    """Three weeks of a class: fed and looked at on school days, up to Friday 12 February."""
    friday = clock.now() + 4 * DAY
    for back in range(20, -1, -1):
        at = friday - back * DAY
        record.now = clock.moment = at
        if at.weekday() < 5:
            record.write(ONE_SCOOP, reading(Quantity.TEMPERATURE, 24.0 + back % 3 / 2), at=at)
            record.write(ALL_FINE, at=at)
        if back % 7 == 0:
            record.write(NewTest(), reading(Quantity.NITRATE, 10.0 + back / 7), at=at)
            record.write_checks(at)


@pytest.mark.parametrize(
    ("person", "says", "silent"),
    [
        (
            "sitter",
            [
                "Sat 13 Feb Feed 1 scoop, then look",
                "is not for a sitter",
                "Nothing goes into the water but the food of the day.",
            ],
            ["Equipment", "the tin of food", "packet"],
        ),
        (
            "substitute",
            ["Sun 14 Feb Nobody is meant to come", "Mon 15 Feb Feed 1 scoop, then look"],
            ["Equipment"],
        ),
        ("technician", ["Comes due, if nothing is done before"], ["is not for", "leave alone"]),
        ("teacher", ["Comes due, if nothing is done before"], ["is not for"]),
    ],
)
def test_a_pack_is_made_for_the_person(
    adult: CheckedClient, person: str, says: list[str], silent: list[str]
) -> None:
    page = seen(adult, PACK + DAYS.format(person))

    assert "Saturday 13 February 2027 to Sunday 21 February 2027" in page
    assert "Temperature 24.0 to 25.0 °C (15 readings)" in page
    assert "Nitrate 10 to 12 mg/L (as nitrate) (3 readings)" in page
    assert "Animals 16 seen, 16 expected (15 counts)" in page
    assert [text for text in says if text not in page] == []
    paper = page[page.index("The paper") :]
    assert [text for text in silent if text in paper] == []


def test_a_job_stands_on_the_first_day_on_which_its_rule_asks(
    adult: CheckedClient, record: Record
) -> None:
    record.write(NewJob(job=JobKind.WATER_CHANGE, liters_out=21.3, liters_in=21.3))
    page = seen(adult, PACK + DAYS.format("technician"))

    # the plan changes a quarter of 85 L every 7 days, the last time on Friday 12 February
    assert "Fri 19 Feb Change 21 L, 25 %" in page
    assert "Thu 18 Feb Change" not in page


def test_packets_of_the_sitters_link_stand_in_the_pack(adult: CheckedClient) -> None:
    made(adult, SITTER, first_day="2027-02-13", last_day="2027-02-21", scoops="1")
    page = seen(adult, PACK + DAYS.format("sitter"))

    assert "Sun 14 Feb Packet 1, then look" in page
    assert "Sat 13 Feb No food, look only" in page


@pytest.mark.parametrize(
    ("address", "said"),
    [
        ("?person=sitter&first=2027-02-21&last=2027-02-13", "The last day lies before the first."),
        ("?person=sitter&first=2027-02-13&last=2027-03-20", "Choose 31 days at most."),
        ("?person=nobody&first=2027-02-13&last=2027-02-15", "Choose who takes over."),
        ("?person=sitter&first=soon&last=2027-02-15", "Write the day as year-month-day"),
    ],
)
def test_days_that_cannot_be(adult: CheckedClient, address: str, said: str) -> None:
    answer = adult.get(PACK + address)
    assert answer.status_code == 422
    assert said in words_of(answer.text)


def test_coming_home(adult: CheckedClient, record: Record, clock: FixedClock) -> None:
    debrief = "/tank/1/share/debrief?first=2027-02-13&last=2027-02-21"
    with record.database.writing() as session:
        tanks.weigh_scoop(session, 1, 2.4, 20, now=clock.now())
    made(adult, SITTER, first_day="2027-02-13", last_day="2027-02-21", scoops="1")
    assert "These days are not over yet." in seen(adult, debrief)

    for days in (2, 4, 9):
        at = clock.now() + days * DAY
        record.now = at
        record.write(NewLook(seen=16), reading(Quantity.TEMPERATURE, 21.0 + days), at=at)
    record.write(NewStockEvent(what=StockEventKind.DIED, group_id=1, count=1), at=record.now)
    clock.moment = record.now = clock.now() + 10 * DAY
    record.write(NewTest(), reading(Quantity.NITRATE, 60.0))
    page = seen(adult, debrief)

    assert "Days with a look 9 days 3 days" in page
    assert "Packets 4 packets 0 ticked, 4 left not as expected" in page
    assert "23.0 to 30.0 °C not as expected" in page
    assert "Losses none 1 harlequin rasbora died not as expected" in page
    assert "Nitrate, on return" in page
    assert "Are all animals there? Count them." in page
