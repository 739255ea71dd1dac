"""A sitter's two weeks, from 3 to 16 July 2027: packets on the days 2, 4 ... 14 of 0.12 g each."""

import io
from datetime import UTC, datetime, timedelta

import pytest
from flask import Flask
from PIL import Image

from app.clock import FixedClock
from app.domain.drafts import NewLook
from app.domain.quantities import Quantity
from app.domain.records import EntryKind, Sign
from app.services import entries, photos, sites, tanks, tasks
from app.services.papers import texts
from app.services.photos import PhotoState
from app.services.sites import SiteDraft
from tests.page_checker import CheckedClient
from tests.record import ONE_SCOOP, ZONE, Record
from tests.web.filling import lines, opened, save
from tests.web.guest.linking import SITTER, guest, made
from tests.web.visits import seen, words_of

# the first day of the stay, 9 in the morning in New York
FIRST = datetime(2027, 7, 3, 13, 0, tzinfo=UTC)
DAY = timedelta(days=1)
Case = tuple[str, str, Sign | None, str]
STAY = {"label": "Summer", "first_day": "2027-07-03", "last_day": "2027-07-16", "scoops": "1"}


@pytest.fixture
def path(adult: CheckedClient, record: Record, clock: FixedClock) -> str:
    """The sitter's link; the scoop holds 0.12 g, and the vet's number is written."""
    with record.database.writing() as session:
        tanks.weigh_scoop(session, 1, 2.4, 20, now=clock.now())
        texts.keep_of_tank(session, 1, {"vet": "555-0177", "packets": "top drawer"})
    return made(adult, SITTER, **STAY)


def on_day(clock: FixedClock, number: int) -> None:
    clock.moment = FIRST + DAY * (number - 1)


def test_seven_packets_and_what_they_weigh(adult: CheckedClient, path: str) -> None:
    # worked out by hand: 14 days, every second from the second on, 7 times 0.12 g
    page = seen(adult, "/tank/1/share/sitter/1")

    assert path
    assert "7 packets of 1 scoop, 0.12 g, 0.84 g in all" in page
    assert "Sunday 4 July: 1 scoop, 0.12 g" in page
    assert "Friday 16 July" in page


def test_what_each_day_says(app: Flask, path: str, clock: FixedClock) -> None:
    sitter = guest(app)
    on_day(clock, 5)
    fifth = seen(sitter, path)
    assert "Day 5 of 14" in fifth
    assert "No packet today" in fifth

    on_day(clock, 4)
    assert "Give packet 2." in seen(sitter, path)
    answer = save(sitter, path, given="y", found="fine", temperature="24.6")
    assert "Written down" in seen(sitter, answer.location)
    assert "Packet 2 is already ticked. Skip today." in seen(sitter, path)

    on_day(clock, 8)  # nobody came on day 6
    eighth = seen(sitter, path)
    assert "Give packet 4." in eighth
    assert "One packet only." in eighth


def test_a_packet_is_ticked_once(app: Flask, path: str, record: Record, clock: FixedClock) -> None:
    sitter, other = guest(app), guest(app)
    on_day(clock, 4)
    first = opened(sitter, path) | {"given": "y", "found": "fine"}
    second = opened(other, path) | {"given": "y", "found": "fine"}
    for _ in range(3):  # a wet finger, then a reload
        assert sitter.post(path, data=first).status_code == 303
    late = other.post(path, data=second)

    assert late.status_code == 422
    assert "Packet 2 is already ticked. Skip today." in words_of(late.text)
    meals = lines(record, EntryKind.FEEDING)
    assert [(m.title.replace("\u00a0", " "), m.author) for m in meals] == [
        ("Fed, 1 scoop (0.12 g)", "Sitter’s link")
    ]
    assert len(lines(record, EntryKind.OBSERVATION)) == 1


@pytest.mark.parametrize(
    ("typed", "is_outside"), [("24.6", False), ("28", False), ("28.4", True), ("22.5", True)]
)
def test_nobody_is_told_that_all_is_fine_with_water_outside_the_range(
    app: Flask, path: str, clock: FixedClock, typed: str, is_outside: bool
) -> None:
    on_day(clock, 5)
    sitter = guest(app)
    assert "between 23.0 and 28.0" in seen(sitter, path)
    told = seen(sitter, save(sitter, path, found="fine", temperature=typed).location)

    assert ("Add nothing, and call the first number." in told) is is_outside
    assert ("Doing nothing more is right." in told) is not is_outside


