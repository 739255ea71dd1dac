"""Setting up a tank, its animals, kits, scoop, plan and ranges through their pages."""

from dataclasses import replace

import pytest

from app.domain.quantities import Quantity
from app.services import kits, tanks
from app.services.livestock import animals
from app.services.sites import FIRST
from tests.page_checker import CheckedClient
from tests.record import MONDAY, Record
from tests.web.filling import form_on, opened, save
from tests.web.visits import seen, words_of

# a class tank, 78 by 34 cm inside: 78 x 34 x 36 = 95.5 L, 5 cm of sand with 40 % pores take
# 8.0 L, stones 2.5 L (arithmetic)
BROOK = {
    "name": "Brook Two",
    "setting": "class",
    "length_cm": "78",
    "width_cm": "34",
    "water_depth_cm": "36",
    "rim_cm": "42",
    "sand_front_cm": "5",
    "sand_back_cm": "5",
    "displacement_l": "2,5",
}


def test_a_new_tank_from_its_measures(fresh: CheckedClient) -> None:
    answer = save(fresh, "/tank/new", **BROOK)

    assert answer.status_code == 303
    page = seen(fresh, answer.location)
    assert "78 × 34 × 36 ÷ 1000 = 95.5 L" in page
    assert "95.5 − 8.0 − 2.5 = 85.0 L = 22.5 US gal" in page
    assert "Brook Two is set up." in page


def test_a_tank_without_sand_takes_nothing_off(fresh: CheckedClient) -> None:
    bare = {"sand_front_cm": "", "sand_back_cm": "", "displacement_l": ""}
    page = seen(fresh, save(fresh, "/tank/new", **BROOK | bare).location)
    assert "95.5 L of water. Sand, stones and gear are not counted yet." in page
    assert "Starting, step by step" in page


def test_the_working_is_shown_before_anything_is_saved(fresh: CheckedClient) -> None:
    form = opened(fresh, "/tank/new") | BROOK | {"pores": "0", "work": "out"}

    answer = fresh.post("/tank/new", data=form)

    # without pores the sand takes 13.26 L: 95.47 - 13.26 - 2.5 = 79.7 (arithmetic)
    assert answer.status_code == 200
    assert "79.7 L" in words_of(answer.text)
    assert "Brook Two" not in words_of(fresh.get("/tanks").text)


def test_a_changed_measure_is_named(adult: CheckedClient, record: Record) -> None:
    answer = save(adult, "/tank/1/measures", pores="0")

    page = seen(adult, answer.location)
    assert "Water between the grains: 40 → 0. Water in the tank: 85.0 L → 79.7 L." in page
    assert "Length: 78" not in page


@pytest.mark.parametrize(
    ("changed", "sentence"),
    [
        ({"name": ""}, "Enter a name for the tank."),
        ({"name": "brook"}, "There is a tank called"),
        ({"length_cm": ""}, "Enter the length in cm."),
        ({"length_cm": "0"}, "Enter more than 0."),
        ({"length_cm": "long"}, "Write the length in cm with digits only."),
        ({"water_depth_cm": "43"}, "higher than the rim"),
        ({"sand_back_cm": "37"}, "higher than the water"),
        ({"displacement_l": "90"}, "leave no water"),
        ({"pores": "100"}, "from 0 to 99"),
        ({"light_hours": "25"}, "from 0 to 24"),
        ({"length_cm": "2 feet"}, "Write the length in cm with digits only."),
        ({"length_cm": "23 1/0 in"}, "Write the length in cm with digits only."),
        ({"started_on": "2027-02-09"}, "That day has not come yet."),
        ({"mature_on": "2027-02-09"}, "That day has not come yet."),
    ],
)
def test_measures_that_cannot_be(
    adult: CheckedClient, changed: dict[str, str], sentence: str
) -> None:
    form = opened(adult, "/tank/new") | BROOK | changed

    answer = adult.post("/tank/new", data=form)

    assert answer.status_code == 422
    assert sentence in words_of(answer.text)
    name, typed = next(iter(changed.items()))
    assert form_on(answer.text)[name] == typed


@pytest.mark.parametrize(
    ("typed", "cm"),
    [
        ("60.5", 60.5),
        ("60,5 cm", 60.5),
        # an inch is 2.54 cm by definition (International yard and pound agreement, 1959)
        ("24 in", 60.96),
        ("24 IN", 60.96),
        ("24 CM", 24.0),
        ("24in.", 60.96),
        ("23 1/2 inches", 59.69),
        ('23,5"', 59.69),
        ("30 3/4 in", 78.105),
    ],
)
def test_a_length_in_inches_is_kept_in_cm(
    adult: CheckedClient, record: Record, typed: str, cm: float
) -> None:
    save(adult, "/tank/1/measures", sand_front_cm="0", sand_back_cm="0", length_cm=typed)
    with record.database.reading() as session:
        assert tanks.tank(session, 1).shape.length_cm == pytest.approx(cm)


