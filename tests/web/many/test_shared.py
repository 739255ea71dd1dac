"""What the work shared with another tank: written, fixed, taken back, and traced."""

import pytest

from app.clock import FixedClock
from app.domain.people import Role
from app.domain.quantities import Quantity
from app.domain.tank import Range
from app.domain.trace import Shared, Sharing, Way
from app.services import equipment, tanks, target_templates, trace
from app.services.equipment import EquipmentDraft
from app.services.trace import Asked
from tests.page_checker import CheckedClient
from tests.record import MONDAY, Record
from tests.web.filling import opened, save, saved_id
from tests.web.roles import client_of
from tests.web.test_access import add_tank
from tests.web.visits import csrf_of, seen

SIPHON = "/tank/1/job?job=siphon"


@pytest.fixture
def pool(record: Record) -> int:
    """A second tank beside the first."""
    return add_tank(record, "Pool")


def reached(record: Record, tank_id: int) -> set[str]:
    with record.database.reading() as session:
        found = trace.trace(session, Asked(since=MONDAY.date(), tank_id=tank_id))
    return {each.name for each in found if each.steps}


def test_with_one_tank_nothing_is_asked(adult: CheckedClient) -> None:
    assert "other_tank" not in opened(adult, SIPHON)


@pytest.mark.usefixtures("pool")
def test_pupils_are_not_asked(helper: CheckedClient) -> None:
    assert "Shared with another tank" not in helper.get(SIPHON).text


@pytest.mark.parametrize("url", ["/tank/1/job?job=siphon", "/tank/1/animals/1/arrive",
                                 "/tank/1/animals-entry", "/tank/1/change"])  # fmt: skip
def test_jobs_arrivals_and_changes_ask_it(adult: CheckedClient, pool: int, url: str) -> None:
    form = opened(adult, url)
    assert form["other_tank"] == ""
    answer = save(adult, url, other_tank=str(pool))
    assert answer.status_code == 422
    assert "Tick what was shared with that tank." in answer.text


def test_it_is_traced_goes_with_the_entry_and_stays_in_a_correction(
    adult: CheckedClient, record: Record, pool: int
) -> None:
    entry = saved_id(save(adult, SIPHON, other_tank=str(pool), things=["net-also"]))
    assert reached(record, pool) == {"Brook"}
    assert reached(record, record.tank_id) == {"Pool"}
    assert "Net also used in Pool" in seen(adult, "/tank/1/story")
    fix = f"/tank/1/entry/{entry}/fix"
    assert opened(adult, fix)["other_tank"] == str(pool)
    fixed = saved_id(save(adult, fix, reason="misread", things=["water-from"]))
    assert reached(record, pool) == {"Brook"}
    assert reached(record, record.tank_id) == set(), "water came only from the other tank"
    with record.database.reading() as session:
        assert trace.shared_by(session, entry) == (Sharing(pool, Shared.NET, Way.ALSO),)
    undo = {"csrf_token": csrf_of(adult, SIPHON)}
    assert adult.post(f"/tank/1/entry/{fixed}/undo", data=undo).status_code == 303
    assert reached(record, record.tank_id) == {"Pool"}, "the first entry counts again"
    assert adult.post(f"/tank/1/entry/{entry}/undo", data=undo).status_code == 303
    assert reached(record, pool) == set()


def test_a_move_is_a_contact_of_its_own(adult: CheckedClient, record: Record, pool: int) -> None:
    answer = save(adult, "/tank/1/animals/1/move", to_tank=str(pool), count="2", early="yes")
    assert answer.status_code == 303, answer.text
    assert reached(record, record.tank_id) == {"Pool"}
    assert reached(record, pool) == set()
    assert "Brook → fish on Monday 8 February 2027 → Pool" in seen(adult, "/trace?tank=1")


