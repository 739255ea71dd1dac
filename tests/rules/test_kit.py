"""Test kits: dates, comparisons, and results that are odd. Edges are our own choice."""

from dataclasses import replace
from datetime import date, timedelta

import pytest

from app.domain.kit import Kit, KitComparison
from app.domain.livestock import Plant
from app.domain.quantities import Quantity
from app.domain.records import JobKind
from app.rules.model import Severity
from tests.rules.checks import found, plain, severity
from tests.situations import Thing, at, fed, job, metered, reading, snapshot

NOW = "2027-02-12 09:00"


def kit(**dates: date) -> Kit:
    card = Kit(id=9, quantity=Quantity.NITRATE, name="Card", unit="mg/L")
    return replace(card, **dates)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("dates", "expected"),
    [
        ({"expires_on": date(2027, 2, 12)}, None),
        ({"expires_on": date(2027, 2, 11)}, Severity.WATCH),
        ({"opened_on": date(2026, 2, 12)}, None),
        ({"opened_on": date(2026, 2, 11)}, Severity.WATCH),
        ({"expires_on": date(2027, 2, 11), "retired_on": date(2027, 2, 12)}, None),
    ],
)
def test_a_kit_past_its_date(dates: dict[str, date], expected: Severity | None) -> None:
    assert severity(snapshot(NOW, kit(**dates)), "kit.stale") is expected


def test_a_check_speaks_for_a_kit_ninety_days() -> None:
    old = kit(expires_on=date(2026, 1, 1))
    fresh = job(JobKind.KIT_CHECK, at(NOW) - timedelta(days=90) + timedelta(minutes=1))
    gone = job(JobKind.KIT_CHECK, at(NOW) - timedelta(days=90))
    assert severity(snapshot(NOW, old, fresh), "kit.stale") is None
    assert severity(snapshot(NOW, old, gone), "kit.stale") is Severity.WATCH


def compared(kit_id: int, known: float, read: float, days: float = 1.0) -> KitComparison:
    moment = at(NOW) - timedelta(days=days)
    return KitComparison(id=1, kit_id=kit_id, at=moment, known=known, read=read, against="a card")


CARD = kit()
STEPS = replace(CARD, basis="as nitrate", steps=(0.0, 5.0, 10.0, 25.0, 50.0))
METER = Kit(id=9, quantity=Quantity.PH, name="Meter", unit="")
GLASS = Kit(id=9, quantity=Quantity.TEMPERATURE, name="Thermometer", unit="°C")


@pytest.mark.parametrize(
    ("one", "known", "read", "expected"),
    [
        (STEPS, 20.0, 35.0, None),  # one color: 10 to 25
        (STEPS, 20.0, 36.0, Severity.WATCH),
        (METER, 7.0, 7.3, None),
        (METER, 7.0, 7.4, Severity.WATCH),
        (GLASS, 25.0, 24.0, None),
        (GLASS, 25.0, 23.9, Severity.WATCH),
        (CARD, 20.0, 24.0, None),  # no steps: 20 %
        (CARD, 20.0, 24.1, Severity.WATCH),
    ],
)
def test_a_comparison_more_than_a_step_off(
    one: Kit, known: float, read: float, expected: Severity | None
) -> None:
    now = snapshot(NOW, one, comparisons=(compared(9, known, read),))
    assert severity(now, "kit.stale") is expected


@pytest.mark.parametrize(("days", "expected"), [(89.9, None), (90.0, Severity.WATCH)])
def test_a_good_comparison_speaks_for_an_old_kit(days: float, expected: Severity | None) -> None:
    old = replace(STEPS, expires_on=date(2026, 1, 1))
    now = snapshot(NOW, old, comparisons=(compared(9, 20.0, 20.0, days),))
    assert severity(now, "kit.stale") is expected


def weekly(number: int, value: float, **more: float) -> list[Thing]:
    days = [at(NOW) - timedelta(days=7 * n) for n in range(number)]
    return [r for day in days for r in metered(day, nitrate=value, **more)]


