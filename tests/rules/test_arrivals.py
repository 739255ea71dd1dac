"""New animals. Edges are our own choice; 21 days apart: University of Florida IFAS Circular 920."""

from collections.abc import Callable
from datetime import date, datetime, timedelta

import pytest

from app.domain.livestock import StockGroup
from app.domain.records import Sign, StockEventKind
from app.domain.snapshot import TankSnapshot
from app.estimates.bodies import Mass
from app.knowledge.model import Knowledge
from app.rules import arrivals
from app.rules.model import Finding, Severity
from tests.rules.checks import KNOWLEDGE
from tests.situations import Thing, at, fed, look, metered, snapshot, stock, tank

NOW = "2027-02-12 12:00"
YOUNG = tank(started_on=date(2027, 2, 1), mature_on=None)
OLD_LOOK = look("2026-12-01 08:00")

Check = Callable[[TankSnapshot, Knowledge], tuple[Finding, ...]]


def ago(days: float) -> datetime:
    return at(NOW) - timedelta(days=days)


def came(days: float, number: int = 3, **more: object) -> Thing:
    return stock(StockEventKind.ARRIVED, ago(days), number, **more)


def group(number: int, group_id: int = 1) -> StockGroup:
    return StockGroup(id=group_id, name="Shoal", count=number)


def strength(check: Check, now: TankSnapshot) -> Severity | None:
    return max((f.severity for f in check(now, KNOWLEDGE)), default=None)


@pytest.fixture
def each_weighs(monkeypatch: pytest.MonkeyPatch) -> Callable[[float | None], None]:
    """Give every animal the same weight in grams, or none that is known."""

    def weigh(grams: float | None) -> None:
        def mass(found: StockGroup, knowledge: Knowledge) -> Mass | None:
            if grams is None:
                return None
            best = grams * found.count
            return Mass(best * 0.6, best, best * 1.4)

        monkeypatch.setattr(arrivals, "group_mass", mass)

    return weigh


# 0.3 g for each 10 L is 2.55 g in 85.0 L
@pytest.mark.parametrize(
    ("grams", "expected"),
    [(0.85, Severity.ACT), (0.86, Severity.EMERGENCY), (None, Severity.ACT)],
)
def test_three_animals_before_the_filter_is_ready(
    grams: float | None, expected: Severity, each_weighs: Callable[[float | None], None]
) -> None:
    each_weighs(grams)
    now = snapshot(NOW, came(1), tank=YOUNG, groups=(group(3),))
    assert strength(arrivals.before_ready, now) is expected


def test_without_measures_the_weight_alone_is_no_emergency(
    each_weighs: Callable[[float | None], None],
) -> None:
    each_weighs(5.0)
    flat = tank(started_on=date(2027, 2, 1), mature_on=None, shape=YOUNG.shape.__class__(
        length_cm=78, width_cm=34))  # fmt: skip
    now = snapshot(NOW, came(1), tank=flat, groups=(group(3),))
    assert strength(arrivals.before_ready, now) is Severity.ACT
    said = arrivals.before_ready(now, KNOWLEDGE)[0].working
    assert any("nobody measured" in line.text for line in said)


def test_ready_or_gone_ends_it_and_age_does_not() -> None:
    long = snapshot(NOW, OLD_LOOK, came(50), tank=YOUNG, groups=(group(3),))
    assert strength(arrivals.before_ready, long) is Severity.ACT
    none = snapshot(NOW, came(1), tank=YOUNG, groups=())
    assert strength(arrivals.before_ready, none) is None
    ready = tank(started_on=date(2027, 1, 1), mature_on=date(2027, 2, 12))
    assert strength(arrivals.before_ready, snapshot(NOW, came(1), tank=ready)) is None
    clean = [r for d in (7, 3, 0) for r in metered(ago(d), ammonia=0.0, nitrite=0.0)]
    meals = [fed(ago(d)) for d in range(8)]
    proven = snapshot(NOW, OLD_LOOK, came(9), *clean, *meals, tank=YOUNG)
    assert strength(arrivals.before_ready, proven) is None


