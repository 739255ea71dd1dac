"""pH outside the range, and moving. Edges: common practice and the project's own choice."""

import pytest

from app.domain.livestock import StockGroup
from app.domain.quantities import Quantity
from app.domain.records import JobKind, Reading
from app.domain.tank import Range
from app.rules.model import Severity
from tests.rules.checks import KNOWLEDGE, found, plain, severity, task
from tests.situations import job, look, reading, snapshot, tank

NOW = "2027-02-03 18:00"


def ph(value: float, when: str = "2027-02-03 08:00", **more: float | bool) -> Reading:
    return reading(Quantity.PH, value, when, **more)


@pytest.mark.parametrize(
    ("value", "expected"),
    [
        (5.4, Severity.EMERGENCY),
        (5.5, Severity.ACT),
        (5.9, Severity.ACT),
        (6.0, Severity.WATCH),
        (6.4, Severity.WATCH),
        (6.5, None),
        (8.0, None),
        (8.1, Severity.WATCH),
        (8.5, Severity.WATCH),
        (8.6, Severity.ACT),
        (9.0, Severity.ACT),
        (9.1, Severity.EMERGENCY),
    ],
)
def test_the_general_range(value: float, expected: Severity | None) -> None:
    assert severity(snapshot(NOW, ph(value)), "water.ph") is expected


def test_a_tanks_own_range_moves_watch_and_act() -> None:
    own = tank(ranges=(Range(quantity=Quantity.PH, low=6.0, high=7.0),))
    assert severity(snapshot(NOW, ph(6.2), tank=own), "water.ph") is None
    assert severity(snapshot(NOW, ph(7.2), tank=own), "water.ph") is Severity.WATCH
    assert severity(snapshot(NOW, ph(7.6), tank=own), "water.ph") is Severity.ACT


def test_the_ends_of_a_card_raise_watch_at_most() -> None:
    assert severity(snapshot(NOW, ph(7.8, low=7.4, high=8.2)), "water.ph") is None
    assert severity(snapshot(NOW, ph(8.0, low=7.4, high=8.6)), "water.ph") is Severity.WATCH


@pytest.mark.parametrize(
    ("second", "expected"),
    [
        (ph(7.2, "2027-02-03 08:00"), None),
        (ph(7.1, "2027-02-03 08:00"), Severity.WATCH),
        (ph(6.9, "2027-02-03 08:00"), Severity.ACT),
        (ph(6.4, "2027-02-03 08:00"), Severity.EMERGENCY),
        (ph(6.9, "2027-02-03 10:00"), Severity.ACT),  # two hours off
        (ph(6.9, "2027-02-03 10:01"), None),
        (ph(6.9, "2027-02-03 06:00"), Severity.ACT),
        (ph(6.9, "2027-02-03 05:59"), None),
    ],
)
def test_a_move_between_like_hours(second: Reading, expected: Severity | None) -> None:
    first = ph(7.4, "2027-02-02 08:00")
    assert severity(snapshot(NOW, first, second), "water.ph-move") is expected


@pytest.mark.parametrize(
    ("first", "expected"), [("2027-02-01 08:00", Severity.ACT), ("2027-02-01 07:59", None)]
)
def test_a_move_within_forty_eight_hours(first: str, expected: Severity | None) -> None:
    pair = (ph(7.4, first), ph(6.9))
    assert severity(snapshot(NOW, *pair), "water.ph-move") is expected


def test_hours_are_alike_around_midnight() -> None:
    pair = (ph(7.4, "2027-02-01 23:30"), ph(6.9, "2027-02-03 00:30"))
    assert severity(snapshot(NOW, *pair), "water.ph-move") is Severity.ACT


@pytest.mark.parametrize(
    ("third", "expected"),
    [
        (ph(6.7, NOW), None),
        (ph(6.6, NOW), Severity.ACT),
        (ph(6.9, NOW, kit_doubtful=True), Severity.ACT),
    ],
)
def test_two_tests_in_a_row_close_together_end_a_move(
    third: Reading, expected: Severity | None
) -> None:
    pair = (ph(7.4, "2027-02-02 08:00"), ph(6.9))
    assert severity(snapshot(NOW, *pair, third), "water.ph-move") is expected


def test_while_ph_moves_a_water_change_stays_small() -> None:
    """Nitrate alone asks for 30 %; the smaller step wins where they fight."""
    nitrate = reading(Quantity.NITRATE, 80.0, "2027-02-03 08:00")
    calm = task(snapshot(NOW, nitrate, ph(7.4)), "water-change")
    moving = task(snapshot(NOW, nitrate, ph(7.4, "2027-02-02 08:00"), ph(6.9)), "water-change")
    assert calm is not None
    assert moving is not None
    assert (calm.action.amount, moving.action.amount) == (0.30, 0.15)
    assert plain(moving.action.title) == "Change 13 L, 15 %"


def test_it_never_asks_for_a_chemical() -> None:
    finding = found(snapshot(NOW, ph(8.8), look(NOW), job(JobKind.OTHER, NOW)), "water.ph")[0]
    assert "Put nothing in" in finding.reason
    assert finding.action.door == "test"


# the catalogue's cardinal tetra wants pH 5.0 to 7.0 or so: soft-water animals move watch, not act
SOFT = KNOWLEDGE.species["Paracheirodon axelrodi"]
SHOAL = (StockGroup(id=1, name="Shoal", count=10, species=SOFT.scientific_name),)


def test_what_the_animals_want_is_where_watch_begins() -> None:
    assert SOFT.ph is not None
    low, high = SOFT.ph
    assert high < 8.0
    rule = "water.ph"
    assert severity(snapshot(NOW, ph(high), groups=SHOAL), rule) is None
    assert severity(snapshot(NOW, ph(high + 0.1), groups=SHOAL), rule) is Severity.WATCH
    assert severity(snapshot(NOW, ph(8.5), groups=SHOAL), rule) is Severity.WATCH
    assert severity(snapshot(NOW, ph(8.6), groups=SHOAL), rule) is Severity.ACT
    assert severity(snapshot(NOW, ph(max(low, 5.5)), groups=SHOAL), rule) is None
    assert severity(snapshot(NOW, ph(5.4), groups=SHOAL), rule) is Severity.EMERGENCY


def test_a_tanks_own_range_overrides_what_the_animals_want() -> None:
    own = tank(ranges=(Range(quantity=Quantity.PH, low=7.0, high=8.2),))
    assert severity(snapshot(NOW, ph(8.1), groups=SHOAL, tank=own), "water.ph") is None
