"""How long a look and a test tell about the tank. Shelf lives are the project's own choice."""

from dataclasses import replace
from datetime import date, timedelta

import pytest

from app.domain.quantities import Quantity
from app.domain.tank import Break, Site
from app.rules.freshness import count_freshness, freshness, look_freshness, reading_freshness
from app.rules.model import State
from tests.rules.checks import KNOWLEDGE, judged
from tests.situations import (
    HOME,
    NEW_YORK,
    SCHOOL,
    at,
    calm,
    look,
    reading,
    snapshot,
    tank,
    warm,
)


@pytest.mark.parametrize(
    ("looked", "site", "until"),
    [
        ("2027-02-03 15:10", SCHOOL, "2027-02-04 00:00"),  # Wednesday at school
        ("2027-01-29 15:10", SCHOOL, "2027-02-01 00:00"),  # Friday never covers Monday
        ("2027-01-29 00:05", SCHOOL, "2027-02-01 00:00"),
        ("2027-02-06 09:00", HOME, "2027-02-07 00:00"),  # Saturday at home
    ],
)
def test_a_look_keeps_through_days_when_nobody_comes(looked: str, site: Site, until: str) -> None:
    seen = snapshot(looked, look(looked), site=site)
    assert look_freshness(seen, KNOWLEDGE).keeps_until == at(until)


def test_a_look_before_a_break_keeps_seventy_two_hours() -> None:
    away = Break(first_day=date(2027, 2, 1), last_day=date(2027, 2, 12))
    site = replace(SCHOOL, breaks=(away,))
    seen = snapshot("2027-01-29 15:10", look("2027-01-29 15:10"), site=site)
    until = look_freshness(seen, KNOWLEDGE).keeps_until
    assert until == at("2027-02-01 15:10")
    assert until - at("2027-01-29 15:10") == timedelta(hours=72)


def test_it_counts_until_the_moment_and_not_at_it() -> None:
    row = look_freshness(snapshot("2027-02-01 08:00", look("2027-01-29 15:10")), KNOWLEDGE)
    assert row.is_fresh(at("2027-01-31 23:59"))
    assert not row.is_fresh(at("2027-02-01 00:00"))


def test_a_count_keeps_two_days_on_which_somebody_comes() -> None:
    friday = snapshot("2027-01-29 15:10", look("2027-01-29 15:10", 16))
    assert count_freshness(friday, KNOWLEDGE).keeps_until == at("2027-02-03 00:00")
    assert (
        count_freshness(snapshot("2027-01-29 15:10", look("2027-01-29 15:10")), KNOWLEDGE).taken_at
        is None
    )


@pytest.mark.parametrize(
    ("quantity", "days"),
    [
        (Quantity.AMMONIA, 14),
        (Quantity.NITRITE, 14),
        (Quantity.NITRATE, 14),
        (Quantity.PH, 14),
        (Quantity.KH, 35),
        (Quantity.GH, 35),
    ],
)
def test_shelf_lives_of_a_grown_tank(quantity: Quantity, days: int) -> None:
    row = _row(quantity, tank())
    assert row == timedelta(days=days)


def test_ammonia_and_nitrite_keep_three_days_until_the_filter_has_grown_up() -> None:
    young = timedelta(days=3)
    assert _row(Quantity.AMMONIA, tank(mature_on=None)) == young
    assert _row(Quantity.NITRITE, tank(mature_on=date(2027, 2, 4))) == young
    assert _row(Quantity.NITRITE, tank(mature_on=date(2027, 2, 3))) == timedelta(days=14)
    # grown up by the books, but 55 days old; then 56
    early = tank(started_on=date(2026, 12, 10), mature_on=date(2027, 1, 10))
    assert _row(Quantity.AMMONIA, early) == young
    eight_weeks = tank(started_on=date(2026, 12, 9), mature_on=date(2027, 1, 10))
    assert _row(Quantity.AMMONIA, eight_weeks) == timedelta(days=14)


def _row(quantity: Quantity, of_tank: object) -> timedelta:
    now = "2027-02-03 09:00"
    row = reading_freshness(
        snapshot(now, reading(quantity, 1.0, now), tank=of_tank), quantity, KNOWLEDGE
    )
    assert row.taken_at is not None
    assert row.keeps_until is not None
    return row.keeps_until - row.taken_at


@pytest.mark.parametrize("quantity", [Quantity.OXYGEN, Quantity.CHLORINE])
def test_oxygen_and_chlorine_keep_their_day(quantity: Quantity) -> None:
    now = "2027-02-03 09:00"
    row = reading_freshness(snapshot(now, reading(quantity, 0.0, now)), quantity, KNOWLEDGE)
    assert row.keeps_until == at("2027-02-04 00:00")


def test_a_doubtful_kit_freshens_nothing() -> None:
    sound = reading(Quantity.NITRATE, 20.0, "2027-01-25 09:00")
    doubtful = reading(Quantity.NITRATE, 20.0, "2027-02-03 08:00", kit_doubtful=True)
    row = reading_freshness(
        snapshot("2027-02-03 09:00", sound, doubtful), Quantity.NITRATE, KNOWLEDGE
    )
    assert row.taken_at == at("2027-01-25 09:00")


def test_a_loggers_temperature_is_no_look() -> None:
    logged = warm(25.0, "2027-02-03 08:55")
    now = snapshot("2027-02-03 09:00", logged, logger_entry_ids=frozenset({logged.entry_id}))
    rows = {r.name: r for r in freshness(now, KNOWLEDGE)}
    assert rows["temperature"].is_fresh(now.as_of)
    assert rows["look"].taken_at is None
    assert judged(now).state is State.DONT_KNOW


def test_kh_past_its_shelf_life_leaves_the_tank_steady() -> None:
    now = "2027-02-03 09:00"
    old = reading(Quantity.KH, 6.0, "2026-12-01 09:00")
    assert judged(snapshot(now, *calm(now), old)).state is State.STEADY


def test_a_day_of_twenty_five_hours_is_one_day() -> None:
    """Clocks go back on 1 November 2026 in New York."""
    seen = snapshot("2026-11-01 00:30", look("2026-11-01 00:30"), site=HOME)
    until = look_freshness(seen, KNOWLEDGE).keeps_until
    assert until == at("2026-11-02 00:00", NEW_YORK)
    assert until - at("2026-11-01 00:00", NEW_YORK) == timedelta(hours=25)
