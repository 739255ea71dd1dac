"""Place and people, the care plan, and how high the place lies, through their pages."""

import pytest

from app.domain.tank import CARE_JOBS
from app.services import sites, tanks
from tests.page_checker import CheckedClient
from tests.record import Record
from tests.web.filling import form_on, opened, save
from tests.web.visits import seen, words_of

PLACE = "/tank/1/place"
PLAN = "/tank/1/plan"


def test_what_stands_around_the_tank_is_kept(adult: CheckedClient, record: Record) -> None:
    answer = save(
        adult, PLACE, set_point_c="25,0", cover="gap", sun_from="07:30", sun_until="08:15",
        coldest_room_c="15.5", adult="The caretaker", adult_phone="12 34", deputy="The office",
        deputy_phone="56", food_protein_percent="47",
    )  # fmt: skip

    assert answer.status_code == 303
    assert "Place and people are saved." in seen(adult, answer.location)
    with record.database.reading() as session:
        tank = tanks.tank(session, 1)
    assert (tank.set_point_c, tank.coldest_room_c, tank.food_protein_percent) == (25.0, 15.5, 47.0)
    assert (tank.cover, tank.sun_from, tank.sun_until) == ("gap", "07:30", "08:15")
    assert (tank.adult, tank.adult_phone, tank.deputy, tank.deputy_phone) == (
        "The caretaker", "12 34", "The office", "56",
    )  # fmt: skip
    assert tank.shape.rim_cm == 42  # what this page does not ask for stays


def test_the_measures_page_leaves_place_and_people_alone(
    adult: CheckedClient, record: Record
) -> None:
    save(adult, PLACE, set_point_c="25", adult="The caretaker")
    save(adult, "/tank/1/measures", rim_cm="43")

    with record.database.reading() as session:
        tank = tanks.tank(session, 1)
    assert (tank.shape.rim_cm, tank.set_point_c, tank.adult) == (43, 25.0, "The caretaker")


def test_degrees_fahrenheit_are_taken_where_the_thermometer_has_them(
    adult: CheckedClient, record: Record
) -> None:
    """77 °F are (77 − 32) ÷ 1.8 = 25 °C."""
    save(adult, "/settings", warmth="f")
    save(adult, PLACE, set_point_c="77")

    with record.database.reading() as session:
        assert tanks.tank(session, 1).set_point_c == 25.0
    assert opened(adult, PLACE)["set_point_c"] == "77"


@pytest.mark.parametrize(
    ("changed", "sentence"),
    [
        ({"set_point_c": "52"}, "Enter what the heater is set to in °C from 10 to 35."),
        ({"set_point_c": "warm"}, "with digits only"),
        ({"sun_from": "07:30"}, "Enter both times, or none."),
        ({"sun_until": "07:30"}, "Enter both times, or none."),
        ({"sun_until": "07:30", "sun_from": "08:15"}, "The sun leaves after it comes."),
        ({"sun_until": "07:30", "sun_from": "07:30"}, "The sun leaves after it comes."),
        ({"food_protein_percent": "101"}, "from 0 to 100"),
        ({"adult_phone": "1" * 41}, "Use 40 letters at most."),
    ],
)
def test_a_place_that_cannot_be(
    adult: CheckedClient, changed: dict[str, str], sentence: str
) -> None:
    answer = save(adult, PLACE, **changed)

    assert answer.status_code == 422
    assert sentence in words_of(answer.text)
    name, typed = next(iter(changed.items()))
    assert form_on(answer.text)[name] == typed


def test_how_high_the_place_lies(adult: CheckedClient, record: Record) -> None:
    assert save(adult, "/settings", elevation_m="1600").status_code == 303
    assert opened(adult, "/settings")["elevation_m"] == "1600"
    with record.database.reading() as session:
        assert sites.place(session, sites.FIRST).elevation_m == 1600.0
    answer = save(adult, "/settings", elevation_m="9000")
    assert answer.status_code == 422
    assert "from -450 to 5500" in words_of(answer.text)


def test_a_job_gets_its_days_its_weekday_and_who_does_it(
    adult: CheckedClient, record: Record
) -> None:
    answer = save(adult, PLAN, glass_every="10", glass_weekday="3", glass_who="helper")

    assert answer.status_code == 303
    with record.database.reading() as session:
        plan = tanks.tank(session, 1).plan
    job = plan.job("glass")
    assert job is not None
    assert (job.every_days, job.weekday, job.who) == (10, 3, "helper")
    assert plan.jobs == (job,)

    save(adult, PLAN, glass_every="", glass_weekday="", glass_who="")
    with record.database.reading() as session:
        assert tanks.tank(session, 1).plan.jobs == ()


def test_every_job_stands_there_with_what_is_usual(adult: CheckedClient) -> None:
    form = opened(adult, PLAN)
    page = seen(adult, PLAN)

    assert all(f"{name}_who" in form for name in CARE_JOBS)
    # care.toml: glass every 7 days, plants every 21; a class counts on Fridays
    assert "Usual: every 7 days, on Friday. Common practice." in page
    assert "Usual: every 21 days. Common practice." in page
    assert "Usual: every 30 days. From memory, not checked." in page


def test_a_large_share_is_taken_and_its_hint_says_what_it_is_for(adult: CheckedClient) -> None:
    # water.toml: nitrate.most-share, 50 %
    assert "More than 50 % at once is for emergencies" in seen(adult, PLAN)
    assert save(adult, PLAN, water_change_percent="90").status_code == 303


@pytest.mark.parametrize("days", ["0", "731", "2.5", "often"])
def test_days_that_cannot_be(adult: CheckedClient, days: str) -> None:
    answer = save(adult, PLAN, trim_every=days)
    assert answer.status_code == 422
    assert "the days of “Trim the plants”" in words_of(answer.text)
    assert form_on(answer.text)["trim_every"] == days
