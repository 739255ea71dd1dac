"""Counts, losses, signs, untreated water, lid and plug."""

import pytest

from app.domain.livestock import StockGroup
from app.domain.quantities import Quantity
from app.domain.records import JobKind, Sign, StockEventKind, Treated
from app.rules.model import Severity, State
from app.rules.signs import SIGNS, rule_id
from tests.rules.checks import found, judged, severity, task
from tests.situations import (
    Thing,
    calm,
    job,
    look,
    reading,
    snapshot,
    stock,
)

NOW = "2027-02-11 12:00"
MISSING = "livestock.missing"


def counts(*seen: int, adult: bool = False) -> list[Thing]:
    """Counts from Monday 8 February 2027 on, one a day, of 16 expected."""
    return [
        look(f"2027-02-{8 + n:02d} 09:00", number, expected=16, by_adult=adult)
        for n, number in enumerate(seen)
    ]


@pytest.mark.parametrize(
    ("seen", "expected"),
    [
        ((16, 13, 13), None),
        ((16, 13, 13, 13), Severity.WATCH),
        ((13, 13, 13, 16), None),
        ((13, 13, 16, 13), None),
        ((13, 12, 15), Severity.WATCH),
    ],
)
def test_three_short_counts_in_a_row(seen: tuple[int, ...], expected: Severity | None) -> None:
    assert severity(snapshot(NOW, *counts(*seen)), MISSING) is expected


def test_thursday_asks_to_look_for_three_fish() -> None:
    asked = task(snapshot(NOW, *counts(16, 13, 13, 13)), "find-fish")
    assert asked is not None
    assert asked.action.title == "Look for 3 fish"
    assert "plants" in asked.reason


def test_two_are_enough_when_a_grown_up_counted() -> None:
    assert severity(snapshot(NOW, *counts(16, 13, 13, adult=True)), MISSING) is Severity.WATCH
    assert severity(snapshot(NOW, *counts(16, 13, adult=True)), MISSING) is None


def test_a_loss_written_lowers_what_is_looked_for() -> None:
    fifteen = (StockGroup(id=1, name="Shoal", count=15),)
    asked = task(snapshot(NOW, *counts(16, 13, 13, 13), groups=fifteen), "find-fish")
    assert asked is not None
    assert asked.action.title == "Look for 2 fish"
    thirteen = (StockGroup(id=1, name="Shoal", count=13),)
    assert found(snapshot(NOW, *counts(16, 13, 13, 13), groups=thirteen), MISSING) == []


def test_rising_ammonia_makes_it_urgent() -> None:
    tests = [
        reading(Quantity.AMMONIA, 0.0, "2027-02-08 09:00"),
        reading(Quantity.AMMONIA, 0.1, "2027-02-11 09:00"),
    ]
    assert severity(snapshot(NOW, *counts(16, 13, 13, 13), *tests), MISSING) is Severity.ACT


def test_more_than_expected_is_a_question() -> None:
    seventeen = found(snapshot(NOW, *counts(17)), "livestock.more-than-expected")
    assert "Babies, or counted twice?" in seventeen[0].reason
    assert seventeen[0].severity is Severity.INFO
    assert found(snapshot(NOW, *counts(16)), "livestock.more-than-expected") == []


def test_a_death_asks_until_tested_and_counted() -> None:
    dead = stock(StockEventKind.DIED, "2027-02-11 08:00")
    test = reading(Quantity.AMMONIA, 0.0, "2027-02-11 09:00")
    count = look("2027-02-11 09:10", 15)
    rule = "livestock.died"
    assert severity(snapshot(NOW, dead), rule) is Severity.ACT
    assert severity(snapshot(NOW, dead, test), rule) is Severity.ACT
    assert severity(snapshot(NOW, dead, count), rule) is Severity.ACT
    assert severity(snapshot(NOW, dead, test, count), rule) is None
    assert "dead_fish" in found(snapshot(NOW, dead), rule)[0].action.cautions


@pytest.mark.parametrize(
    ("first", "expected"),
    [("2027-02-04 08:00", Severity.EMERGENCY), ("2027-02-04 07:59", Severity.ACT)],
)
def test_two_deaths_within_seven_days(first: str, expected: Severity) -> None:
    deaths = (stock(StockEventKind.DIED, first), stock(StockEventKind.DIED, "2027-02-11 08:00"))
    assert severity(snapshot(NOW, *deaths), "livestock.died") is expected


