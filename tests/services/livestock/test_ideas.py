"""What animals and plants would mean before they are bought, against sums by hand."""

from dataclasses import replace
from datetime import timedelta

import pytest

from app.domain.livestock import Plant, StockGroup
from app.domain.quantities import Quantity
from app.domain.snapshot import TankSnapshot
from app.estimates.bodies import group_mass
from app.estimates.model import Triple
from app.knowledge.load import load
from app.services.livestock.ideas import Idea, Side, compare_with
from tests.situations import at, fed, reading, snapshot, tank

NOW = "2027-02-08 08:41"
# 0.9 g by the usual shape of a small fish, so that 30 of them weigh 27 g
SHOAL = StockGroup(id=1, name="Shoal", count=30, length_cm=4.2305)


def situation(groups: tuple[StockGroup, ...] = (SHOAL,), **more: object) -> TankSnapshot:
    """85 L, a quarter of a gram of food each day, nitrate 12."""
    meals = [fed(at(NOW) - timedelta(days=n), grams=0.25) for n in range(14)]
    facts = {"food_protein_percent": 45.0, "scoop_grams": 0.25} | more
    return snapshot(
        NOW, *meals, reading(Quantity.NITRATE, 12.0, NOW), tank=tank(**facts), groups=groups
    )


def both(found: tuple[Side, Side], field: str) -> list[float]:
    values: list[Triple | float] = [getattr(side, field) for side in found]
    return [v[1] if isinstance(v, tuple) else v for v in values]


def test_six_more_of_nine_tenths_of_a_gram_beside_27_g() -> None:
    # By hand: 0.25 g x 0.45 x 92 mg/g = 10.35 mg N a day; x 62.004 / 14.007 / 85.0 L = 0.539 mg/L
    # a day, 3.77 a week; 8 mg/L take 14.8 days. A fifth more fish, food and nitrate: 4.53, 12.4.
    found = compare_with(situation(), Idea(counts={1: 36}, target=20.0), load())
    sides = found.before, found.after
    assert both(sides, "grams") == pytest.approx([27.0, 32.4], rel=2e-3)
    assert both(sides, "food_g") == pytest.approx([0.25, 0.30])
    assert [round(v, 1) for v in both(sides, "nitrate")] == [3.8, 4.5]
    assert [round(v, 1) for v in both(sides, "days")] == [14.8, 12.4]
    assert both(sides, "per_100_l") == pytest.approx([27.0 / 0.85, 32.4 / 0.85], rel=2e-3)
    assert both(sides, "per_m2") == pytest.approx([27.0 / 0.2652, 32.4 / 0.2652], rel=2e-3)
    assert found.missing == ()


def test_the_range_runs_from_the_shortest_time_to_the_longest() -> None:
    days = compare_with(situation(), Idea(target=20.0), load()).before.days
    assert days is not None
    assert days[0] < days[1] < days[2]


def test_the_snapshot_that_was_given_stays_as_it_is() -> None:
    held = situation()
    compare_with(held, Idea(counts={1: 36}, animals=(("Paracheirodon innesi", 8),)), load())
    assert held == replace(held)
    assert [g.count for g in held.groups] == [30]


def test_a_new_animal_comes_grown_and_with_its_needs() -> None:
    idea = Idea(animals=(("Paracheirodon innesi", 8),))
    found = compare_with(situation(), idea, load())
    neons = StockGroup(id=9, name="n", count=8, species="Paracheirodon innesi")
    mass = group_mass(neons, load())
    assert mass is not None
    assert found.after.grams[1] - found.before.grams[1] == pytest.approx(mass.best)
    assert [a.called for a in found.after.needs.lodgers] == ["Shoal", "Neon tetra"]
    assert any("Neon tetra" in text for text in found.assumed)


def test_conflicts_that_come_and_go_are_told_apart() -> None:
    neons = StockGroup(id=1, name="n", count=8, species="Paracheirodon innesi", length_cm=3.0)
    angels = (("Pterophyllum scalare", 3),)
    found = compare_with(situation((neons,)), Idea(animals=angels), load())
    assert any("may be swallowed" in c.text for c in found.new)
    alone = compare_with(situation((neons,)), Idea(counts={1: 1}), load())
    assert any(c.kind in {"alone", "group"} for c in alone.new)


def test_what_is_missing_is_named() -> None:
    bare = snapshot(NOW, groups=(SHOAL,), tank=tank())
    found = compare_with(bare, Idea(counts={1: 36}), load())
    assert found.after.food_g is None
    assert found.after.nitrate is None
    assert "the weight of one flat scoop of food" in found.missing
    assert "nitrate now: no test is written" in found.missing
    assert any("45" in text for text in found.assumed)


def test_an_animal_of_unknown_length_leaves_food_untold() -> None:
    strange = StockGroup(id=2, name="Stranger", count=2)
    found = compare_with(situation((SHOAL, strange)), Idea(), load())
    assert found.after.food_g is None
    assert "the length of Stranger" in found.missing


def test_food_comes_from_the_plan_where_no_meal_is_written() -> None:
    planned = snapshot(NOW, groups=(SHOAL,), tank=tank(scoop_grams=0.25))
    assert compare_with(planned, Idea(), load()).before.food_g == pytest.approx(0.25)


def test_plants_take_by_the_thickest_growth() -> None:
    # By hand: 0.2652 m2 x 60 g x 1 % x 26.5 mg x 7 days = 29.5 mg N; x 4.4266 / 85 = 1.54 mg/L
    held = replace(situation(), plants=(Plant(id=1, name="Tape grass"),))
    found = compare_with(held, Idea(amounts={1: "none"}), load())
    assert found.before.uptake is not None
    assert found.before.uptake[1] == pytest.approx(1.54, abs=0.01)
    assert found.after.uptake == (0.0, 0.0, 0.0)
