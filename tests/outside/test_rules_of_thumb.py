"""Rules of thumb of the trade: common practice, no source. Where evidence disagrees, it wins."""

import csv
from importlib.resources import files

import pytest

from app.science import dilution, heat, metabolism, nitrogen, shapes, tap_water, units, volume
from app.science.units import celsius_from_fahrenheit, cm_from_inches, pounds_from_kg

INCH = cm_from_inches(1.0)
GALLON = units.liters_from_us_gallons(1.0)


def test_a_bed_of_two_inches_in_front_and_four_at_the_back() -> None:
    # common practice, no source. On a base with its middle halfway it counts as 3 inches.
    for base in (
        shapes.box(24 * INCH, 12 * INCH),
        shapes.cylinder(12 * INCH),
        shapes.hexagon(12 * INCH),
    ):
        assert base.bed_l(2 * INCH, 4 * INCH) == pytest.approx(base.volume_l(3 * INCH))
    # On a bow front the corners beside the bow are missing, where the bed would be low: a little
    # more lies on the rest.
    bow = shapes.bow_front(36 * INCH, 12 * INCH, 5 * INCH)
    assert 1.0 < bow.bed_l(2 * INCH, 4 * INCH) / bow.volume_l(3 * INCH) < 1.05


def test_that_bed_takes_less_water_than_it_looks() -> None:
    # common practice counts the whole bed; the evidence (pores of 0.4) leaves 60 % of it
    tank = volume.net_volume_l(
        length_cm=24 * INCH,
        width_cm=12 * INCH,
        water_depth_cm=14 * INCH,
        sand_front_cm=2 * INCH,
        sand_back_cm=4 * INCH,
        pore_share=0.4,
    )
    assert tank.sand_bed_l / tank.gross_l == pytest.approx(3 / 14)
    assert 1 - tank.net_l / tank.gross_l == pytest.approx(0.6 * 3 / 14)


def test_the_water_line_two_inches_under_the_rim() -> None:
    # common practice, no source. In a tank of 12 inches that is a sixth of its nominal volume,
    # more than the 5 to 10 % that a gap of 2 to 4 cm is said to cost.
    nominal, filled = (volume.box_l(24 * INCH, 12 * INCH, h * INCH) for h in (12, 10))
    assert 1 - filled / nominal == pytest.approx(1 / 6)
    assert volume.level_change_l(24 * INCH, 12 * INCH, 2 * INCH) == pytest.approx(nominal - filled)


@pytest.mark.parametrize("loss_per_hour", [0.030, 0.040])
def test_tap_water_that_stands_for_a_day_still_has_chlorine(loss_per_hour: float) -> None:
    # common practice, no source: "let it stand for 24 hours or longer". The evidence: about half
    # of free chlorine remains, so that conditioner by its label stays the advice.
    left = tap_water.left_after_standing(1.0, loss_per_hour, 24.0)
    assert 0.35 < left < 0.55


def test_tap_water_that_stands_for_a_day_has_nearly_all_its_chloramine() -> None:
    # The evidence (Garcia and Anderson 2017): 92 % after a day in the open, and 70 % even when
    # bubbled.
    assert tap_water.left_after_standing(1.0, 0.08 / 24, 24.0) > 0.9
    assert tap_water.left_after_standing(1.0, 0.35 / 24, 24.0) == pytest.approx(0.70, abs=0.01)


def test_new_water_and_bag_at_the_tanks_own_temperature() -> None:
    # common practice, no source: it is the only water that cannot change the tank at all
    assert dilution.mixing_temperature(25.0, 51.0, 25.0, 34.0) == pytest.approx(25.0)
    assert dilution.lowest_new_water_c(25.0, 51.0, 34.0, allowed_drop_c=0.0) == 25.0


def test_seventy_fahrenheit_is_cool_for_most_species() -> None:
    # "about 70 °F for mixed warm-water tanks": common practice, no source. The needs of the chosen
    # species decide, and most of them want more.
    quoted_c = celsius_from_fahrenheit(70.0)
    assert quoted_c == pytest.approx(21.1, abs=0.05)
    text = (files("app.knowledge") / "species.csv").read_text("utf-8")
    ranges = [
        (float(row["temp_min_c"]), float(row["temp_max_c"]))
        for row in csv.DictReader(text.splitlines())
        if row["temp_min_c"] and row["temp_max_c"]
    ]
    want_more = sum((low + high) / 2 > quoted_c for low, high in ranges)
    assert len(ranges) > 50
    assert want_more / len(ranges) > 0.5


def test_one_meal_a_day_is_what_a_grown_fish_burns() -> None:
    # common practice, no source: one small meal daily, 1 to 2 % of the mass for grown fish. The
    # balance of energy asks for rather less.
    shares = [
        metabolism.maintenance_ration_mg_per_day(mass, 25.0) / (1000 * mass)
        for mass in (0.2, 0.5, 1.0, 2.0)
    ]
    assert all(0.007 < share < 0.015 for share in shares)
    assert min(shares) < 0.01


def test_more_animals_want_more_plants() -> None:
    # common practice, no source; the balance of nitrogen agrees: twice the food needs twice the
    # plants for nitrate not to rise
    def plants_g(feed_g: float) -> float:
        per_gram = nitrogen.plant_uptake_mg_per_day(1.0, 0.01, 26.5)
        return nitrogen.ammonia_n_mg(feed_g, 0.45) / per_gram

    assert plants_g(0.28) == pytest.approx(2 * plants_g(0.14))
    assert nitrogen.nitrate_per_day_mg_per_l(
        nitrogen.ammonia_n_mg(0.14, 0.45),
        40.0,
        plant_uptake_mg_per_day=nitrogen.plant_uptake_mg_per_day(plants_g(0.14), 0.01, 26.5),
    ) == pytest.approx(0.0)


def test_three_to_five_watts_a_gallon() -> None:
    # common practice, no source: 47 to 78 W for 59 L. It holds for 5 °C over the room, and not for
    # an open tank 10 °C over it: loss goes with surface and difference, not with volume.
    def loss_w(room_c: float) -> float:
        depth_m = 0.059 / 0.18
        return heat.heat_loss(
            glass_m2=1.8 * depth_m,
            base_m2=0.18,
            surface_m2=0.18,
            water_c=25.0,
            room_c=room_c,
            relative_humidity=0.5,
            covered=False,
        ).total_w

    gallons = 59.0 / GALLON
    assert 3 * gallons < loss_w(20.0) < 5 * gallons
    assert loss_w(15.0) > 5 * gallons


def test_ten_pounds_a_gallon_filled() -> None:
    # common practice, no source; a 15-gallon glass box of 6 mm with its bed comes near it
    sides = {"length_cm": 24 * INCH, "width_cm": 12 * INCH}
    net = volume.net_volume_l(
        **sides, water_depth_cm=11 * INCH, sand_front_cm=5.0, sand_back_cm=5.0, pore_share=0.4
    )
    mass_kg = volume.filled_mass_kg(
        net_l=net.net_l,
        sand_dry_kg=volume.sand_mass_kg(net.sand_bed_l, 1.55),
        decor_kg=3.0,
        glass_kg=volume.glass_mass_kg(**sides, height_cm=12 * INCH, thickness_mm=6.0),
    )
    assert pounds_from_kg(mass_kg) / 15.0 == pytest.approx(10.0, rel=0.15)
