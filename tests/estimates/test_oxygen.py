"""The oxygen of a night from the record: a tank worked by hand, and what is missing or measured.

The tank: 60 by 30 cm, 40 L, 25 °C, ten hours of light, 14 g of fish, a moderate bed of plants,
0.14 g of food a day with 45 % protein.
"""

from dataclasses import replace
from typing import Any

import pytest

from app.domain.livestock import Plant, StockGroup
from app.domain.quantities import Quantity
from app.domain.snapshot import TankSnapshot
from app.domain.tank import TankShape
from app.estimates.missing import ANIMALS, MEASURES
from app.estimates.model import Origin
from app.estimates.oxygen import at_end, fitted_velocity, likely_lowest, night
from app.estimates.oxygen_inputs import WhatIf
from tests.rules.checks import KNOWLEDGE
from tests.situations import HOME, Thing, fed, reading, snapshot, tank, warm

NOW = "2027-02-12 18:00"
A, B = KNOWLEDGE.value("body.usual-a"), KNOWLEDGE.value("body.usual-b")
FISH = tuple(
    StockGroup(id=n, name=f"Group {n}", count=count, length_cm=(grams / A) ** (1 / B))
    for n, (count, grams) in enumerate(((10, 0.3), (6, 0.5), (4, 2.0)), start=1)
)
# 60 x 30 x 25 = 45 L less 5 L of stones; the sand is counted as water
SHAPE = TankShape(
    length_cm=60, width_cm=30, water_depth_cm=25, sand_front_cm=5, sand_back_cm=5,
    sand_pore_share=1.0, displacement_l=5.0,
)  # fmt: skip
MEALS = tuple(fed(f"2027-02-{day:02} 12:00", grams=0.14) for day in range(1, 13))


def by_hand(*more: Thing, **changes: Any) -> TankSnapshot:
    """The tank of the example, with more entries or other records."""
    known = {
        "site": HOME,
        "groups": FISH,
        "plants": (Plant(id=1, name="Tape grass", amount="moderate"),),
        "tank": tank(
            shape=SHAPE, light_on="08:00", light_hours=10.0, food_protein_percent=45.0
        ),
    }  # fmt: skip
    return snapshot(NOW, *MEALS, warm(25.0, "2027-02-12 17:00"), *more, **(known | changes))


def test_every_part_of_the_balance_as_worked_by_hand() -> None:
    day = night(by_hand(), KNOWLEDGE).day

    assert day is not None
    assert day.volume_l == pytest.approx(40.0)
    assert day.exchange_l_per_h == pytest.approx(5.4, abs=0.01)
    assert day.fish == pytest.approx(7.35, abs=0.01)
    assert day.plants == pytest.approx(7.56, abs=0.01)
    assert day.made == pytest.approx(31.1, abs=0.05)
    assert day.bacteria == pytest.approx(1.10 + 1.75, abs=0.01)
    assert day.bed == pytest.approx(3.00, abs=0.01)


def test_the_lowest_is_just_below_what_it_is_without_a_meal() -> None:
    found = night(by_hand(), KNOWLEDGE)

    assert found.estimate.low < found.estimate.best < found.estimate.high
    assert 5.0 < found.estimate.best < 5.25
    assert found.best is not None
    assert found.best.lowest_at_h == pytest.approx(8.0, abs=0.1)
    assert "estimate, not measured" in found.estimate.sentence


def test_the_surface_is_what_one_should_know() -> None:
    assert night(by_hand(), KNOWLEDGE).estimate.narrows_most == "How much the surface moves"


@pytest.mark.parametrize(
    ("tried", "is_better"),
    [
        (WhatIf(surface="rippled"), True),
        (WhatIf(surface="still"), False),
        (WhatIf(air_l_per_min=1.0), True),
        (WhatIf(celsius=29.0), False),
        (WhatIf(grams=0.56), False),
        (WhatIf(plants_g=27.0), False),
        (WhatIf(plants_g=0.0), True),
        (WhatIf(light_hours=0.0), False),
    ],
)
def test_trying_something_else(tried: WhatIf, is_better: bool) -> None:
    as_it_is, other = night(by_hand(), KNOWLEDGE), night(by_hand(), KNOWLEDGE, tried)

    assert (other.estimate.best > as_it_is.estimate.best) is is_better
    assert any(each.origin is Origin.TYPED for each in other.estimate.inputs)


def test_without_measures_or_lengths_nothing_is_estimated() -> None:
    bare = TankShape(length_cm=60, width_cm=30)
    unknown = (StockGroup(id=1, name="Somebody", count=3),)

    found = night(by_hand(tank=tank(shape=bare), groups=unknown), KNOWLEDGE)

    assert not found.estimate.known
    assert found.estimate.missing == (MEASURES, ANIMALS)
    assert found.low is None
    assert MEASURES in found.estimate.sentence


