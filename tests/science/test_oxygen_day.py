"""A tank's oxygen through day and night: a worked example by hand, and what changes it.

The tank of the example: 60 by 30 cm, 40 L, 25 °C, ten hours of light, 14 g of fish, 10.8 g of dry
plants, 0.14 g of food a day with 45 % protein.
"""

import math
from dataclasses import asdict, replace

import numpy as np
import pytest

from app.science import oxygen_day
from app.science.metabolism import routine_oxygen_mg_per_h
from app.science.oxygen import saturation_mg_per_l
from app.science.oxygen_day import OxygenDay, dawn_and_dusk, hours_to_fall, settled_course

AREA_M2 = 0.18
FISH = ((10, 0.3), (6, 0.5), (4, 2.0))


def a_tank(
    *,
    k_l: float = 0.03,
    air_l_per_min: float = 0.0,
    celsius: float = 25.0,
    plants_g: float = 10.8,
    feed_mg: float = 140.0,
    bed_g_per_m2: float = 0.4,
    times_fish: float = 1.0,
    light_hours: float = 10.0,
) -> OxygenDay:
    """The tank of the example, with one thing or another changed; no meal pulse."""
    fish = sum(n * float(routine_oxygen_mg_per_h(mass, celsius)) for n, mass in FISH)
    dark = 0.7 * 1.07 ** (celsius - 25.0)
    nitrifying = 4.57 * feed_mg * 0.45 * 0.092 / 24.0
    return OxygenDay(
        volume_l=40.0,
        saturation=float(saturation_mg_per_l(celsius)),
        exchange_l_per_h=1000.0 * k_l * AREA_M2 + 30.0 * air_l_per_min,
        made=(1000.0 * 0.01 * 1.2 + 24.0 * dark) / 10.0 * plants_g,
        plants=dark * plants_g,
        fish=1.15 * times_fish * fish,
        bacteria=nitrifying + 0.3 * feed_mg / 24.0,
        bed=bed_g_per_m2 * 1.065 ** (celsius - 25.0) * 1000.0 * AREA_M2 / 24.0,
        light_on_h=8.0,
        light_hours=light_hours,
    )


# each by an independent run of the same balance with rounded inputs, to two decimals
CASES = {
    "as it is": (a_tank(), 5.25, 8.99),
    "still surface": (a_tank(k_l=0.01), 2.49, 6.88),
    "strong ripple": (a_tank(k_l=0.08), 6.89, 8.97),
    "an air stone": (a_tank(air_l_per_min=1.0), 7.70, 8.57),
    "no plants": (a_tank(plants_g=0.0), 5.92, 5.92),
    "29 °C": (a_tank(celsius=29.0), 3.82, 8.22),
    "four times the food, foul sand": (a_tank(feed_mg=560.0, bed_g_per_m2=0.8), 3.42, 7.10),
    "twice the fish and food": (a_tank(times_fish=2.0, feed_mg=280.0), 3.48, 7.19),
    "lamp never on": (a_tank(light_hours=0.0), 4.63, 4.63),
}


@pytest.mark.parametrize(("day", "lowest", "highest"), CASES.values(), ids=CASES)
def test_lowest_and_highest_of_the_day(day: OxygenDay, lowest: float, highest: float) -> None:
    course = settled_course(day)

    assert course.lowest == pytest.approx(lowest, abs=0.015)
    assert course.highest == pytest.approx(highest, abs=0.015)


def test_dense_plants_lose_their_bubbles_by_day_and_lower_the_night() -> None:
    course = settled_course(a_tank(plants_g=27.0))

    assert course.highest == pytest.approx(13.2, abs=0.05)
    assert 4.1 < course.lowest < 4.26


def test_it_is_lowest_when_the_lamp_goes_on() -> None:
    assert settled_course(a_tank()).lowest_at_h == 8.0


def test_dawn_and_dusk_by_hand() -> None:
    dawn, dusk = dawn_and_dusk(a_tank())

    assert dawn == pytest.approx(5.09, abs=0.005)
    assert dusk == pytest.approx(8.86, abs=0.005)


@pytest.mark.parametrize("exchange_m_per_h", [0.03, 0.003, 0.0003])
def test_a_deep_still_tank_comes_down_to_its_course(exchange_m_per_h: float) -> None:
    # 60 cm deep: fish alone use the same at any oxygen above the critical one, so that the closed
    # form is exact; at 0.003 m/h water takes 8 days to forget where it began, at 0.0003 m/h 83
    deep = OxygenDay(
        volume_l=108.0, saturation=8.26, exchange_l_per_h=1000.0 * AREA_M2 * exchange_m_per_h,
        made=0.0, plants=0.0, fish=1000.0 * AREA_M2 * exchange_m_per_h * 5.0, bacteria=0.0,
        bed=0.0, light_on_h=8.0, light_hours=10.0,
    )  # fmt: skip

    course = settled_course(deep)

    assert dawn_and_dusk(deep)[0] == pytest.approx(3.26)
    assert course.lowest == pytest.approx(3.26, abs=0.02)


def test_uses_that_fall_off_still_settle_in_deep_water() -> None:
    deep = replace(a_tank(k_l=0.003, plants_g=2.0), volume_l=108.0)

    course = settled_course(deep)

    assert abs(course.mg_per_l[-1] - course.mg_per_l[0]) < oxygen_day.SETTLED_MG_PER_L
    assert course.lowest < 1.0


