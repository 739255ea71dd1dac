"""Look, test, water change, jobs and animals, each through its page."""

import pytest

from app.domain.drafts import NewLook
from app.domain.kit import KitFacts
from app.domain.quantities import Quantity
from app.domain.records import EntryKind
from app.services import kits
from app.services.livestock import animals
from app.services.sites import FIRST
from tests.page_checker import CheckedClient
from tests.record import MONDAY, Record, reading
from tests.web.filling import form_on, lines, opened, save, saved_id
from tests.web.visits import seen, words_of

TANK = "/tank/1"


def warm(record: Record, celsius: float) -> None:
    """Somebody read the thermometer just now."""
    record.write(NewLook(), reading(Quantity.TEMPERATURE, celsius))


def add_kit(record: Record, quantity: Quantity, unit: str, basis: str, *steps: float) -> int:
    draft = KitFacts(quantity=quantity, name="Card A", unit=unit, basis=basis, steps=steps)
    with record.database.writing() as session:
        return kits.add_kit(session, FIRST, draft)


# look and count


def test_the_calm_day_takes_one_tap(helper: CheckedClient, record: Record) -> None:
    save(helper, f"{TANK}/look", hands=str(record.otter), seen="16")  # the tile is remembered
    quick = opened(helper, f"{TANK}/look", at=0)

    answer = helper.post(f"{TANK}/look", data=quick | {"all": "fine"})

    saved_id(answer)
    look = lines(record, EntryKind.OBSERVATION)[0].detail
    assert (look.seen, look.expected) == (16, 16)
    assert (look.breathing_calm, look.lid_closed, look.plug_on) == (True, True, True)


def test_what_nobody_looked_at_stays_open(helper: CheckedClient, record: Record) -> None:
    saved_id(save(helper, f"{TANK}/look", hands=str(record.otter), lid_closed="no"))

    look = lines(record, EntryKind.OBSERVATION)[0].detail
    assert (look.seen, look.lid_closed, look.breathing_calm, look.plug_on) == (
        None, False, None, None,
    )  # fmt: skip


def test_an_empty_look_is_no_look(helper: CheckedClient, record: Record) -> None:
    answer = save(helper, f"{TANK}/look", hands=str(record.otter))

    assert answer.status_code == 422
    assert "at least one thing" in answer.text
    assert lines(record, EntryKind.OBSERVATION) == ()


def test_more_than_expected_is_asked_about(helper: CheckedClient, record: Record) -> None:
    asked = save(helper, f"{TANK}/look", hands=str(record.otter), seen="17")

    assert asked.status_code == 422
    assert "Babies, or counted twice?" in words_of(asked.text)
    saved_id(helper.post(f"{TANK}/look", data=form_on(asked.text) | {"sure": "y"}))
    assert lines(record, EntryKind.OBSERVATION)[0].detail.seen == 17


@pytest.mark.parametrize("seen_text", ["16.5", "-1", "sixteen", "10001"])
def test_a_count_is_a_whole_number(helper: CheckedClient, record: Record, seen_text: str) -> None:
    answer = save(helper, f"{TANK}/look", hands=str(record.otter), seen=seen_text)

    assert answer.status_code == 422
    assert form_on(answer.text)["seen"] == seen_text


@pytest.mark.parametrize("page", ["look", "odd"])
@pytest.mark.parametrize("field", ["algae", "breathing_calm"])
def test_an_answer_that_is_not_offered_is_asked_for_again(
    helper: CheckedClient, record: Record, page: str, field: str
) -> None:
    typed = {"hands": str(record.otter), "seen": "15", "note": "cloudy", field: "x"}
    answer = save(helper, f"{TANK}/{page}", **typed)

    assert answer.status_code == 422
    assert "Choose how" in words_of(answer.text)
    kept = form_on(answer.text)
    assert (kept["seen"], kept["note"]) == ("15", "cloudy")
    assert lines(record, EntryKind.OBSERVATION) == ()


def test_something_odd_keeps_the_signs(helper: CheckedClient, record: Record) -> None:
    signs = ["gasping", "smell"]
    saved_id(
        save(helper, f"{TANK}/odd", hands=str(record.otter), signs=signs, note="By the filter")
    )

    (look,) = lines(record, EntryKind.OBSERVATION)
    assert set(look.detail.signs.split()) == set(signs)
    assert "By the filter" in look.lines
    assert (
        save(helper, f"{TANK}/odd", hands=str(record.otter), signs=["glowing"]).status_code == 422
    )


