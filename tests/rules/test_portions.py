"""How much goes in, and from how many hands.

1 to 2 % a day and a few minutes are common practice, no single source; the counts are our own.
"""

from datetime import timedelta
from typing import Any

import pytest

from app.domain.livestock import StockGroup
from app.domain.records import Feeding
from app.rules.model import Severity
from app.rules.portions import ration_of
from tests.rules.checks import KNOWLEDGE, found, plain, severity, task
from tests.situations import at, fed, snapshot, tank

MUCH, HANDS = "feeding.too-much", "feeding.many-hands"
NOW = "2027-02-12 12:00"


def meals(*values: dict[str, Any]) -> list[Feeding]:
    """One meal a day, the last one today."""
    first = at("2027-02-12 08:00") - timedelta(days=len(values) - 1)
    return [fed(first + timedelta(days=n), **more) for n, more in enumerate(values)]


LEFT, NONE, SLOW = {"left_over": True}, {"left_over": False}, {"minutes_to_eat": 5.5}
UNKNOWN: dict[str, Any] = {}


@pytest.mark.parametrize(
    ("seen", "expected"),
    [
        ([LEFT, UNKNOWN, UNKNOWN, UNKNOWN, LEFT], Severity.WATCH),
        ([LEFT, UNKNOWN, UNKNOWN, UNKNOWN, UNKNOWN, LEFT], None),  # two of six
        ([LEFT], None),
        ([SLOW, SLOW], Severity.WATCH),
        ([{"minutes_to_eat": 5.0}, {"minutes_to_eat": 5.0}], None),
        ([SLOW], None),
        ([UNKNOWN] * 5, None),
        ([LEFT, LEFT, *[NONE] * 4], Severity.WATCH),
        ([LEFT, LEFT, *[NONE] * 5], None),
        ([LEFT, LEFT, *[UNKNOWN] * 9], Severity.WATCH),  # nobody wrote that none was left
        ([LEFT, LEFT, *[NONE] * 4, SLOW], Severity.WATCH),
    ],
)
def test_food_left_or_eaten_slowly(seen: list[dict[str, Any]], expected: Severity | None) -> None:
    assert severity(snapshot(NOW, *meals(*seen)), MUCH) is expected


# 10 fish of 4 cm, weighed as the usual body; their grams are checked in test_bodies
SHOAL = (StockGroup(id=1, name="Shoal", count=10, length_cm=4.0),)


def weekly(percent: float, days: int = 7) -> list[Feeding]:
    """Meals of so many per cent of the shoal's weight a day."""
    mass = ration_of(snapshot(NOW, groups=SHOAL), KNOWLEDGE).mass
    assert mass is not None
    return meals(*[{"grams": mass * percent / 100.0}] * days)


@pytest.mark.parametrize(("percent", "expected"), [(2.0, None), (2.1, Severity.WATCH)])
def test_more_than_two_per_cent_a_day(percent: float, expected: Severity | None) -> None:
    now = snapshot(NOW, *weekly(percent), groups=SHOAL)
    assert severity(now, MUCH) is expected
    if expected:
        finding = found(now, MUCH)[0]
        assert "2.1 % of what they weigh, by estimate" in plain(finding.reason)
        assert not finding.certain


@pytest.mark.parametrize("now", ["2027-02-12 08:00", "2027-02-12 23:59", "2027-02-13 07:59"])
@pytest.mark.parametrize(("percent", "expected"), [(2.0, None), (2.1, Severity.WATCH)])
def test_the_answer_is_the_same_before_the_next_meal_as_after_the_last(
    now: str, percent: float, expected: Severity | None
) -> None:
    assert severity(snapshot(now, *weekly(percent), groups=SHOAL), MUCH) is expected


def test_missing_grams_or_weights_make_no_sum() -> None:
    assert severity(snapshot(NOW, *weekly(9.0, days=6), groups=SHOAL), MUCH) is None
    unweighed = [*weekly(9.0), fed("2027-02-12 10:00")]
    assert severity(snapshot(NOW, *unweighed, groups=SHOAL), MUCH) is None
    unknown = (*SHOAL, StockGroup(id=2, name="Surprise", count=1))
    assert severity(snapshot(NOW, *weekly(9.0), groups=unknown), MUCH) is None
    assert severity(snapshot(NOW, *weekly(9.0), groups=()), MUCH) is None


def test_what_is_missing_is_said_where_another_sign_speaks() -> None:
    lines = [w.text for w in found(snapshot(NOW, *meals(LEFT, LEFT)), MUCH)[0].working]
    assert any("How much goes in is not known" in text for text in lines)
    assert any("What they weigh is not known" in text for text in lines)


def test_five_clean_meals_end_the_sum_too() -> None:
    rich = weekly(4.0)
    clean = [fed(m.happened_at, grams=m.grams, left_over=False) for m in rich]
    assert severity(snapshot(NOW, *rich, groups=SHOAL), MUCH) is Severity.WATCH
    assert severity(snapshot(NOW, *clean, groups=SHOAL), MUCH) is None


CLASS = tank(setting="class")
NAMES = ("Otter", "Finch", "Newt")


def week(names: tuple[str, ...], doubles: tuple[int, ...]) -> list[Feeding]:
    """A meal on each of some days by another name, and a second one on some of them."""
    first = [fed(f"2027-02-{8 + n:02d} 08:00", by=name) for n, name in enumerate(names)]
    return [*first, *(fed(f"2027-02-{day:02d} 08:05", by=names[0]) for day in doubles)]


@pytest.mark.parametrize(
    ("names", "doubles", "expected"),
    [
        (NAMES, (8, 9), Severity.WATCH),
        (NAMES, (8,), None),
        (NAMES[:2], (8, 9), None),
    ],
)
def test_three_feeders_and_two_double_meals(
    names: tuple[str, ...], doubles: tuple[int, ...], expected: Severity | None
) -> None:
    assert severity(snapshot(NOW, *week(names, doubles), tank=CLASS), HANDS) is expected


def test_it_is_only_for_classes_and_names_nobody() -> None:
    things = week(NAMES, (8, 9))
    assert severity(snapshot(NOW, *things), HANDS) is None
    asked = task(snapshot(NOW, *things, tank=CLASS), "one-feeder")
    assert asked is not None
    finding = asked.findings[0]
    said = [asked.action.title, finding.reason, *(f"{e.what} {e.by}" for e in finding.evidence)]
    assert not [text for text in said if any(name in text for name in NAMES)]


@pytest.mark.parametrize(
    ("day", "expected"),
    [("2027-01-14", Severity.WATCH), ("2027-01-13", None)],  # the 30th day back, the 31st
)
def test_double_meals_count_for_thirty_days(day: str, expected: Severity | None) -> None:
    once = [fed(f"{day} 08:00"), fed(f"{day} 08:05")]
    assert severity(snapshot(NOW, *once, *week(NAMES, (9,)), tank=CLASS), HANDS) is expected


@pytest.mark.parametrize(("day", "expected"), [("06", Severity.WATCH), ("05", None)])
def test_feeders_count_for_seven_days(day: str, expected: Severity | None) -> None:
    third = fed(f"2027-02-{day} 08:00", by="Newt")
    things = week(NAMES[:2], (8, 9))
    assert severity(snapshot(NOW, third, *things, tank=CLASS), HANDS) is expected