@pytest.mark.parametrize("light_on_h", [8.0, 20.0])
def test_the_first_guess_is_the_closed_form_at_midnight(light_on_h: float) -> None:
    # nothing falls off in this tank: the day ends at once where it began
    day = replace(
        a_tank(k_l=0.08), plants=0.0, bacteria=0.0, bed=0.0, made=40.0, light_on_h=light_on_h
    )

    course = settled_course(day)

    assert (course.at(light_on_h), course.at(light_on_h + 10.0)) == pytest.approx(
        dawn_and_dusk(day), abs=0.01
    )


def test_without_any_exchange_it_begins_full_of_oxygen() -> None:
    closed = replace(a_tank(plants_g=0.0), exchange_l_per_h=0.0)

    assert settled_course(closed).lowest == pytest.approx(0.0, abs=0.02)


def test_without_plants_light_changes_nothing() -> None:
    dawn, dusk = dawn_and_dusk(a_tank(plants_g=0.0))

    assert dawn == pytest.approx(dusk)


def test_a_meal_lowers_oxygen_and_wears_off() -> None:
    fed = replace(a_tank(), meals=((17.0, 0.5),))

    assert fed.meal_factor(17.0) == pytest.approx(1.5, abs=0.01)
    assert fed.meal_factor(23.0) == pytest.approx(1.0 + 0.5 / math.e, abs=0.01)
    assert settled_course(fed).lowest < settled_course(a_tank()).lowest


def test_a_power_cut_by_the_logarithm_of_constant_uses() -> None:
    # filter off: 1.8 L/h through a still surface, 19.66 mg/h used, 40 L; by hand
    # 22.2 h x ln(10.92 / 5.66) = 14.6 h from 8.26, 7.0 h from 5.09. With the uses that fall off
    # as oxygen does it takes longer, and never shorter.
    cut = replace(a_tank(k_l=0.01), bacteria=1.75)
    for start, constant in ((8.26, 14.6), (5.09, 7.0)):
        assert constant < hours_to_fall(cut, start, 3.0, most_h=72.0) < 1.15 * constant


def test_a_line_that_is_never_reached() -> None:
    lively = a_tank(k_l=0.08)

    assert hours_to_fall(lively, 8.0, 1.0, most_h=72.0) == math.inf
    with pytest.raises(ValueError, match="line must lie below start"):
        hours_to_fall(lively, 3.0, 5.0, most_h=72.0)


@pytest.mark.parametrize(
    ("name", "value"),
    [("volume_l", 0.0), ("saturation", -1.0), ("fish", -0.1), ("light_hours", 25.0)],
)
def test_what_no_tank_can_be(name: str, value: float) -> None:
    with pytest.raises(ValueError, match=name):
        OxygenDay(**(asdict(a_tank()) | {name: value}))


@pytest.fixture
def uses_without_end(monkeypatch: pytest.MonkeyPatch) -> None:
    """Everything uses its full part as long as there is any oxygen: then closed forms hold."""
    for name in ("PLANTS", "BACTERIA", "BED"):
        monkeypatch.setattr(oxygen_day, f"HALF_OF_{name}_MG_PER_L", 0.0)
    monkeypatch.setattr(oxygen_day, "CRITICAL_MG_PER_L", 1e-12)


def random_tanks(count: int) -> list[OxygenDay]:
    """Tanks with oxygen to spare all day and night, without meals; lamps at full hours."""
    random = np.random.default_rng(11)
    found: list[OxygenDay] = []
    while len(found) < count:
        volume = random.uniform(20.0, 200.0)
        day = OxygenDay(
            volume_l=volume,
            saturation=float(saturation_mg_per_l(random.uniform(20.0, 29.0))),
            exchange_l_per_h=volume * random.uniform(0.05, 0.5),
            made=volume * random.uniform(0.0, 0.8),
            plants=volume * random.uniform(0.0, 0.2),
            fish=volume * random.uniform(0.02, 0.25),
            bacteria=volume * random.uniform(0.0, 0.1),
            bed=volume * random.uniform(0.0, 0.1),
            light_on_h=float(random.integers(5, 11)),
            light_hours=float(random.integers(6, 13)),
        )
        dawn, dusk = dawn_and_dusk(day)
        if dawn > 0.5 and dusk < 1.5 * day.saturation:
            found.append(day)
    return found


@pytest.mark.usefixtures("uses_without_end")
@pytest.mark.parametrize("day", random_tanks(8), ids=lambda day: f"{day.volume_l:.0f} L")
def test_a_day_that_repeats_itself_is_the_closed_form_of_it(day: OxygenDay) -> None:
    """Periodic solution of a linear balance: two exponentials that meet."""
    course = settled_course(day)

    # it counts as settled once a day ends within 0.001 of its start
    assert (course.lowest, course.highest) == pytest.approx(sorted(dawn_and_dusk(day)), abs=0.02)
    assert course.at(day.light_on_h) == pytest.approx(dawn_and_dusk(day)[0], abs=0.02)


@pytest.mark.usefixtures("uses_without_end")
@pytest.mark.parametrize("day", random_tanks(8), ids=lambda day: f"{day.volume_l:.0f} L")
def test_the_fall_in_the_dark_is_the_logarithm(day: OxygenDay) -> None:
    """First-order fall to where surface and uses balance: a logarithm of the two distances."""
    still = replace(day, exchange_l_per_h=0.2 * day.exchange_l_per_h)
    settles = still.saturation - still.used_in_the_dark / still.exchange_l_per_h
    start = still.saturation
    line = max(0.5, settles + 0.2 * (start - settles))
    closed = still.volume_l / still.exchange_l_per_h
    closed *= math.log((start - settles) / (line - settles))

    assert hours_to_fall(still, start, line, most_h=400.0) == pytest.approx(closed, rel=1e-3)
