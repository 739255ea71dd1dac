"""The warmth page: the heater in the coldest hour, a cover, a year, and two readings without heat.

The tank of the record holds 85.0 L. From 25.0 to 24.0 °C in three hours in a room of 18 °C:
3 / ln(7/6) = 19.5 h, so that 1.163 x 85.0 / 19.46 = 5.08 W are lost for each °C.
"""

from dataclasses import replace

import pytest

from app.services import sites, tanks
from app.services.sites import SiteDraft
from tests.page_checker import CheckedClient
from tests.record import ZONE, Record
from tests.web.ahead.heated import change, cooled, heater
from tests.web.visits import seen, words_of

URL = "/tank/1/ahead/warmth"


@pytest.fixture
def known(record: Record) -> Record:
    """A tank set to 25 °C in a room that falls to 12, with 50 W, that was seen to cool."""
    change(record, set_point_c=25.0, coldest_room_c=12.0)
    heater(record)
    cooled(record)
    return record


@pytest.mark.usefixtures("known")
def test_a_heater_that_is_too_small(adult: CheckedClient) -> None:
    page = seen(adult, f"{URL}?room_then=18&coldest=12")

    assert "Holding 25.0 °C in a room of 12.0 °C takes about 66 W" in page
    assert "estimate, not measured" in page
    assert "The 50 W of the heater are too few: in a room of 12.0 °C they hold about 21.8" in page
    assert "With the usual margin take 100 W" in page
    assert "3 ÷ ln((25.0 − 18.0) ÷ (24.0 − 18.0)) = 19.5 h" in page
    assert "1.163 × 85.0 ÷ 19.5 = 5.08 W" in page
    assert "Such readings count for 35 days." in page


@pytest.mark.usefixtures("known")
def test_in_the_room_in_which_it_cooled(adult: CheckedClient) -> None:
    page = seen(adult, f"{URL}?room_then=18&coldest=18")

    assert "takes about 36 W" in page
    assert "0.85 kWh in such a day" in page


@pytest.mark.usefixtures("known")
def test_a_year_at_a_price(adult: CheckedClient) -> None:
    page = seen(adult, f"{URL}?room_then=18&coldest=12&mean=18&price=0,30")

    # 7 x 5.080 W x 24 x 365 / 1000 = 311.5 kWh, x 0.30 = 93.5
    assert "about 312 kWh in a year" in page
    assert "It costs about 93" in page
    assert "in the money of your price" in page


@pytest.mark.usefixtures("known")
def test_without_the_room_of_then_it_is_assumed_and_asked_for(adult: CheckedClient) -> None:
    page = seen(adult, URL)

    assert "The room while it cooled 19.0 °C" not in page  # an assumed room has ends
    assert "16.0 °C to 22.0 °C Assumed" in page
    assert "What would narrow it most: how warm the room was while it cooled" in page


def test_from_the_measures_alone(adult: CheckedClient, record: Record) -> None:
    change(record, set_point_c=25.0, coldest_room_c=15.0, cover="closed")
    page = seen(adult, URL)

    assert "From the tank’s measures, with a closed cover." in page
    assert "Nobody wrote the heater’s watts" in page
    assert "it saves about" in page
    assert "evaporate each day" in page
    assert "What would narrow it most: two temperatures an hour or more apart" in page


@pytest.mark.parametrize(
    ("facts", "says"),
    [
        ({}, "nobody wrote how cold the room gets"),
        ({"shape": "flat"}, "nobody wrote the tank’s measures and how cold the room gets"),
    ],
)
def test_what_is_missing_is_named(
    adult: CheckedClient, record: Record, facts: dict[str, str], says: str
) -> None:
    if facts:
        with record.database.reading() as session:
            shape = tanks.tank(session, 1).shape
        change(record, shape=replace(shape, water_depth_cm=None))
    page = seen(adult, URL)

    assert says in page
    assert "The working" not in page


def test_a_room_that_alone_is_warm_enough(adult: CheckedClient, record: Record) -> None:
    change(record, set_point_c=22.0, coldest_room_c=24.0)
    assert "A room of 24.0 °C alone keeps it at 22.0 °C" in seen(adult, URL)


@pytest.mark.parametrize(
    ("typed", "says"),
    [
        ("coldest=warm", "Write the room in its coldest hour with digits only."),
        ("price=-3", "Enter the price of a kilowatt-hour from 0 to 1000."),
        ("mean=88", "°F"),
    ],
)
def test_what_cannot_be_is_said_beside_its_field(
    adult: CheckedClient, typed: str, says: str
) -> None:
    answer = adult.get(f"{URL}?{typed}")

    assert answer.status_code == 422
    assert says in words_of(answer.text)
    assert f'value="{typed.partition("=")[2]}"' in answer.text


@pytest.mark.usefixtures("known")
def test_a_household_that_reads_fahrenheit(adult: CheckedClient, record: Record) -> None:
    with record.database.writing() as session:
        sites.set_site(
            session, SiteDraft(name="Hill School", zone=ZONE, fahrenheit=True, us_gallons=True)
        )
    page = seen(adult, f"{URL}?room_then=64.4&room_then_unit=F&coldest=53.6&coldest_unit=F")

    assert "Holding 77.0 °F in a room of 53.6 °F takes about 66 W" in page
    assert "°C to" not in page
    assert "US gal" in page


def test_it_is_for_adults(helper: CheckedClient) -> None:
    assert helper.get(URL).status_code == 403
