"""Several households or schools in one record, each with its own clock, units, kits and list."""

from dataclasses import replace

import pytest

from app.domain.errors import Refused
from app.domain.kit import KitFacts, SupplyFacts
from app.domain.quantities import Quantity
from app.domain.tank import TankFacts, TankShape
from app.services import kits, own_species, sites, supplies, tanks, tasks
from app.services.own_species import SpeciesDraft
from app.services.sites import FIRST, SiteDraft
from app.storage.models.access import Person, TankAccess
from tests.page_checker import CheckedClient
from tests.record import MONDAY, Record
from tests.web.filling import save
from tests.web.visits import seen

CARD = KitFacts(quantity=Quantity.NITRATE, name="Card", unit="mg/L", basis="as ion", steps=(0, 5))
SHAPE = TankShape(length_cm=40, width_cm=25, water_depth_cm=25)
FOOD = SupplyFacts(kind="food", name="Flakes", unit="g", left=20.0, counted_on=MONDAY.date())


@pytest.fixture
def mill(record: Record) -> int:
    """A second place, in Berlin and in °F, with one tank; the number of that tank."""
    with record.database.writing() as session:
        site_id = sites.add_site(
            session, SiteDraft(name="Mill House", zone="Europe/Berlin", fahrenheit=True)
        )
        return tanks.add_tank(session, TankFacts(name="Weir", shape=SHAPE), site_id=site_id)


def test_each_tank_has_the_zone_units_kits_and_animals_of_its_place(
    record: Record, mill: int
) -> None:
    minnow = SpeciesDraft(
        scientific_name="Minno annae", common_name="Minnow", temperature_c=(16, 21), source="Book"
    )
    with record.database.writing() as session:
        kits.add_kit(session, FIRST, CARD)
        supplies.add(session, 2, FOOD)
        own_species.add(session, FIRST, minnow)
        own_species.add(session, 2, replace(minnow, temperature_c=(18, 24)))
        seen_ = tasks.look(session, now=record.now)
        here, there = (seen_[i][0] for i in (record.tank_id, mill))
        assert (here.site.zone, there.site.zone) == ("America/New_York", "Europe/Berlin")
        assert (here.site.fahrenheit, there.site.fahrenheit) == (False, True)
        assert (len(here.kits), len(there.kits)) == (1, 0)
        ranges = [own_species.known(session, i).species["Minno annae"].temp_c for i in (FIRST, 2)]
        assert ranges == [(16, 21), (18, 24)]
        assert [s.name for s in supplies.supplies(session, FIRST)] == []
        with pytest.raises(Refused, match="already"):
            sites.add_site(session, SiteDraft(name="mill  house", zone="UTC"))


def test_with_one_place_no_page_asks_which(adult: CheckedClient) -> None:
    for url in ("/settings", "/settings/tap-water", "/tank/new", "/own-animals"):
        assert 'name="place"' not in adult.get(url).text, url


def test_pages_of_a_place_are_those_of_the_tank_last_seen_or_of_the_one_that_is_named(
    adult: CheckedClient, record: Record, mill: int
) -> None:
    adult.get(f"/tank/{mill}/")
    assert 'value="Mill House"' in adult.get("/settings").text
    assert 'value="Hill School"' in adult.get("/settings?place=1").text
    assert adult.get("/settings?place=9").status_code == 404
    assert "Mill House" in seen(adult, f"/tank/{mill}/")
    # a form that was opened for one place stays with it, whatever was looked at meanwhile
    page = adult.get("/settings").text
    assert 'action="/settings?place=2"' in page
    assert save(adult, "/settings?place=2", name="Hill School").status_code == 422
    answer = save(adult, "/settings?place=2", name="Old Mill", warmth="c")
    assert answer.status_code == 303
    with record.database.reading() as session:
        assert [p.name for p in sites.places(session)] == ["Hill School", "Old Mill"]
        assert sites.site(session, mill).fahrenheit is False
        assert sites.site(session, record.tank_id).zone == "America/New_York"


def test_a_place_is_added_and_its_first_tank_after_it(adult: CheckedClient, record: Record) -> None:
    answer = save(adult, "/settings/new-place", name="Pond Street", zone="Tokyo")
    assert answer.location == "/tank/new?place=2"
    answer = save(
        adult, "/tank/new?place=2", name="Reed", length_cm="50", width_cm="30",
        water_depth_cm="30", displacement_l="0", pores="40",
    )  # fmt: skip
    assert answer.status_code == 303
    with record.database.reading() as session:
        found = {line.name: line.where for line in tanks.tank_lines(session)}
    assert found == {"Brook": "Hill School", "Reed": "Pond Street"}
    again = save(adult, "/settings/new-place", name="pond street", zone="Tokyo")
    assert (again.status_code, "already" in again.text) == (422, True)


def test_kits_and_supplies_of_another_place_are_not_there(
    adult: CheckedClient, record: Record, mill: int
) -> None:
    with record.database.writing() as session:
        kit = kits.add_kit(session, FIRST, CARD)
        supply = supplies.add(session, FIRST, FOOD)
    assert "Card" in seen(adult, "/tank/1/kits")
    assert "Card" not in seen(adult, f"/tank/{mill}/kits")
    for url in (f"kits/{kit}", f"kits/{kit}/compare", f"supplies/{supply}"):
        assert adult.get(f"/tank/1/{url}").status_code == 200, url
        assert adult.get(f"/tank/{mill}/{url}").status_code == 404, url


def test_who_has_tanks_of_one_place_has_nothing_to_do_with_another(
    adult: CheckedClient, record: Record, mill: int
) -> None:
    with record.database.writing() as session:
        session.add(TankAccess(person_id=record.adult.person_id, tank_id=mill))
        session.get_one(Person, record.adult.person_id).all_tanks = False
        session.commit()
    assert 'value="Mill House"' in adult.get("/settings").text
    assert adult.get("/settings?place=1").status_code == 404
    assert "Brook" not in seen(adult, "/tanks")
    assert "Brook" not in adult.get("/trace").text
    assert adult.get("/trace?tank=1").status_code == 422
