"""The oxygen page: the night as it is, and as somebody tries it."""

import re
from datetime import timedelta

import pytest

from app.domain.drafts import NewTest
from app.domain.quantities import Quantity
from app.domain.tank import TankFacts, TankShape
from app.services import sites, tanks
from app.services.livestock import plants
from app.services.livestock.plants import PlantDraft
from tests.page_checker import CheckedClient
from tests.record import MONDAY, ZONE, Record, reading
from tests.web.test_statements import statements
from tests.web.visits import words_of

URL = "/tank/1/ahead/oxygen"


def lowest(text: str) -> list[float]:
    """The big numbers of the estimate boxes, in order."""
    return [float(n) for n in re.findall(r'estimate-value">([\d.]+)', text)]


def tried(client: CheckedClient, **typed: str) -> list[float]:
    """As it is and as tried."""
    fields = {"surface": "record", "air": "", "warmth": "", "plants": "", "grams": "", "light": ""}
    page = client.get(URL, query_string=fields | typed)
    assert page.status_code == 200
    return lowest(page.text)


def test_the_night_is_told_with_chart_table_and_working(adult: CheckedClient) -> None:
    page = adult.get(URL)

    assert page.status_code == 200
    assert len(lowest(page.text)) == 1
    assert "estimate, not measured" in words_of(page.text).lower()
    assert 'id="oxygen-day' in page.text
    assert page.text.count('data-label="Hour"') == 24
    assert "What the animals use" in page.text
    assert "Nobody measured how fast this surface takes in oxygen" in words_of(page.text)


@pytest.mark.parametrize(
    ("typed", "is_better"),
    [
        ({"surface": "rippled"}, True),
        ({"surface": "still"}, False),
        ({"air": "1"}, True),
        ({"warmth": "29"}, False),
        ({"plants": "120"}, False),
        ({"grams": "2,5"}, False),
        ({"plants": "120", "light": "0"}, False),
    ],
)
def test_what_is_tried_stands_beside_what_is(
    adult: CheckedClient, typed: dict[str, str], is_better: bool
) -> None:
    as_it_is, other = tried(adult, **typed)
    assert other != as_it_is
    assert (other > as_it_is) is is_better


def test_the_address_holds_what_is_tried_and_nothing_is_saved(
    adult: CheckedClient, record: Record
) -> None:
    before = lowest(adult.get(URL).text)
    address = f"{URL}?air=2"

    assert lowest(adult.get(address).text) == lowest(adult.get(address).text)
    assert 'value="2"' in adult.get(address).text
    assert lowest(adult.get(URL).text) == before


@pytest.mark.parametrize(
    ("name", "typed", "sentence"),
    [
        ("air", "lots", "Write the air with digits only."),
        ("air", "90", "Enter the air from 0 to 20 L/min."),
        ("light", "25", "Enter the hours of light from 0 to 24 h."),
        ("surface", "boiling", "Choose the surface."),
    ],
)
def test_what_cannot_be_tried_is_said_beside_the_field_and_kept(
    adult: CheckedClient, name: str, typed: str, sentence: str
) -> None:
    page = adult.get(URL, query_string={name: typed, "grams": "0.3"})

    assert page.status_code == 422
    assert sentence in words_of(page.text)
    assert 'value="0.3"' in page.text
    assert len(lowest(page.text)) == 1


def test_a_fahrenheit_household_tries_and_reads_fahrenheit(
    adult: CheckedClient, record: Record
) -> None:
    in_celsius = tried(adult, warmth="29")
    with record.database.writing() as session:
        sites.set_site(session, sites.SiteDraft(name="Home", zone=ZONE, fahrenheit=True))

    page = adult.get(f"{URL}?warmth=84.2")

    assert lowest(page.text) == in_celsius
    assert "84.2\u00a0°F" in page.text
    assert "°C warmer" not in words_of(page.text)
    assert "3.6 °F warmer" in words_of(page.text)


def test_without_measures_the_page_leads_to_them(adult: CheckedClient, record: Record) -> None:
    with record.database.writing() as session:
        shape = TankShape(length_cm=78, width_cm=34)
        tanks.change_tank(session, 1, TankFacts(name="Brook", shape=shape))

    page = adult.get(URL)

    assert not lowest(page.text)
    assert "nobody wrote the tank’s measures" in words_of(page.text)
    assert 'href="/tank/1/measures"' in page.text
    assert "Try it" not in words_of(page.text)


def test_an_evening_and_a_morning_reading_are_said_to_tell_the_surface(
    adult: CheckedClient, record: Record
) -> None:
    evening = MONDAY - timedelta(hours=11)  # 9:41 pm; the lamp is taken to go off at 6 pm
    record.write(NewTest(), reading(Quantity.OXYGEN, 7.8), at=evening)
    record.write(NewTest(), reading(Quantity.OXYGEN, 7.2), at=evening + timedelta(hours=9))

    page = words_of(adult.get(URL).text)

    assert "was told by an evening and a morning reading" in page
    assert "From an evening and a morning reading of oxygen." in page
    assert "Nobody measured how fast" not in page


def test_only_adults_open_it(helper: CheckedClient) -> None:
    assert helper.get(URL).status_code == 403


def test_a_longer_history_needs_no_more_statements(adult: CheckedClient, record: Record) -> None:
    few = statements(record, adult, URL)
    for days in range(40):
        warm = reading(Quantity.TEMPERATURE, 24.5)
        record.write(NewTest(), warm, at=MONDAY - timedelta(days=days))
    assert statements(record, adult, URL) <= few


def test_a_tank_that_runs_short_by_night_is_on_to_do_and_leads_here(
    adult: CheckedClient, record: Record
) -> None:
    with record.database.writing() as session:
        plants.add(session, 1, PlantDraft(name="Tape grass", amount="dense"))
    record.write(NewTest(), reading(Quantity.TEMPERATURE, 29.0))

    page = adult.get("/tank/1/to-do")

    assert lowest(adult.get(URL).text)[0] < 4.0
    assert "The lowest oxygen of the coming night is an estimate" in words_of(page.text)
    assert URL in page.text