def test_a_count_with_a_sign_keeps_its_count_in_the_saved_line(
    helper: CheckedClient, record: Record
) -> None:
    answer = save(helper, f"{TANK}/look", hands=str(record.otter), seen="14", signs=["hiding"])
    saved_id(answer)

    said = seen(helper, answer.location)
    assert "Saved. Something odd: hiding · 14 of 16 seen" in said
    (look,) = lines(record, EntryKind.OBSERVATION)
    assert look.lines[0] == "14 of 16 seen"


# test water


def test_each_quantity_by_its_own_kit(helper: CheckedClient, record: Record) -> None:
    kit = add_kit(record, Quantity.AMMONIA, "mg/L", "as N", 0, 0.25, 0.5, 1, 2)
    page = seen(helper, f"{TANK}/test")
    assert "Lighter than" not in page  # nothing is lighter than a first color of 0
    assert "Darker than 2" in page

    saved_id(save(helper, f"{TANK}/test", hands=str(record.otter), ammonia="0.5", ph="7,4"))

    (test,) = lines(record, EntryKind.WATER_TEST)
    readings = {r.quantity: r for r in test.readings}
    ammonia = readings[Quantity.AMMONIA]
    assert (ammonia.low, ammonia.value, ammonia.high, ammonia.kit_id) == (0.25, 0.5, 1.0, kit)
    assert readings[Quantity.PH].value == 7.4
    assert set(readings) == {Quantity.AMMONIA, Quantity.PH}


def test_lighter_than_the_first_color_is_no_zero(helper: CheckedClient, record: Record) -> None:
    add_kit(record, Quantity.NITRATE, "mg/L", "as nitrate", 5, 10, 20)

    saved_id(save(helper, f"{TANK}/test", hands=str(record.otter), nitrate="lighter"))

    (nitrate,) = lines(record, EntryKind.WATER_TEST)[0].readings
    assert (nitrate.value, nitrate.low, nitrate.high) == (None, 0.0, 5.0)


def test_a_unit_of_its_own_is_kept_beside_the_value(helper: CheckedClient, record: Record) -> None:
    # 62.004 / 14.007: ratio of molar masses of nitrate and nitrogen (IUPAC 2021)
    saved_id(
        save(helper, f"{TANK}/test", hands=str(record.otter), nitrate="5", nitrate_unit="mg/L|as N")
    )

    (nitrate,) = lines(record, EntryKind.WATER_TEST)[0].readings
    assert nitrate.value == pytest.approx(22.13, abs=0.01)
    assert (nitrate.typed, nitrate.basis) == ("5", "as N")


@pytest.mark.parametrize(
    ("typed", "sentence"),
    [("74", "Did you mean 7.4?"), ("14.2", "higher than any tank"), ("7e0", "digits only")],
)
def test_a_ph_that_cannot_be_is_refused(
    helper: CheckedClient, record: Record, typed: str, sentence: str
) -> None:
    answer = save(helper, f"{TANK}/test", hands=str(record.otter), ph=typed)

    assert answer.status_code == 422
    assert sentence in words_of(answer.text)
    assert lines(record, EntryKind.WATER_TEST) == ()


def test_nothing_tested_is_no_test(helper: CheckedClient, record: Record) -> None:
    answer = save(helper, f"{TANK}/test", hands=str(record.otter), note="x")

    assert answer.status_code == 422
    assert lines(record, EntryKind.WATER_TEST) == ()


# water change


def test_the_plan_is_worked_out_before_the_pour(adult: CheckedClient, record: Record) -> None:
    warm(record, 25.0)

    page = seen(adult, f"{TANK}/change")

    # 25 % of 85.0 L; 21.25 L over 78 by 34 cm; 25 - 1 x 85 / 21.25 = 21.0 (arithmetic)
    assert "25 % of the water" in page
    assert "21 L" in page
    assert "8 cm" in page
    assert "21.0 °C" in page
    assert "Never start a siphon with your mouth" in page


def test_much_colder_water_is_asked_about_and_never_blocked(
    adult: CheckedClient, record: Record
) -> None:
    warm(record, 25.0)
    typed = {"liters_out": "34", "new_water": "18", "treated": "yes"}

    asked = save(adult, f"{TANK}/change", **typed)

    # 34 L of 18 °C into 51 L of 25 °C: (51 x 25 + 34 x 18) / 85 = 22.2 (balance of heat)
    assert asked.status_code == 422
    assert "7.0 °C colder than the tank. The tank would fall to 22.2 °C." in words_of(asked.text)
    saved_id(adult.post(f"{TANK}/change", data=form_on(asked.text) | {"cold_known": "y"}))
    job = lines(record, EntryKind.JOB)[0].detail
    assert (job.liters_out, job.liters_in, job.new_water_c, job.treated) == (34, 34, 18, "yes")


