"""The settings of a household or school through their pages."""

from datetime import date

import pytest

from app.domain.quantities import Quantity
from app.domain.tank import Site
from app.services import sites
from app.web.settings.site import zone_from
from tests.page_checker import CheckedClient
from tests.record import Record
from tests.web.filling import opened, save
from tests.web.visits import seen, words_of


def site(record: Record) -> Site:
    with record.database.reading() as session:
        return sites.place(session, sites.FIRST)


def test_site_zone_units_and_days(adult: CheckedClient, record: Record) -> None:
    answer = save(
        adult, "/settings", name="Pond Lane", zone="berlin", present_weekdays=["0", "1"],
        warmth="f", volume="gal", chloramine="yes",
    )  # fmt: skip

    assert answer.status_code == 303
    found = site(record)
    assert (found.name, found.zone, found.chloramine) == ("Pond Lane", "Europe/Berlin", "yes")
    assert (found.fahrenheit, found.us_gallons) == (True, True)
    assert found.present_weekdays == {0, 1}
    assert "°F" in seen(adult, "/tank/1/feed")


@pytest.mark.parametrize("changed", [{"name": " "}, {"zone": "Atlantis"}, {"zone": ""}])
def test_what_is_no_site_is_refused(
    adult: CheckedClient, record: Record, changed: dict[str, str]
) -> None:
    answer = save(adult, "/settings", **changed)

    assert answer.status_code == 422
    assert site(record).name == "Hill School"


@pytest.mark.parametrize(
    ("typed", "zone"),
    [
        ("America/New_York", "America/New_York"),
        ("new york", "America/New_York"),
        (" Europe/berlin ", "Europe/Berlin"),
        ("UTC", "UTC"),
        ("../etc/passwd", None),
        ("", None),
    ],
)
def test_a_zone_is_found_by_its_city(typed: str, zone: str | None) -> None:
    assert zone_from(typed) == zone


def test_a_break_is_added_once_and_struck(adult: CheckedClient, record: Record) -> None:
    form = opened(adult, "/settings/breaks") | {
        "name": "Winter", "first_day": "2027-02-15", "last_day": "2027-02-19",
    }  # fmt: skip
    adult.post("/settings/breaks", data=form)
    adult.post("/settings/breaks", data=form)
    (found,) = site(record).breaks
    assert (found.first_day, found.last_day) == (date(2027, 2, 15), date(2027, 2, 19))
    assert "Winter : Monday 15 February 2027 to Friday 19 February 2027" in seen(
        adult, "/settings/breaks"
    )

    answer = save(adult, "/settings/breaks", first_day="2027-02-19", last_day="2027-02-18")
    assert answer.status_code == 422
    assert "before the first" in words_of(answer.text)

    csrf = opened(adult, "/settings/breaks")["csrf_token"]
    adult.post("/settings/breaks/1/strike", data={"csrf_token": csrf})
    assert site(record).breaks == ()


def test_the_tap_water_has_its_own_values(adult: CheckedClient, record: Record) -> None:
    # 5 mg/L as N are 22.1 mg/L as nitrate (62.004 / 14.007, IUPAC 2021)
    save(adult, "/settings/tap-water", nitrate="5", nitrate_unit="mg/L|as N", kh="8")

    assert site(record).tap_value(Quantity.NITRATE) == pytest.approx(22.13, abs=0.01)
    assert site(record).tap_value(Quantity.KH) == 8
    assert site(record).tap_value(Quantity.PH) is None

    assert save(adult, "/settings/tap-water", ph="74").status_code == 422
    save(adult, "/settings/tap-water", nitrate="", kh="8")
    assert site(record).tap_value(Quantity.NITRATE) is None


@pytest.mark.parametrize("page", ["", "/breaks", "/tap-water"])
def test_settings_are_for_adults(helper: CheckedClient, page: str) -> None:
    assert helper.get(f"/settings{page}").status_code == 403