def test_a_sitter_who_reads_a_warm_thermometer_finds_what_to_do(
    app: Flask, path: str, record: Record, clock: FixedClock
) -> None:
    on_day(clock, 5)
    sitter = guest(app)
    page = seen(sitter, f"{path}/odd")
    assert "The water is too warm or too cold" in page
    assert "Too warm is over 28.0 °C. Too cold is under 23.0 °C." in page
    assert "Give no packet. Put in no ice and no hot water." in page

    answer = save(sitter, f"{path}/odd", card="warmth")
    assert "Written down: The water is too warm or too cold." in seen(sitter, answer.location)
    (look,) = lines(record, EntryKind.OBSERVATION)
    assert look.lines == ("The water was called too warm or too cold.",)


def test_a_meal_that_somebody_else_gave_counts(
    app: Flask, path: str, record: Record, clock: FixedClock
) -> None:
    on_day(clock, 4)
    record.now = clock.now()
    record.write(ONE_SCOOP)

    assert "Food went in already. No packet today." in seen(guest(app), path)


def test_no_packet_while_the_tank_speaks_against_food(
    app: Flask, path: str, record: Record, clock: FixedClock
) -> None:
    on_day(clock, 4)
    record.now = clock.now()
    sitter = guest(app)
    form = opened(sitter, path) | {"given": "y", "found": "fine"}
    record.write(NewLook(signs=(Sign.GASPING,)))

    assert "No packet today: " in seen(sitter, path)
    refused = sitter.post(path, data=form)
    assert refused.status_code == 422
    assert lines(record, EntryKind.FEEDING) == ()


def test_a_packet_taken_back_may_be_given(
    app: Flask, path: str, record: Record, clock: FixedClock
) -> None:
    sitter = guest(app)
    on_day(clock, 4)
    save(sitter, path, given="y", found="fine")
    meal = lines(record, EntryKind.FEEDING)[0]
    with record.database.writing() as session:
        entries.withdraw(session, 1, meal.entry_id, visitor=record.adult, now=clock.now())
    assert "Give packet 2." in seen(sitter, path)
    assert save(sitter, path, given="y", found="fine").status_code == 303
    assert "Packet 2 is already ticked" in seen(sitter, path)


def test_the_days_are_those_of_the_tank(app: Flask, path: str, clock: FixedClock) -> None:
    sitter = guest(app)
    # an hour before midnight in New York it is the next day in London
    clock.moment = datetime(2027, 7, 3, 3, 0, tzinfo=UTC)
    assert sitter.get(path).status_code == 404
    clock.moment = datetime(2027, 7, 17, 3, 30, tzinfo=UTC)
    assert "Day 14 of 14" in seen(sitter, path)
    clock.moment = datetime(2027, 7, 17, 4, 0, tzinfo=UTC)
    assert sitter.get(path).status_code == 404


def test_every_question_of_the_visit_is_answered(app: Flask, path: str, clock: FixedClock) -> None:
    on_day(clock, 1)
    page = seen(guest(app), path)

    for text in (
        "Is the thermometer between", "10 harlequin rasbora, in the middle",
        "6 peppered cory, on the bottom", "Small fish hide", "All fine", "Something is odd",
        "I need help now", "555-0177", "top drawer", "Please leave alone",
        "New York time",
        "Saturday 3 July 2027, 9:00 am",
    ):  # fmt: skip
        assert text in page


@pytest.mark.parametrize(
    "case",
    [
        ("odd", "fewer", None, "Do nothing, and that is right."),
        ("odd", "cloudy", Sign.CLOUDY, "Give no packet. Add nothing."),
        ("help", "leak", Sign.LEAK, "Touch no plug."),
        ("help", "gasping", Sign.GASPING, "Water and power"),
    ],
)
def test_what_is_odd_opens_four_pictures(
    app: Flask, path: str, record: Record, clock: FixedClock, case: Case
) -> None:
    found, card, sign, says = case
    on_day(clock, 1)
    sitter = guest(app)
    answer = save(sitter, path, found=found)
    page = sitter.get(answer.location)
    assert page.text.count('name="card"') == (5 if found == "odd" else 4)
    assert says in words_of(page.text)
    assert "555-0177" in page.text

    assert save(sitter, answer.location, card=card).status_code == 303
    with record.database.reading() as session:
        looks = tasks.snapshot_of(session, 1, now=clock.now()).observations
    assert looks[-2].signs == (Sign.OTHER,)
    assert looks[-1].signs == (() if sign is None else (sign,))


def test_a_slip_of_the_thermometer_is_asked_about(
    app: Flask, path: str, record: Record, clock: FixedClock
) -> None:
    on_day(clock, 1)
    sitter = guest(app)
    held = save(sitter, path, found="fine", temperature="77")
    assert held.status_code == 422
    assert "Did you mean 77 °F = 25.0 °C?" in words_of(held.text)
    assert 'value="77"' in held.text
    assert lines(record, EntryKind.OBSERVATION) == ()

    took = save(sitter, path, found="fine", temperature="77", take="temperature~77~°F~")
    assert took.status_code == 303
    with record.database.reading() as session:
        snapshot = tasks.snapshot_of(session, 1, now=clock.now())
    assert snapshot.of(Quantity.TEMPERATURE)[-1].best == pytest.approx(25.0)