@pytest.mark.parametrize(("new_water", "status"), [("23.0", 303), ("22.9", 422)])
def test_two_degrees_colder_is_where_it_asks(
    adult: CheckedClient, record: Record, new_water: str, status: int
) -> None:
    warm(record, 25.0)
    typed = {"liters_out": "10", "new_water": new_water, "treated": "yes"}

    assert save(adult, f"{TANK}/change", **typed).status_code == status


def test_level_and_gallons_become_liters(adult: CheckedClient, record: Record) -> None:
    # 10 cm of 78 by 34 cm are 26.52 L; a US gallon is 3.785411784 L (NIST Handbook 44)
    saved_id(save(adult, f"{TANK}/change", level_out="10", treated="no"))
    saved_id(save(adult, f"{TANK}/change", liters_out="2", volume_unit="gal", treated="unknown"))

    second, first = lines(record, EntryKind.JOB)
    assert first.detail.liters_out == pytest.approx(26.52)
    assert second.detail.liters_out == pytest.approx(7.570823568)


@pytest.mark.parametrize(
    ("typed", "field"),
    [
        ({"treated": "yes"}, "how much water came out"),
        ({"liters_out": "90", "treated": "yes"}, "The tank holds 85 L"),
        ({"liters_out": "20"}, "Choose whether conditioner"),
        ({"liters_out": "20", "treated": "yes", "new_water": "77"}, "Did you mean"),
        ({"job": "top_up", "treated": "yes"}, "how much water went in"),
    ],
)
def test_what_is_missing_is_said(
    adult: CheckedClient, record: Record, typed: dict[str, str], field: str
) -> None:
    answer = save(adult, f"{TANK}/change", **typed)

    assert answer.status_code == 422
    assert field in words_of(answer.text)
    assert lines(record, EntryKind.JOB) == ()


def test_a_top_up_is_no_water_change(helper: CheckedClient, record: Record) -> None:
    answer = save(
        helper, f"{TANK}/change?job=top_up", hands=str(record.otter), liters_in="3", treated="yes"
    )

    saved_id(answer)
    job = lines(record, EntryKind.JOB)[0].detail
    assert (job.job, job.liters_out, job.liters_in) == ("top_up", None, 3)


# jobs and animals


def test_a_filter_rinse_asks_in_what(helper: CheckedClient, record: Record) -> None:
    url = f"{TANK}/job?job=filter_rinse"
    assert "Rinse the sponge in tank water" in seen(helper, url)

    assert save(helper, url, hands=str(record.otter)).status_code == 422
    saved_id(save(helper, url, hands=str(record.otter), rinse="tank"))
    assert lines(record, EntryKind.JOB)[0].detail.rinse == "tank"


def test_jobs_are_chosen_from_a_list(helper: CheckedClient, record: Record) -> None:
    page = seen(helper, f"{TANK}/job")
    assert "Glass wiped" in page
    assert "Treatment" not in page

    saved_id(save(helper, f"{TANK}/job?job=glass", hands=str(record.otter)))
    assert lines(record, EntryKind.JOB)[0].detail.job == "glass"


@pytest.mark.parametrize("url", ["job?job=treatment", "job?job=equipment_check", "animals-entry"])
def test_some_entries_are_for_adults(
    helper: CheckedClient, adult: CheckedClient, record: Record, url: str
) -> None:
    form = opened(adult, f"{TANK}/{url}")

    csrf = opened(helper, f"{TANK}/feed")["csrf_token"]
    assert helper.get(f"{TANK}/{url}").status_code == 403
    assert helper.post(f"{TANK}/{url}", data=form | {"csrf_token": csrf}).status_code == 403


def test_animals_come_and_are_found_dead(adult: CheckedClient, record: Record) -> None:
    url = f"{TANK}/animals-entry"
    assert save(adult, url, group="1", what="died", count="0").status_code == 422
    assert save(adult, url, group="99", what="died", count="1").status_code == 422

    saved_id(save(adult, url, group="1", what="died", count="1"))

    with record.database.reading() as session:
        groups = animals.groups(session, 1, now=MONDAY)
    assert sum(g.count for g in groups) == 15