def test_what_nobody_wrote_is_said_to_be_assumed() -> None:
    inputs = {i.name: i for i in night(by_hand(tank=tank(shape=SHAPE)), KNOWLEDGE).estimate.inputs}

    assert inputs["light_hours"].origin is Origin.ASSUMED
    assert inputs["protein"].origin is Origin.ASSUMED
    assert inputs["velocity"].origin is Origin.ASSUMED
    assert inputs["temperature"].origin is Origin.MEASURED
    assert inputs["grams"].origin is Origin.WRITTEN


def test_an_evening_and_a_morning_reading_tell_how_fast_the_surface_exchanges() -> None:
    # 20.8 mg/h used in 40 L; exchange 0.135 /h; 8.26 - 3.84 (1 - e^-1.35) after 10 h, less 0.26:
    # the closed form of the same night run the other way round
    evening = reading(Quantity.OXYGEN, 8.00, "2027-02-11 20:00")
    morning = reading(Quantity.OXYGEN, 5.35, "2027-02-12 06:00")

    fitted = fitted_velocity(by_hand(evening, morning), KNOWLEDGE)

    assert fitted is not None
    assert fitted.origin is Origin.MEASURED
    assert fitted.best == pytest.approx(0.03, abs=0.003)
    assert fitted.low < fitted.best < fitted.high


@pytest.mark.parametrize(
    ("evening", "morning"),
    [
        ("2027-02-11 12:00", "2027-02-12 06:00"),  # the lamp was on in between
        ("2026-11-11 20:00", "2026-11-12 06:00"),  # too long ago
    ],
)
def test_readings_that_tell_nothing_of_the_surface(evening: str, morning: str) -> None:
    pair = (reading(Quantity.OXYGEN, 8.0, evening), reading(Quantity.OXYGEN, 5.4, morning))

    assert fitted_velocity(by_hand(*pair), KNOWLEDGE) is None


def test_fish_use_most_of_it_where_there_are_many() -> None:
    many = tuple(replace(group, count=group.count * 3) for group in FISH)

    uses = night(by_hand(groups=many), KNOWLEDGE).uses

    assert uses[0][0] == "fish"
    assert sum(share for _, share in uses) == pytest.approx(1.0)


@pytest.mark.parametrize("tried", [WhatIf(), WhatIf(surface="still"), WhatIf(celsius=28.0)])
def test_the_best_guess_alone_is_that_of_the_whole_night(tried: WhatIf) -> None:
    pair = (
        reading(Quantity.OXYGEN, 8.2, "2027-02-11 20:00"),
        reading(Quantity.OXYGEN, 5.9, "2027-02-12 06:00"),
    )
    for record in (by_hand(), by_hand(*pair)):
        whole = night(record, KNOWLEDGE, tried).estimate.best
        assert likely_lowest(record, KNOWLEDGE, tried) == whole


@pytest.mark.parametrize("name", ["fish", "grams", "plants"])
def test_what_is_uncertain_widens_the_range_or_says_that_it_does_not(name: str) -> None:
    # nobody wrote a meal: the food is assumed, and so are weights and plants
    bare = replace(by_hand(), feedings=())
    given = {each.name: each for each in night(bare, KNOWLEDGE).estimate.inputs}
    ends = {end: at_end(tuple(given.values()), end)[name] for end in ("low", "best", "high")}

    assert given[name].low < given[name].high
    if name == "plants":
        assert ends["low"] == ends["high"] == given[name].best
        assert "The range takes the best guess" in given[name].note
    else:
        # more that breathes means less oxygen: the cautious run takes the high end
        assert ends == {
            "low": given[name].high, "best": given[name].best, "high": given[name].low,
        }  # fmt: skip


def test_assumed_food_says_how_much_it_is() -> None:
    given = {i.name: i for i in night(replace(by_hand(), feedings=()), KNOWLEDGE).estimate.inputs}

    percent = KNOWLEDGE.value("feeding.most-percent") / 2.0
    assert given["grams"].note == f"{percent:g} % of what the animals weigh."


def test_without_a_reading_the_water_is_as_warm_as_it_is_to_be() -> None:
    cold = replace(by_hand(), readings=())
    given = {each.name: each for each in night(cold, KNOWLEDGE).estimate.inputs}["temperature"]
    ends = [KNOWLEDGE.value(f"temperature.general-{end}") for end in ("low", "high")]

    assert given.origin is Origin.ASSUMED
    assert given.best == pytest.approx(sum(ends) / 2.0)


def test_a_night_that_is_as_the_day_names_no_hour() -> None:
    unfed = replace(by_hand(plants=()), feedings=())
    bare = night(unfed, KNOWLEDGE, WhatIf(grams=0.0)).estimate.sentence

    assert "by day and by night" in bare
    assert "towards" not in bare
