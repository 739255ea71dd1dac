"""The sheet for an outage: hours, first steps with the cautions before them, what is missing."""

import re
from datetime import timedelta

import pytest

from app.domain.drafts import NewLook
from app.domain.quantities import Quantity
from app.domain.records import Sign
from app.domain.tank import TankFacts, TankShape
from app.services import equipment, sites, tanks
from app.services.equipment import EquipmentDraft
from tests.page_checker import CheckedClient
from tests.record import MONDAY, ZONE, Record, reading
from tests.web.visits import seen, words_of

URL = "/tank/1/ahead/outage"


def test_hours_first_steps_and_cautions_stand_on_one_sheet(adult: CheckedClient) -> None:
    page = seen(adult, URL)

    assert re.search(r"Oxygen is 5 mg/L (about )?\d", page)
    assert re.search(r"23\.0 °C [\d.]+ to [\d.]+ hours", page)
    assert page.index("Water and power") < page.index("No food.") < page.index("battery air pump")
    assert "Before you open the filter" in page
    assert "All hours are estimates, not measured." in page
    assert "worked out for Monday 8 February 2027, 8:41 am" in page


def test_lower_oxygen_at_the_start_leaves_fewer_hours(adult: CheckedClient) -> None:
    def hours(oxygen: str) -> str:
        page = seen(adult, f"{URL}?oxygen={oxygen}")
        found = re.search(r"Oxygen is 4 mg/L (\d+)", page)
        assert found
        return found[1]

    assert int(hours("5.5")) < int(hours("7")) < int(hours("8.2"))


def test_oxygen_that_is_low_already_is_said(adult: CheckedClient) -> None:
    assert "Oxygen is 5 mg/L reached already" in seen(adult, f"{URL}?oxygen=4.5")


def test_a_measured_outage_tells_how_this_tank_cools(adult: CheckedClient, record: Record) -> None:
    # 3 h / ln(7/6) = 19.5 h; from 24 to 23 in a room of 18: 19.5 x ln(6/5) = 3.5 h
    off = NewLook(signs=(Sign.HEATER_OFF,))
    record.write(off, reading(Quantity.TEMPERATURE, 25.0), at=MONDAY - timedelta(hours=3))
    record.write(off, reading(Quantity.TEMPERATURE, 24.0))

    page = seen(adult, f"{URL}?room=18")

    assert "From two readings while nothing heated." in page
    assert "They count for 35 days." in page
    assert "−19.5 × ln((23.0 − 18.0) ÷ (24.0 − 18.0)) = 3.5 h" in page


def test_the_hours_of_a_stuck_heater_need_its_watts(adult: CheckedClient, record: Record) -> None:
    assert "Not written down: the watts of the heater." in seen(adult, URL)
    with record.database.writing() as session:
        equipment.add(session, 1, EquipmentDraft(kind="heater", name="Left corner", watts=300.0))

    page = seen(adult, f"{URL}?water=25&room=20")

    assert "Left alone it would end at about" in page
    assert re.search(r"28\.0 °C [\d.]+ to [\d.]+ hours", page)


def test_a_fahrenheit_household_reads_fahrenheit(adult: CheckedClient, record: Record) -> None:
    with record.database.writing() as session:
        sites.set_site(session, sites.SiteDraft(name="Home", zone=ZONE, fahrenheit=True))

    page = seen(adult, f"{URL}?water=77&water_unit=F&room=64.4&room_unit=F")

    assert re.search(r"73\.4 °F [\d.]+ to [\d.]+ hours", page)
    assert "(73.4 − 64.4) ÷ (77.0 − 64.4)" in page
    assert "no more than 3.6 °F in a few hours" in page
    assert "no more than 1.8 °F cooler at a time" in page


@pytest.mark.parametrize(
    ("typed", "sentence"),
    [
        ("room=cold", "Write the room’s temperature with digits only."),
        ("water=24&room=70", "70 °C would be too hot to touch. Did you mean 70 °F = 21.1 °C?"),
        ("oxygen=45", "45 mg/L is higher than any tank and any kit can show"),
    ],
)
def test_what_cannot_be_is_said_and_kept(adult: CheckedClient, typed: str, sentence: str) -> None:
    page = adult.get(f"{URL}?{typed}")
    assert page.status_code == 422
    assert sentence in words_of(page.text)
    assert f'value="{typed.rpartition("=")[2]}"' in page.text
    assert "No food." in words_of(page.text)


def test_without_measures_the_steps_still_stand(adult: CheckedClient, record: Record) -> None:
    with record.database.writing() as session:
        shape = TankShape(length_cm=78, width_cm=34)
        tanks.change_tank(session, 1, TankFacts(name="Brook", shape=shape))

    page = seen(adult, URL)

    assert "How long the oxygen lasts is not known. Not written down: the tank’s measures." in page
    assert "How fast it cools is not known." in page
    assert "battery air pump" in page


def test_the_list_of_questions_and_trouble_lead_here(adult: CheckedClient) -> None:
    for url in ("/tank/1/ahead", "/tank/1/trouble"):
        assert f'href="{URL}"' in adult.get(url).text
    assert re.search(
        r"Until oxygen is 5 mg/L: .* estimate, not measured", seen(adult, "/tank/1/ahead")
    )


def test_only_adults_open_it(helper: CheckedClient) -> None:
    assert helper.get(URL).status_code == 403
