"""The planned change, and one that was too much. Edges are common practice or own choice."""

import pytest

from app.domain.quantities import Quantity
from app.domain.records import JobKind, Sign
from app.rules.model import Severity
from tests.rules.checks import found, plain, severity, task
from tests.situations import SHAPE, Thing, at, fed, job, look, reading, snapshot, tank, warm

NOW = "2027-02-12 09:00"
SHOCK = "change.shock"


def change(when: str, liters: float | None = 21.3) -> object:
    return job(JobKind.WATER_CHANGE, when, liters_out=liters)


@pytest.mark.parametrize(
    ("day", "expected"),
    [
        (6, None),  # six days ago
        (5, Severity.INFO),  # seven
        (2, Severity.INFO),  # ten
        (1, Severity.WATCH),  # eleven: over one and a half intervals
    ],
)
def test_the_planned_change(day: int, expected: Severity | None) -> None:
    done = job(JobKind.WATER_CHANGE, f"2027-02-{day:02d} 20:00", liters_out=21.3)
    assert severity(snapshot(NOW, done), "maintenance.water-change") is expected


@pytest.mark.parametrize(
    ("liters", "expected"), [((17.0,), None), ((16.9,), Severity.WATCH), ((9.0, 8.0), None)]
)
def test_eighty_percent_of_the_plan_counts(
    liters: tuple[float, ...], expected: Severity | None
) -> None:
    """25 % of 85.0 L is 21.3 L, and 80 % of that 17.0 L."""
    old = job(JobKind.WATER_CHANGE, "2027-01-30 09:00", liters_out=21.3)
    new = [
        job(JobKind.WATER_CHANGE, f"2027-02-{10 + n} 09:00", liters_out=amount)
        for n, amount in enumerate(liters)
    ]
    assert severity(snapshot(NOW, old, *new), "maintenance.water-change") is expected


def test_the_change_says_liters_level_and_warmth_with_working() -> None:
    done = job(JobKind.WATER_CHANGE, "2027-02-05 09:00", liters_out=21.3)
    asked = task(snapshot(NOW, done, warm(24.9, "2027-02-12 08:00")), "water-change")
    assert asked is not None
    assert plain(asked.action.title) == "Change 21 L, 25 %"
    assert "7 days ago" in asked.reason
    # by hand: 24.9 − 1.0 ÷ 0.25 = 20.9
    assert plain(asked.advice).startswith("New water: 20.9 °C or warmer")
    answers = [plain(line.answer) for line in asked.findings[0].working]
    assert {"21.3 L", "8.0 cm", "20.9 °C"} <= set(answers)
    assert "siphon" in asked.action.cautions


def test_without_measures_it_asks_for_a_share() -> None:
    flat = tank(shape=SHAPE.__class__(length_cm=78, width_cm=34))
    done = job(JobKind.WATER_CHANGE, "2027-02-05 09:00")
    asked = task(snapshot(NOW, done, tank=flat), "water-change")
    assert asked is not None
    assert plain(asked.action.title) == "Change 25 % of the water"


def test_nitrate_and_the_plan_ask_for_one_change() -> None:
    done = job(JobKind.WATER_CHANGE, "2027-02-05 07:00", liters_out=21.3)
    nitrate = reading(Quantity.NITRATE, 45.0, "2027-02-11 09:00")
    asked = task(snapshot(NOW, done, nitrate), "water-change")
    assert asked is not None
    assert {f.rule_id for f in asked.findings} == {"maintenance.water-change", "water.nitrate"}
    assert asked.due_at == at("2027-02-11 09:00")
    assert asked.action.amount == 0.30
    assert "Nitrate is 45" in asked.reason
    assert "The planned change is due." in asked.reason


def test_a_change_never_written_counts_from_the_first_entry() -> None:
    rule = "maintenance.water-change"
    assert severity(snapshot(NOW, fed("2027-02-06 09:00")), rule) is None
    assert severity(snapshot(NOW, fed("2027-02-05 09:00")), rule) is Severity.INFO
    assert severity(snapshot(NOW, fed("2027-02-05 09:00"), groups=()), rule) is None
    assert severity(snapshot(NOW), rule) is None


@pytest.mark.parametrize(
    ("day", "nitrate", "expected"),
    [
        (29, (14.0, 14.9), Severity.INFO),  # 14 days, low twice: it can wait
        (29, (14.0, 15.0), Severity.WATCH),
        (29, (15.0, 14.0), Severity.WATCH),
        (29, (14.0,), Severity.WATCH),  # one test proves no steadiness
        (15, (14.0, 14.0), Severity.INFO),  # 28 days
        (14, (14.0, 14.0), Severity.WATCH),  # never past four weeks
    ],
)
def test_low_nitrate_lets_it_wait_but_never_past_four_weeks(
    day: int, nitrate: tuple[float, ...], expected: Severity
) -> None:
    done = job(JobKind.WATER_CHANGE, f"2027-01-{day:02d} 20:00", liters_out=21.3)
    tests = [
        reading(Quantity.NITRATE, v, f"2027-02-{3 + 4 * n:02d} 09:00")
        for n, v in enumerate(nitrate)
    ]
    assert severity(snapshot(NOW, done, *tests), "maintenance.water-change") is expected