@pytest.mark.parametrize(
    ("started", "expected"),
    [
        (None, Severity.WATCH),  # nobody knows how old the tank is
        (date(2026, 12, 17), Severity.WATCH),  # 56 days when its record began
        (date(2026, 12, 18), Severity.ACT),
    ],
)
def test_a_tank_older_than_its_record_is_asked_about(
    started: date | None, expected: Severity
) -> None:
    asked = tank(started_on=started, mature_on=None)
    first = snapshot(NOW, came(1), tank=asked, groups=(group(3),))
    found = arrivals.before_ready(first, KNOWLEDGE)
    assert [f.severity for f in found] == [expected]
    assert found[0].certain is (expected is Severity.ACT)
    more = snapshot(NOW, came(1), came(0), tank=asked, groups=(group(6),))
    assert strength(arrivals.before_ready, more) is Severity.ACT


# three to ten are 30 %
@pytest.mark.parametrize(
    ("new", "now_there", "expected"),
    [
        (3, 13, None),
        (4, 14, Severity.ACT),
        (6, 6, None),  # the first batch
        (7, 7, Severity.ACT),
    ],
)
@pytest.mark.parametrize("grams", [0.5, None])
def test_many_at_once(
    new: int,
    now_there: int,
    expected: Severity | None,
    grams: float | None,
    each_weighs: Callable[[float | None], None],
) -> None:
    each_weighs(grams)
    now = snapshot(NOW, OLD_LOOK, came(1, new), groups=(group(now_there),))
    found = arrivals.many_at_once(now, KNOWLEDGE)
    assert max((f.severity for f in found), default=None) is expected
    if found and now_there > new:
        assert found[0].certain is (grams is not None)


@pytest.mark.parametrize(("before", "expected"), [(15, Severity.ACT), (15.1, None)])
def test_two_weeks_are_one_batch(before: float, expected: Severity | None) -> None:
    two = came(before, 2), came(1, 2)
    now = snapshot(NOW, OLD_LOOK, *two, groups=(group(14),))
    assert strength(arrivals.many_at_once, now) is expected


@pytest.mark.parametrize(
    ("days", "expected"),
    [((1, 2, 7), None), ((1, 2, 6.9), Severity.ACT), ((2, 7), Severity.ACT)],
)
def test_three_clean_tests_the_last_after_a_week_end_it(
    days: tuple[float, ...], expected: Severity | None
) -> None:
    tests = [r for d in days for r in metered(ago(10 - d), ammonia=0.0, nitrite=0.0)]
    now = snapshot(NOW, OLD_LOOK, came(10, 8), *tests, groups=(group(14),))
    assert strength(arrivals.many_at_once, now) is expected
    assert strength(arrivals.many_at_once, snapshot(NOW, OLD_LOOK)) is None


@pytest.mark.parametrize(
    ("days", "apart", "expected"),
    [
        (20, 20, Severity.WATCH),
        (20, 21, None),
        (20, None, Severity.WATCH),  # nobody wrote it
        (21, None, None),  # three weeks are over
    ],
)
def test_new_animals_are_watched_for_three_weeks(
    days: int, apart: int | None, expected: Severity | None
) -> None:
    now = snapshot(NOW, OLD_LOOK, came(days, 3, apart_days=apart))
    assert strength(arrivals.no_quarantine, now) is expected


def test_todays_look_does_it_for_the_day_unless_it_shows_an_illness() -> None:
    new = OLD_LOOK, came(2, 3)
    assert strength(arrivals.no_quarantine, snapshot(NOW, *new, look(ago(0.1)))) is None
    yesterday = snapshot(NOW, *new, look(ago(1)))
    assert strength(arrivals.no_quarantine, yesterday) is Severity.WATCH
    ill = look(ago(0.1), signs=(Sign.WHITE_SPOTS,))
    assert strength(arrivals.no_quarantine, snapshot(NOW, *new, ill)) is Severity.WATCH


def test_animals_that_were_there_when_the_record_began_are_not_new() -> None:
    first = snapshot(NOW, came(2, 16))
    assert strength(arrivals.no_quarantine, first) is None
    assert strength(arrivals.many_at_once, first) is None


def test_rule_ids() -> None:
    ids = [rule.id for rule in arrivals.RULES]
    assert ids == ["stock.before-ready", "stock.many-at-once", "stock.no-quarantine"]


@pytest.mark.parametrize(
    ("now", "expected"), [("2027-02-15 20:00", Severity.ACT), ("2027-02-16 08:00", None)]
)
def test_many_at_once_ends_when_the_wait_between_batches_is_over(
    now: str, expected: Severity | None
) -> None:
    moment = snapshot(
        now,
        OLD_LOOK,
        stock(StockEventKind.ARRIVED, at("2027-02-01 09:00"), 12),
        groups=(group(12),),
    )
    assert strength(arrivals.many_at_once, moment) is expected