@pytest.mark.parametrize(
    ("typed", "liters"),
    [
        ("2.5 L", 2.5),
        # a US gallon is 231 cubic inches (NIST Handbook 44, appendix C)
        ("0.5 gal", 1.893),
        ("0,5 US gal.", 1.893),
        ("1 1/2 gallons", 5.678),
    ],
)
def test_stones_in_us_gallons_are_kept_in_liters(
    adult: CheckedClient, record: Record, typed: str, liters: float
) -> None:
    save(adult, "/tank/1/measures", displacement_l=typed)
    with record.database.reading() as session:
        assert tanks.tank(session, 1).shape.displacement_l == pytest.approx(liters)


@pytest.mark.parametrize("typed", ["gal", "1/0 gal", "2 quarts"])
def test_stones_in_no_known_amount_are_asked_for_again(adult: CheckedClient, typed: str) -> None:
    answer = save(adult, "/tank/1/measures", displacement_l=typed)

    assert answer.status_code == 422
    assert "Write what stones and gear take, in liters with digits only." in answer.text
    assert form_on(answer.text)["displacement_l"] == typed


def test_a_name_is_given_once(adult: CheckedClient, record: Record) -> None:
    form = opened(adult, "/tank/new") | BROOK
    assert adult.post("/tank/new", data=form).status_code == 303
    assert adult.post("/tank/new", data=form).status_code == 422

    with record.database.reading() as session:
        assert len(tanks.tank_lines(session)) == 2


def test_a_group_moves_in_with_its_count(adult: CheckedClient, record: Record) -> None:
    form = opened(adult, "/tank/1/animals") | {
        "name": "Amano shrimp", "count": "4", "band": "bottom", "adult_cm": "5",
    }  # fmt: skip

    assert adult.post("/tank/1/animals", data=form).status_code == 303
    assert adult.post("/tank/1/animals", data=form).status_code == 422

    with record.database.reading() as session:
        groups = animals.groups(session, 1, now=MONDAY)
    assert [(g.name, g.count) for g in groups if g.band == "bottom"] == [
        ("peppered cory", 6),
        ("Amano shrimp", 4),
    ]
    assert "Amano shrimp" in seen(adult, "/tank/1/set-up")


@pytest.mark.parametrize(
    "changed", [{"name": " "}, {"count": ""}, {"count": "2.5"}, {"band": "roof"}]
)
def test_a_group_needs_a_name_a_count_and_a_place(
    adult: CheckedClient, changed: dict[str, str]
) -> None:
    typed = {"name": "Shrimp", "count": "4"} | changed
    assert save(adult, "/tank/1/animals", **typed).status_code == 422


def test_a_kit_brings_its_colors_to_the_test_page(adult: CheckedClient, record: Record) -> None:
    answer = save(
        adult,
        "/tank/1/kits",
        unit="nitrate|mg/L|as N",
        name="Strip box",
        steps="0 1 2,5 5 10",
        expires_on="2027-01-01",
    )

    assert answer.status_code == 303
    assert "that is past" in seen(adult, "/tank/1/kits")
    page = seen(adult, "/tank/1/test")
    assert "2.5 mg/L" in page
    assert "Strip box, as N" in page

    with record.database.reading() as session:
        (kit,) = kits.kits(session, FIRST)
    csrf = opened(adult, "/tank/1/kits")["csrf_token"]
    adult.post(f"/tank/1/kits/{kit.id}/put-away", data={"csrf_token": csrf})
    assert "Strip box" not in seen(adult, "/tank/1/test")


@pytest.mark.parametrize(
    ("steps", "sentence"),
    [
        ("5 2 10", "from the lowest to the highest"),
        ("1 1 2", "from the lowest to the highest"),
        ("5", "2 to 20 colors"),
        ("0 5 many", "with spaces between"),
        ("-1 5", "with spaces between"),
    ],
)
def test_colors_are_numbers_that_rise(adult: CheckedClient, steps: str, sentence: str) -> None:
    answer = save(adult, "/tank/1/kits", unit="nitrate|mg/L|as N", name="Strip", steps=steps)

    assert answer.status_code == 422
    assert sentence in words_of(answer.text)


def test_twenty_scoops_tell_what_one_weighs(adult: CheckedClient, record: Record) -> None:
    answer = save(adult, "/tank/1/scoop", scoops="20", grams="2,4")

    assert "one flat scoop is 0.12 g" in seen(adult, answer.location)
    assert save(adult, "/tank/1/scoop", scoops="0", grams="2").status_code == 422
    assert save(adult, "/tank/1/scoop", scoops="20", grams="0").status_code == 422