def test_a_failed_piece_counts_with_its_lot(
    adult: CheckedClient, record: Record, pool: int
) -> None:
    heater = EquipmentDraft(kind="heater", name="Heater 0", lot="H-17", since=MONDAY.date())
    with record.database.writing() as session:
        one = equipment.add(session, record.tank_id, heater)
    url = f"/tank/1/equipment/{one}"
    token = {"csrf_token": csrf_of(adult, url)}
    assert adult.post(f"{url}/failed", data=token).status_code == 303
    assert "It broke on Monday 8 February 2027" in seen(adult, url)
    assert "H-17 Heater 0 1 too few to tell" in seen(adult, "/equipment")
    with record.database.writing() as session:
        for n in range(1, 10):
            more = EquipmentDraft(kind="heater", name=f"Heater {n}", lot="h-17")
            equipment.add(session, pool, more)
    # by hand: 1 of 10 with z = 1.645 (Wilson 1927) lies between 2.3 and 35 percent
    assert "H-17 Heater 9 1 10 %, likely 2 to 35 %" in seen(adult, "/equipment")
    assert adult.post(f"{url}/not-failed", data=token).status_code == 303
    assert "H-17 Heater 10 0 0 %" in seen(adult, "/equipment?kind=heater&lot=H-17")


def test_a_template_holds_until_a_tank_has_a_range_of_its_own(
    adult: CheckedClient, record: Record, pool: int
) -> None:
    assert save(adult, "/templates", name="Lowmoor tropical").location == "/templates/1"
    page = "/templates/1"
    saved = save_form(adult, page, 0, temperature_low="23", temperature_high="26", ph_high="7.5")
    assert saved == 303
    assert save_form(adult, page, 2, place="1") == 303
    warm = Quantity.TEMPERATURE
    with record.database.writing() as session:
        own = tanks.tank(session, pool).own_range(warm)
        assert own == Range(quantity=warm, low=23, high=26, template="Lowmoor tropical")
        tanks.set_range(session, record.tank_id, warm, 24, 27, set_by="Ms Reed")
        found = tanks.tank(session, record.tank_id)
        assert [r.said for r in found.ranges] == [
            "template Lowmoor tropical", "set for this tank by Ms Reed",
        ] or {r.said for r in found.ranges} == {
            "template Lowmoor tropical", "set for this tank by Ms Reed",
        }  # fmt: skip
    assert "its own: Temperature 24 to 27 °C" in seen(adult, page)
    assert "2 tanks, 1 with ranges of their own" in seen(adult, page)
    # the form of a tank holds its own ranges only, so that saving it copies nothing
    form = opened(adult, f"/tank/{pool}/ranges")
    assert form["temperature_low"] == ""
    assert "now: 23 to 26 °C, our range" in seen(adult, f"/tank/{pool}/ranges")
    save(adult, f"/tank/{pool}/ranges")
    with record.database.reading() as session:
        assert tanks.tank(session, pool).overrides == ()
        assert target_templates.template(session, 1).tanks == 2
    removal = {"csrf_token": csrf_of(adult, page)}
    assert adult.post(f"{page}/remove", data=removal).location == page
    off = removal | {"tanks": ["1", str(pool)]}
    assert adult.post(f"{page}/take-off", data=off).status_code == 303
    assert adult.post(f"{page}/remove", data=removal).location == "/templates"
    with record.database.reading() as session:
        assert tanks.tank(session, pool).own_range(warm) is None


def save_form(client: CheckedClient, url: str, at: int, **changed: str) -> int:
    """Fill the form at that place of a page and send it to its own address."""
    filled = opened(client, url, at=at) | {
        f"on-{k}" if at == 2 else k: v for k, v in changed.items()
    }
    target = f"{url}/put-on" if at == 2 else url
    return client.post(target, data=filled).status_code


@pytest.mark.parametrize("role", [Role.TECHNICIAN, Role.KEEPER])
def test_whoever_has_one_tank_reads_nothing_of_the_other_and_sets_up_no_more(
    adult: CheckedClient, record: Record, clock: FixedClock, pool: int, role: Role
) -> None:
    save(adult, SIPHON, other_tank=str(pool), things=["net-also"])
    theirs = client_of(role, adult.application, record, clock, tanks=[record.tank_id])
    story = seen(theirs, "/tank/1/story")
    assert "Net also used in another tank" in story
    assert "Pool" not in story
    assert theirs.get(f"/tank/{pool}/").status_code == 404
    for whole in ("/tank/new", "/settings/new-place"):
        assert theirs.get(whole).status_code == 403
