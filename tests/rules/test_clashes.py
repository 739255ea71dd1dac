"""Animals that do not go together: a conflict is a task to watch, a caution a note."""

from dataclasses import replace

from app.domain.livestock import StockGroup
from app.domain.snapshot import TankSnapshot
from app.rules.model import Severity
from tests.rules.checks import found, judged, plain, severity, task
from tests.rules.living import SPECIES
from tests.situations import TANK, calm, snapshot

NOW = "2027-02-11 09:00"
RULE = "livestock.clash"


def tank_of(set_point_c: float | None = None, **animals: int) -> TankSnapshot:
    """A calm tank with so many of some animals: `tank_of(Neon_tetra=8)`."""
    names = {name.replace("_", " "): number for name, number in animals.items()}
    groups = tuple(
        StockGroup(id=at, name=name, count=number, species=SPECIES[name].scientific_name)
        for at, (name, number) in enumerate(names.items(), 1)
    )
    tank = replace(TANK, set_point_c=set_point_c)
    return snapshot(NOW, *calm(NOW), groups=groups, tank=tank)


def test_a_hunter_with_small_fish_is_watched_and_says_where_its_numbers_come_from() -> None:
    asked = task(tank_of(Neon_tetra=8, Freshwater_angelfish=1), "company")
    assert asked is not None
    assert asked.severity is Severity.WATCH
    assert (asked.action.door, asked.action.adult) == ("animals", True)
    said = plain(asked.reason)
    assert "grows to 15 cm, Neon tetra to 3.5 cm, 23 % of that" in said
    lines = [plain(line.text) for f in asked.findings for line in f.working]
    assert "Neon tetra, grown length: 3.5 cm; from memory, not checked" in lines
    assert any(
        "A conflict up to" in plain(limit.text) for f in asked.findings for limit in f.limits
    )


def test_two_conflicts_are_one_task() -> None:
    seen = judged(tank_of(Neon_tetra=8, Freshwater_angelfish=1, Tiger_barb=8))
    tasks = [t for t in seen.tasks if t.key == "company"]
    assert [len(t.findings) for t in tasks] == [2]
    assert "Tiger barb nips fins" in tasks[0].reason


def test_what_is_looked_up_comes_first_then_the_gravest_and_how_many_more_comes_last() -> None:
    hunted = dict.fromkeys(("Neon_tetra", "Zebrafish", "Cherry_barb", "Guppy", "Tiger_barb"), 8)
    asked = task(tank_of(set_point_c=18.0, Freshwater_angelfish=1, **hunted), "company")

    assert asked is not None
    said = [plain(f.reason) for f in asked.findings]
    assert said[0].startswith("Neon tetra wants")  # looked up, the others are from memory
    assert said[1].startswith("Freshwater angelfish wants")
    assert said[-1].endswith("on Fish and plants.")


def test_a_caution_is_a_note_and_asks_for_nothing() -> None:
    seen = judged(tank_of(Neon_tetra=1))
    assert all(t.key != "company" for t in seen.tasks)
    notes = [plain(f.reason) for f in seen.notes if f.rule_id == RULE]
    assert "Neon tetra lives in groups of 8 or more. Here: 1." in notes


def test_a_full_group_is_no_note() -> None:
    reasons = [plain(f.reason) for f in found(tank_of(Neon_tetra=8), RULE)]
    assert not any("groups of" in reason for reason in reasons)


def test_a_set_point_far_below_what_they_want_is_watched_and_a_little_is_a_note() -> None:
    assert severity(tank_of(19.0, Harlequin_rasbora=8), RULE) is Severity.WATCH
    reason = found(tank_of(19.0, Harlequin_rasbora=8), RULE)[0].reason
    assert "the heater is set to 19 °C, 3 °C too little" in plain(reason)
    cold = [f for f in found(tank_of(21.0, Harlequin_rasbora=8), RULE) if "heater" in f.reason]
    assert [f.severity for f in cold] == [Severity.INFO]
    assert not any("heater" in f.reason for f in found(tank_of(22.0, Harlequin_rasbora=8), RULE))


def test_animals_that_nobody_named_are_not_judged() -> None:
    nameless = (StockGroup(id=1, name="Small shoal", count=10),)
    assert found(snapshot(NOW, *calm(NOW), groups=nameless), RULE) == []


def test_an_empty_group_is_no_company() -> None:
    seen = tank_of(Neon_tetra=8, Freshwater_angelfish=0)
    assert not any("angelfish" in f.reason for f in found(seen, RULE))
