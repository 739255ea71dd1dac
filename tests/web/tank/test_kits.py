"""Kits through their pages: lots and checks, and what they showed of something known."""

from datetime import date, timedelta

import pytest

from app.clock import FixedClock
from app.domain.kit import Kit, KitComparison, KitFacts
from app.domain.quantities import Quantity
from app.services import comparisons, kits, sites
from app.services.sites import FIRST
from tests.page_checker import CheckedClient
from tests.record import ZONE, Record
from tests.web.filling import form_on, opened
from tests.web.visits import csrf_of, seen, words_of

LIST = "/tank/1/kits"
METER = {"unit": "ph||", "name": "Pen", "lot": "P-1", "next_check_on": "2027-05-01"}
STICK = KitFacts(quantity=Quantity.TEMPERATURE, name="Stick", unit="°C")
CARD = KitFacts(quantity=Quantity.NITRATE, name="Card", unit="mg/L", basis="as N", steps=(0, 5, 10))


def known(record: Record) -> tuple[Kit, ...]:
    with record.database.reading() as session:
        return kits.kits(session, FIRST)


def made(record: Record) -> tuple[KitComparison, ...]:
    with record.database.reading() as session:
        return tuple(
            each
            for kit in kits.kits(session, FIRST)
            for each in comparisons.comparisons(session, kit.id)
        )


def page_of(record: Record, facts: KitFacts) -> str:
    """A kit is in the list; the address of its page."""
    with record.database.writing() as session:
        return f"{LIST}/{kits.add_kit(session, FIRST, facts)}"


def test_a_kit_has_its_lot_and_next_check(adult: CheckedClient, record: Record) -> None:
    assert "No kit is written yet" in seen(adult, LIST)
    form = opened(adult, LIST) | METER
    assert adult.post(LIST, data=form).status_code == 303
    assert adult.post(LIST, data=form).status_code == 303  # the button was pressed twice
    (pen,) = known(record)
    assert (pen.lot, pen.next_check_on) == ("P-1", date(2027, 5, 1))
    page = seen(adult, LIST)
    assert "Pen pH, lot P-1" in page
    assert "Saturday 1 May 2027" in page


def test_a_second_kit_of_that_name_and_lot_is_asked_about(
    adult: CheckedClient, record: Record
) -> None:
    adult.post(LIST, data=opened(adult, LIST) | METER)
    form = opened(adult, LIST) | METER | {"opened_on": "2027-01-01"}
    answer = adult.post(LIST, data=form)
    assert answer.status_code == 422
    assert "Pen stands in the list already." in words_of(answer.text)
    assert form_on(answer.text)["opened_on"] == "2027-01-01"
    assert len(known(record)) == 1


def test_no_kit_is_opened_on_a_day_that_has_not_come(adult: CheckedClient, record: Record) -> None:
    tomorrow = {"opened_on": "2027-02-09"}
    for url in (LIST, page_of(record, CARD)):
        form = (opened(adult, LIST) | METER if url == LIST else opened(adult, url, at=0)) | tomorrow
        answer = adult.post(url, data=form)
        assert answer.status_code == 422
        assert "That day has not come yet. Leave it empty until then." in words_of(answer.text)
        assert form_on(answer.text, at=0)["opened_on"] == "2027-02-09"
    assert [kit.opened_on for kit in known(record)] == [None]


def test_what_is_known_of_a_kit_is_changed_but_not_what_it_measures(
    adult: CheckedClient, record: Record
) -> None:
    url = page_of(record, CARD)
    form = opened(adult, url, at=0)
    assert (form["unit"], form["steps"]) == ("nitrate|mg/L|as N", "0 5 10")
    answer = adult.post(url, data=form | {"unit": "ph||"})
    assert answer.status_code == 422
    changed = form | {"steps": "0 5 10 20", "lot": "N-7", "expires_on": "2027-02-08"}
    assert adult.post(url, data=changed).status_code == 303
    (card,) = known(record)
    assert (card.steps, card.lot) == ((0, 5, 10, 20), "N-7")
    assert "that is past" in seen(adult, LIST)
    answer = adult.post(url, data=form | {"steps": "5 0"})
    assert answer.status_code == 422
    assert "from the lowest to the highest" in words_of(answer.text)


def test_a_kit_is_put_away_and_used_again(adult: CheckedClient, record: Record) -> None:
    url = page_of(record, CARD)
    token = {"csrf_token": csrf_of(adult, url)}
    assert adult.post(f"{url}/put-away", data=token).status_code == 303
    assert known(record) == ()
    assert "Card , put away Monday 8 February 2027" in seen(adult, LIST)
    assert adult.post(f"{url}/use-again", data=token).status_code == 303
    assert len(known(record)) == 1


def test_a_thermometer_in_ice_water(adult: CheckedClient, record: Record) -> None:
    url = page_of(record, STICK)
    assert "Nobody has done that yet." in seen(adult, url)
    form = opened(adult, f"{url}/compare")
    # a measurement is never filled in; the day of the next check is, 90 days on
    assert (form["known"], form["read"], form["next_check_on"]) == ("", "", "2027-05-09")
    form |= {"how": "ice water", "read": "0.5", "read_unit": "°C|"}
    for _ in range(2):
        assert adult.post(f"{url}/compare", data=form).status_code == 303
    (compared,) = made(record)
    assert (compared.known, compared.read, compared.against) == (0.0, 0.5, "ice water")
    page = seen(adult, url)
    assert "This kit read 0.5 °C too high in one comparison." in page
    assert "A thermometer, at most off by: 1" in page
    assert "too far off" not in page
    assert known(record)[0].next_check_on == date(2027, 5, 9)