def test_gasping_is_air_now_until_two_calm_looks_two_hours_apart() -> None:
    gasp = look("2027-02-11 08:00", signs=(Sign.GASPING,))
    alarmed = judged(snapshot(NOW, *calm("2027-02-11 08:00"), gasp))
    assert alarmed.state is State.ACT_NOW
    assert alarmed.tasks[0].action.title == "Air on now"
    rule = "sign.gasping"
    one = look("2027-02-11 09:00")
    assert severity(snapshot(NOW, gasp, one), rule) is Severity.EMERGENCY
    early = look("2027-02-11 10:59")
    assert severity(snapshot(NOW, gasp, one, early), rule) is Severity.EMERGENCY
    later = look("2027-02-11 11:00")
    assert severity(snapshot(NOW, gasp, one, later), rule) is None
    uneasy = look("2027-02-11 11:00", breathing_calm=False)
    assert severity(snapshot(NOW, gasp, one, uneasy), rule) is Severity.EMERGENCY


def test_every_sign_has_its_rule_and_ends_with_looks() -> None:
    # a filter that is off has a rule of its own
    assert {advice.sign for advice in SIGNS} == set(Sign) - {Sign.FILTER_OFF}
    for advice in SIGNS:
        seen = look("2027-02-11 07:00", signs=(advice.sign,))
        assert severity(snapshot(NOW, seen), rule_id(advice.sign)) is advice.severity
        after = [look(f"2027-02-11 {h}:00", by_adult=True) for h in ("08", "10")]
        assert severity(snapshot(NOW, seen, *after), rule_id(advice.sign)) is None


@pytest.mark.parametrize("sign", [Sign.TINGLE, Sign.LEAK, Sign.DEAD_FISH])
def test_a_childs_look_does_not_end_what_a_grown_up_must_see(sign: Sign) -> None:
    seen, child = look("2027-02-11 07:00", signs=(sign,)), look("2027-02-11 08:00")
    assert severity(snapshot(NOW, seen, child), rule_id(sign)) is not None


def test_a_slow_filter_and_a_due_rinse_are_one_task_and_a_rinse_ends_both() -> None:
    slow = look("2027-02-11 07:00", signs=(Sign.FILTER_SLOW,))
    old = job(JobKind.FILTER_RINSE, "2027-01-01 07:00")
    asked = task(snapshot(NOW, slow, old), "filter-rinse")
    assert asked is not None
    assert len(asked.findings) == 2
    done = job(JobKind.FILTER_RINSE, "2027-02-11 08:00")
    assert task(snapshot(NOW, slow, old, done), "filter-rinse") is None


@pytest.mark.parametrize(
    ("treated", "when", "expected"),
    [
        (Treated.NO, "2027-02-11 06:01", Severity.EMERGENCY),
        (Treated.NO, "2027-02-11 06:00", Severity.ACT),
        (Treated.UNKNOWN, "2027-02-11 11:00", Severity.ACT),
        (Treated.YES, "2027-02-11 11:00", None),
        (None, "2027-02-11 11:00", None),
    ],
)
def test_untreated_tap_water(treated: Treated | None, when: str, expected: Severity | None) -> None:
    poured = job(JobKind.WATER_CHANGE, when, liters_in=20.0, treated=treated)
    assert severity(snapshot(NOW, poured), "water.untreated") is expected


def test_conditioner_and_two_tests_end_it() -> None:
    poured = job(JobKind.TOP_UP, "2027-02-11 06:00", treated=Treated.NO)
    drops = job(JobKind.CONDITIONER, "2027-02-11 07:00")
    one = reading(Quantity.AMMONIA, 0.0, "2027-02-11 08:00")
    two = reading(Quantity.AMMONIA, 0.0, "2027-02-11 11:00")
    rule = "water.untreated"
    assert severity(snapshot(NOW, poured, drops), rule) is Severity.WATCH
    assert severity(snapshot(NOW, poured, drops, one), rule) is Severity.WATCH
    assert severity(snapshot(NOW, poured, drops, one, two), rule) is None
    assert severity(snapshot(NOW, poured, one, two), rule) is Severity.ACT


def test_lid_and_plug() -> None:
    rule = "look.lid-and-plug"
    opened = look("2027-02-11 08:00", lid_closed=False, plug_on=True)
    assert severity(snapshot(NOW, opened), rule) is Severity.WATCH
    off = look("2027-02-11 08:00", lid_closed=True, plug_on=False)
    assert severity(snapshot(NOW, off), rule) is Severity.ACT
    mended = look("2027-02-11 09:00", lid_closed=True, plug_on=True)
    assert severity(snapshot(NOW, opened, off, mended), rule) is None
    silent = look("2027-02-11 09:00")
    assert severity(snapshot(NOW, off, silent), rule) is Severity.ACT