def test_a_household_of_fahrenheit_reads_and_types_its_own(
    app: Flask, path: str, record: Record, clock: FixedClock
) -> None:
    on_day(clock, 1)
    with record.database.writing() as session:
        sites.set_site(session, SiteDraft(name="Home", zone=ZONE, fahrenheit=True))
    sitter = guest(app)
    page = seen(sitter, path)
    assert "°F" in page[page.index("Is the thermometer between") :][:60]

    assert save(sitter, path, found="fine", temperature="77").status_code == 303
    with record.database.reading() as session:
        snapshot = tasks.snapshot_of(session, 1, now=clock.now())
    assert snapshot.of(Quantity.TEMPERATURE)[-1].best == pytest.approx(25.0)


def test_who_needs_help_is_not_asked_for_digits(
    app: Flask, path: str, record: Record, clock: FixedClock
) -> None:
    on_day(clock, 1)
    answer = save(guest(app), path, found="help", temperature="hot!", seen="many")

    assert answer.status_code == 303
    assert answer.location.endswith("/help")
    assert lines(record, EntryKind.OBSERVATION)[0].lines == ("Help was asked for.",)


def test_a_photo_waits_for_an_adult(
    app: Flask, path: str, record: Record, clock: FixedClock
) -> None:
    on_day(clock, 1)
    sitter, file = guest(app), io.BytesIO()
    Image.new("RGB", (80, 64), "green").save(file, "PNG")
    form = opened(sitter, path) | {"found": "fine"}
    for _ in range(2):
        picture = (io.BytesIO(file.getvalue()), "tank.png")
        assert sitter.post(path, data=form | {"photo": picture}).status_code == 303
    bad = save(sitter, path, found="fine", photo=(io.BytesIO(b"<svg/>"), "x.png"))

    assert bad.status_code == 422
    with record.database.reading() as session:
        (kept,) = photos.photos(session, 1, keeper=True)
    assert kept.state is PhotoState.WAITING
    assert kept.entry_id == lines(record, EntryKind.OBSERVATION)[0].entry_id


def test_the_sheet_says_the_same(adult: CheckedClient, path: str) -> None:
    assert path
    sheet = seen(adult, "/tank/1/share/sitter/1/sheet")
    labels = seen(adult, "/tank/1/share/sitter/1/labels")

    assert "Saturday 3 July to Friday 16 July 2027 · 14 days" in sheet
    assert "7 packets of 1 scoop, 0.12 g" in sheet
    assert "5 Wed 7 Jul no food, look only" in sheet
    assert "6 Thu 8 Jul packet 3" in sheet
    assert "Never give two packets. The old one stays in its bag. Gave two? Give no more" in sheet
    assert "Nobody answers? Call the next." in sheet
    assert "Towels and bucket: Outlet and breaker:" in sheet, "what nobody wrote has room"
    assert "555-0177" in sheet
    assert labels.count("One packet only.") == 7


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ({"last_day": "2027-07-02"}, "The last day lies before the first."),
        ({"last_day": "2027-08-03"}, "Plan 31 days at most."),
        ({"first_day": "2027-01-01", "last_day": "2027-01-10"}, "The last day is over."),
        ({"rhythm": "chosen", "chosen": "2, 15"}, "Count the days from 1 to 14."),
        ({"rhythm": "chosen", "chosen": "two"}, "Write numbers of days"),
        ({"rhythm": "chosen"}, "Say on which days food goes in"),
        ({"scoops": "0"}, "Enter the scoops of one packet from 0.1 to 50."),
    ],
)
def test_days_that_cannot_be_are_told(
    adult: CheckedClient, typed: dict[str, str], said: str
) -> None:
    answer = save(adult, SITTER, **(STAY | typed))

    assert answer.status_code == 422
    assert said in words_of(answer.text)
    assert "No link is open" in seen(adult, "/tank/1/share")


def test_an_unweighed_scoop_gives_scoops_only(adult: CheckedClient) -> None:
    made(adult, SITTER, **(STAY | {"rhythm": "chosen", "chosen": "3 6", "scoops": "0.5"}))

    page = seen(adult, "/tank/1/share/sitter/1")
    assert "2 packets of half a scoop." in page
    assert "Monday 5 July: half a scoop" in page


def test_the_form_sent_twice_makes_one_link(adult: CheckedClient) -> None:
    form = opened(adult, SITTER) | STAY
    first, second = (adult.post(SITTER, data=form).text for _ in range(2))

    assert first.split("<code>")[1] == second.split("<code>")[1]
    assert seen(adult, "/tank/1/share").count("Close it : Summer") == 1