def test_three_comparisons_in_fahrenheit(
    adult: CheckedClient, record: Record, clock: FixedClock
) -> None:
    with record.database.writing() as session:
        draft = sites.SiteDraft(name="Home", zone=ZONE, fahrenheit=True, us_gallons=True)
        sites.set_site(session, draft)
    url = page_of(record, STICK)
    # another thermometer shows 77 °F = 25 °C each time
    for read in ("78", "78.5", "76.7"):
        clock.moment += timedelta(hours=1)
        form = opened(adult, f"{url}/compare") | {
            "how": "another thermometer", "which": "the long one",
            "known": "77", "known_unit": "°F|", "read": read, "read_unit": "°F|",
        }  # fmt: skip
        assert adult.post(f"{url}/compare", data=form).status_code == 303
    page = seen(adult, url)
    # the mean of 1, 1.5 and -0.3
    assert (
        "This kit read on average 0.73 °F too high in 3 comparisons: "
        "from 0.3 °F too low to 1.5 °F too high." in page
    )
    assert "another thermometer: the long one" in page
    assert "°C" not in page.partition("at most off by")[0]


def test_a_card_offers_its_colors(adult: CheckedClient, record: Record) -> None:
    url = page_of(record, CARD)
    form = opened(adult, f"{url}/compare") | {
        "how": "a known liquid", "which": "bottle B", "known": "5", "known_unit": "mg/L|as N",
    }  # fmt: skip
    answer = adult.post(f"{url}/compare", data=form)
    assert answer.status_code == 422
    assert "Enter what it showed." in words_of(answer.text)
    assert form_on(answer.text)["which"] == "bottle B"
    assert adult.post(f"{url}/compare", data=form | {"read": "10"}).status_code == 303
    assert "5 mg/L as N too high" in seen(adult, url)
    assert made(record)[0].offset == pytest.approx(22.13, abs=0.01)  # kept as nitrate


@pytest.mark.parametrize(
    ("typed", "sentence"),
    [
        ({"how": ""}, "Choose what it was held against."),
        ({"known": ""}, "Enter what was known."),
        ({"read": "about 20"}, "with digits only"),
        ({"read": "77"}, "Did you mean 77 °F = 25.0 °C"),
        ({"read": "-40"}, "would be ice"),
        ({"how": "ice water", "known": "4"}, "Ice water is 0 °C (32 °F). Leave this empty."),
        ({"next_check_on": "soon"}, "Write the day as year-month-day"),
    ],
)
def test_what_cannot_be_is_said_beside_the_field(
    adult: CheckedClient, record: Record, typed: dict[str, str], sentence: str
) -> None:
    url = page_of(record, STICK)
    form = opened(adult, f"{url}/compare") | {
        "how": "another thermometer", "known": "25", "known_unit": "°C|",
        "read": "25.5", "read_unit": "°C|", "which": "the long one",
    }  # fmt: skip
    answer = adult.post(f"{url}/compare", data=form | typed)
    assert answer.status_code == 422
    assert sentence in words_of(answer.text)
    assert form_on(answer.text)["which"] == "the long one"
    assert made(record) == ()


def test_a_likely_value_is_taken_by_a_tap(adult: CheckedClient, record: Record) -> None:
    url = page_of(record, STICK)
    form = opened(adult, f"{url}/compare") | {
        "how": "another thermometer", "known": "25", "known_unit": "°C|",
        "read": "77", "read_unit": "°C|",
    }  # fmt: skip
    answer = adult.post(f"{url}/compare", data=form | {"take": "read~77~°F~"})
    assert answer.status_code == 303
    assert made(record)[0].offset == 0.0


def test_a_kit_that_is_off_is_a_task_that_leads_to_its_page(
    adult: CheckedClient, record: Record
) -> None:
    url = page_of(record, STICK)
    with record.database.writing() as session:
        (stick,) = kits.kits(session, FIRST)
        off = comparisons.ComparisonDraft(known=0.0, read=2.0, against="ice water")
        comparisons.compare_kit(session, stick.id, off, now=record.now)
    assert "too far off" in seen(adult, url)
    assert "Its tests count as doubtful" in seen(adult, url)
    todo = adult.get("/tank/1/to-do").text
    assert f'href="{url}"' in todo
    strike = f"{url}/compare/{made(record)[0].id}/strike"
    adult.post(strike, data={"csrf_token": csrf_of(adult, url)})
    assert made(record) == ()
    assert f'href="{url}"' not in adult.get("/tank/1/to-do").text


def test_what_is_not_there_and_who_may_not(adult: CheckedClient, helper: CheckedClient) -> None:
    assert adult.get(f"{LIST}/99").status_code == 404
    assert adult.get(f"{LIST}/99/compare").status_code == 404
    for page in (LIST, f"{LIST}/1", f"{LIST}/1/compare"):
        assert helper.get(page).status_code == 403