def test_the_care_plan(adult: CheckedClient, record: Record) -> None:
    answer = save(
        adult, "/tank/1/plan", feed_weekdays=["0", "2", "4"], water_change_days="14",
        water_change_percent="30",
    )  # fmt: skip

    assert answer.status_code == 303
    with record.database.reading() as session:
        plan = tanks.tank(session, 1).plan
    assert plan.feed_weekdays == {0, 2, 4}
    assert (plan.water_change_days, plan.water_change_percent) == (14, 30)
    assert save(adult, "/tank/1/plan", water_change_days="61").status_code == 422
    assert save(adult, "/tank/1/plan", water_change_percent="0").status_code == 422


def test_our_own_range_and_back_to_the_general(adult: CheckedClient, record: Record) -> None:
    save(adult, "/tank/1/ranges", temperature_low="23", temperature_high="26")
    with record.database.reading() as session:
        own = tanks.tank(session, 1).own_range(Quantity.TEMPERATURE)
    assert own is not None
    assert (own.low, own.high, own.set_by) == (23, 26, "Grown-up in charge")

    assert save(adult, "/tank/1/ranges", temperature_low="26").status_code == 422
    save(adult, "/tank/1/ranges", temperature_low="", temperature_high="")
    with record.database.reading() as session:
        assert tanks.tank(session, 1).own_range(Quantity.TEMPERATURE) is None


@pytest.mark.parametrize("page", ["set-up", "measures", "animals", "kits", "scoop", "plan"])
def test_set_up_is_for_adults(helper: CheckedClient, page: str) -> None:
    assert helper.get(f"/tank/1/{page}").status_code == 403


@pytest.mark.parametrize(
    ("measures", "answer"),
    [
        # pi x 20 x 20 x 30 = 37.7 L (geometry)
        ({"shape": "cylinder", "length_cm": "40"}, "37.7 L"),
        # 0.866 x 40 x 40 x 30 = 41.6 L (geometry)
        ({"shape": "hexagon", "length_cm": "40"}, "41.6 L"),
        # slice of a circle over a chord of 80, 8 high: 430 cm2 (geometry)
        ({"shape": "bow_front", "length_cm": "80", "width_cm": "30", "bow_cm": "8"}, "84.9 L"),
        # a ball of 40, cut through its middle: 2/3 x pi x 20^3 = 16.8 L (geometry)
        (
            {"shape": "bowl", "length_cm": "40", "base_cm": "0", "water_depth_cm": "20",
             "rim_cm": "30"},
            "16.8 L",
        ),
    ],
)  # fmt: skip
def test_a_tank_of_any_shape(fresh: CheckedClient, measures: dict[str, str], answer: str) -> None:
    saved = save(
        fresh, "/tank/new", **{"name": "Round", "water_depth_cm": "30", "pores": "40"} | measures
    )

    assert saved.status_code == 303
    assert f"= {answer}" in seen(fresh, saved.location)
    form = opened(fresh, saved.location.replace("set-up", "measures"))
    assert {name: form.get(name) for name in measures} == measures


@pytest.mark.parametrize(
    ("changed", "sentence"),
    [
        ({"shape": "bow_front"}, "at most half the length"),
        ({"shape": "bow_front", "bow_cm": "40"}, "at most half the length"),
        ({"shape": "bowl"}, "Enter the diameter of the flat bottom."),
        ({"shape": "bowl", "base_cm": "79"}, "cannot be wider than the bowl"),
        ({"shape": "bowl", "base_cm": "0", "length_cm": "30"}, "higher than the bowl"),
        ({"width_cm": ""}, "Enter the width in cm."),
        ({"shape": "egg"}, "Choose the shape of the glass."),
    ],
)
def test_glass_that_cannot_be(adult: CheckedClient, changed: dict[str, str], sentence: str) -> None:
    form = opened(adult, "/tank/new") | BROOK | {"sand_front_cm": "", "sand_back_cm": ""} | changed

    answer = adult.post("/tank/new", data=form)

    assert answer.status_code == 422
    assert sentence in words_of(answer.text)


def test_new_measures_leave_the_rest_as_it_is(adult: CheckedClient, record: Record) -> None:
    with record.database.writing() as session:
        known = tanks.tank(session, record.tank_id)
        tanks.change_tank(session, record.tank_id, replace(known.facts, cover="closed"))

    save(adult, f"/tank/{record.tank_id}/measures", pores="30")

    with record.database.reading() as session:
        changed = tanks.tank(session, record.tank_id)
    assert (changed.cover, changed.shape.sand_pore_share) == ("closed", 0.3)