def changed(liters: float | None, celsius: float | None, when: str = "2027-02-12 08:00") -> Thing:
    return job(JobKind.WATER_CHANGE, when, liters_out=liters, new_water_c=celsius)


# 15 % of 85.0 L is 12.75 L, half is 42.5 L
@pytest.mark.parametrize(
    ("liters", "celsius", "expected"),
    [
        (21.3, 22.9, Severity.ACT),
        (21.3, 23.0, None),  # 2 °C colder
        (21.3, 27.1, Severity.ACT),
        (12.7, 15.0, None),  # 15 % at most
        (12.8, 22.9, Severity.ACT),
        (None, 22.9, Severity.WATCH),  # nobody wrote how much
        (21.3, None, None),  # nobody wrote how warm
    ],
)
def test_new_water_against_the_tank(
    liters: float | None, celsius: float | None, expected: Severity | None
) -> None:
    tank_warm = warm(25.0, "2027-02-12 07:30")
    assert severity(snapshot(NOW, tank_warm, changed(liters, celsius)), SHOCK) is expected


def test_without_the_tanks_own_temperature_nothing_is_compared() -> None:
    assert severity(snapshot(NOW, changed(21.3, 15.0)), SHOCK) is None
    old = warm(25.0, "2027-02-11 07:59")
    assert severity(snapshot(NOW, old, changed(21.3, 15.0)), SHOCK) is None
    near = warm(25.0, "2027-02-11 08:00")
    assert severity(snapshot(NOW, near, changed(21.3, 15.0)), SHOCK) is Severity.ACT


@pytest.mark.parametrize(
    ("before", "after", "celsius", "expected"),
    [
        ("06:00", "09:00", 22.9, Severity.ACT),
        ("06:00", "09:00", 23.0, None),  # moved by 2.0
        ("05:59", "09:00", 22.9, None),  # more than three hours apart
    ],
)
def test_the_tank_itself_moved_around_a_change(
    before: str, after: str, celsius: float, expected: Severity | None
) -> None:
    two = warm(25.0, f"2027-02-12 {before}"), warm(celsius, f"2027-02-12 {after}")
    assert severity(snapshot(NOW, *two, changed(10.0, None)), SHOCK) is expected


@pytest.mark.parametrize(("liters", "expected"), [(42.5, None), (42.6, Severity.ACT)])
def test_more_than_half_in_one_day(liters: float, expected: Severity | None) -> None:
    first = changed(20.0, None, "2027-02-12 07:00")
    rest = changed(liters - 20.0, None)
    assert severity(snapshot(NOW, first, rest), SHOCK) is expected
    yesterday = changed(20.0, None, "2027-02-11 20:00")
    assert severity(snapshot(NOW, yesterday, rest), SHOCK) is None


@pytest.mark.parametrize(
    "cause",
    [
        look("2027-02-12 07:00", signs=(Sign.GASPING,)),
        reading(Quantity.NITRITE, 1.0, "2027-02-12 07:00"),
        reading(Quantity.AMMONIA, 0.5, "2027-02-12 07:00"),
    ],
)
def test_an_emergency_explains_a_large_change(cause: Thing) -> None:
    assert severity(snapshot(NOW, cause, changed(50.0, None)), SHOCK) is None


def test_twelve_steady_hours_end_it() -> None:
    start = [warm(25.0, "2027-02-11 07:30"), changed(30.0, 20.0, "2027-02-11 08:00")]
    soon = [warm(23.5, "2027-02-11 10:00"), warm(23.6, "2027-02-11 19:59")]
    assert severity(snapshot(NOW, *start, *soon), SHOCK) is Severity.ACT
    steady = warm(24.4, "2027-02-11 20:00")
    assert severity(snapshot(NOW, *start, *soon, steady), SHOCK) is None
    moving = warm(24.6, "2027-02-11 20:00")
    assert severity(snapshot(NOW, *start, *soon, moving), SHOCK) is Severity.ACT


def test_no_planned_change_on_the_day_of_a_shock() -> None:
    old = changed(21.3, None, "2027-01-20 08:00")
    things = [old, warm(25.0, "2027-02-12 07:30"), changed(14.0, 20.0)]
    assert severity(snapshot(NOW, *things), "maintenance.water-change") is Severity.WATCH
    assert task(snapshot(NOW, *things), "water-change") is None
    assert found(snapshot(NOW, *things), SHOCK)