def meals(first: float | None, second: float | None) -> list[Thing]:
    """Food of 35 days: each day the first scoops, after the middle the second ones."""
    return [
        fed(at(NOW) - timedelta(days=n + 0.5), scoops=first if n >= 17.5 else second)
        for n in range(35)
    ]


@pytest.mark.parametrize(
    ("number", "scoops", "expected"),
    [
        (6, (1.0, 2.0), Severity.WATCH),
        (5, (1.0, 2.0), None),
        (6, (1.0, 1.0), None),
        (6, (2.0, 1.0), Severity.WATCH),
    ],
)
def test_nitrate_that_never_moves_though_the_food_does(
    number: int, scoops: tuple[float, float], expected: Severity | None
) -> None:
    now = snapshot(NOW, *weekly(number, 20.0), *meals(*scoops))
    assert severity(now, "kit.stale") is expected


def test_nobody_knows_whether_the_food_changed_or_nitrate_moved() -> None:
    unknown = meals(None, None)
    assert severity(snapshot(NOW, *weekly(6, 20.0), *unknown), "kit.stale") is None
    moved = reading(Quantity.NITRATE, 10.0, "2027-02-12 08:00")
    moving = snapshot(NOW, *weekly(6, 20.0), moved, *meals(1.0, 2.0))
    assert severity(moving, "kit.stale") is None


DENSE = (Plant(id=1, name="Stem plant", amount="dense"),)


@pytest.mark.parametrize(
    ("number", "more", "expected"),
    [
        (6, {"ammonia": 0.0, "nitrite": 0.0}, Severity.WATCH),  # 35 days
        (5, {"ammonia": 0.0, "nitrite": 0.0}, None),  # 28 days
        (6, {"ammonia": 0.1, "nitrite": 0.0}, None),
        (6, {"ammonia": 0.0}, None),  # nitrite was never tested
    ],
)
def test_all_at_zero_for_over_a_month(
    number: int, more: dict[str, float], expected: Severity | None
) -> None:
    tests = weekly(number, 0.0, **more)
    assert severity(snapshot(NOW, *tests, fed("2027-02-11 09:00")), "kit.stale") is expected
    assert severity(snapshot(NOW, *tests), "kit.stale") is None  # nobody feeds
    dense = snapshot(NOW, *tests, fed("2027-02-11 09:00"), plants=DENSE)
    assert severity(dense, "kit.stale") is None


def test_one_card_for_one_kit() -> None:
    old = replace(STEPS, expires_on=date(2026, 1, 1))
    now = snapshot(NOW, old, comparisons=(compared(9, 20.0, 50.0),))
    asked = found(now, "kit.stale")
    assert len(asked) == 1
    assert "read 50" in plain(asked[0].reason)


@pytest.mark.parametrize(
    ("day", "expected"),
    [
        (None, None),
        (date(2027, 2, 13), None),
        (date(2027, 2, 12), Severity.INFO),
        (date(2027, 1, 13), Severity.INFO),  # 30 days ago
        (date(2027, 1, 12), Severity.WATCH),
    ],
)
def test_the_day_set_for_a_check_has_come(day: date | None, expected: Severity | None) -> None:
    set_for = replace(CARD, next_check_on=day)
    assert severity(snapshot(NOW, set_for), "kit.next-check") is expected
    away = replace(set_for, retired_on=date(2027, 2, 1))
    assert severity(snapshot(NOW, away), "kit.next-check") is None


def test_both_rules_lead_to_the_page_of_the_kit() -> None:
    old = replace(CARD, expires_on=date(2027, 2, 11), next_check_on=date(2027, 2, 12))
    now = snapshot(NOW, old)
    actions = {found(now, rule)[0].action for rule in ("kit.stale", "kit.next-check")}
    assert {(a.key, a.door, a.item_id, a.adult) for a in actions} == {("kit-9", "kit", 9, True)}
