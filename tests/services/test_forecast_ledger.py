"""Forecasts are kept when a test is written, and compared with the one that comes."""

import json
from datetime import datetime, timedelta
from typing import Any

import pytest
from sqlalchemy import select

from app.domain.drafts import NewTest
from app.domain.guard import NewReading
from app.domain.quantities import Quantity
from app.domain.records import EntryStatus
from app.domain.snapshot import TankSnapshot
from app.domain.tank import CarePlan
from app.estimates.nitrate_forecast import forecast
from app.estimates.score import Outcome
from app.knowledge.load import load
from app.services import care_plans, entries, sites, tanks
from app.services.ahead import ledger
from app.services.school import school_days
from app.storage import snapshot as storage
from app.storage.models.forecast import Forecast
from tests.record import MONDAY, ONE_SCOOP, Record, reading

DAY = timedelta(days=1)
WEEK = 7 * DAY


def nitrate(value: float, **ends: float) -> NewReading:
    return reading(Quantity.NITRATE, value, **ends)


@pytest.fixture
def fed(record: Record) -> Record:
    """Two weeks of meals of known weight, tested every week with no water change in sight."""
    with record.database.writing() as session:
        tanks.weigh_scoop(session, 1, 5.0, 20, now=MONDAY - timedelta(days=100))
        plan = CarePlan(water_change_days=60, test_days=7)
        care_plans.set_plan(session, 1, plan)
    for ago in range(1, 29):
        record.write(ONE_SCOOP, at=MONDAY - ago * DAY)
    return record


def measure(record: Record, moment: datetime, *readings: NewReading, later: float = 0) -> int:
    """Write a test down, so many days later, and keep what follows from it; how many forecasts."""
    record.now = moment + later * DAY
    record.write(NewTest(), *readings, at=moment)
    with record.database.writing() as session:
        return ledger.note(session, 1, now=record.now)


def rows(record: Record) -> list[Forecast]:
    with record.database.reading() as session:
        return list(session.scalars(select(Forecast).order_by(Forecast.id)))


def lines(record: Record, now: datetime) -> list[tuple[Outcome, float | None]]:
    with record.database.reading() as session:
        found = ledger.ledgers(session, 1, now=now)
    return [
        (s.outcome, None if s.reading is None else s.reading.best)
        for each in found
        for s in each.lines
    ]


def seen(record: Record) -> TankSnapshot:
    with record.database.reading() as session:
        return storage.load(session, [1], record.now)[0]


def test_a_test_lets_the_next_one_be_forecast(fed: Record) -> None:
    assert measure(fed, MONDAY, nitrate(12.0)) == 1
    (kept,) = rows(fed)
    assert kept.quantity == "nitrate"
    assert kept.made_at == MONDAY
    assert kept.about_at == MONDAY + WEEK
    assert kept.last == 12.0
    # a quarter of a gram a day: 3.8 mg/L a week if nothing takes any
    assert kept.low < 12.0 + 3.8 < kept.high
    assert 12.0 < kept.best < 12.0 + 3.8
    assert kept.factor == 1.0
    inputs = json.loads(kept.inputs)
    assert {"nitrate", "grams"} <= {each["name"] for each in inputs}


def test_the_same_test_is_forecast_from_once(fed: Record) -> None:
    assert measure(fed, MONDAY, nitrate(12.0)) == 1
    with fed.database.writing() as session:
        assert ledger.note(session, 1, now=fed.now) == 0
    assert len(rows(fed)) == 1


def test_a_test_that_is_written_days_later_lets_nothing_be_forecast(fed: Record) -> None:
    assert measure(fed, MONDAY - 2 * DAY, nitrate(12.0), later=2) == 0


def test_a_test_without_nitrate_lets_nothing_be_forecast(fed: Record) -> None:
    assert measure(fed, MONDAY, reading(Quantity.PH, 7.4)) == 0


def test_a_tank_without_measures_is_not_forecast(fed: Record) -> None:
    with fed.database.writing() as session:
        facts = tanks.tank(session, 1).facts
        shape: Any = facts.shape
        bare = type(shape)(length_cm=78, width_cm=34)
        tanks.change_tank(session, 1, type(facts)(name="Brook", shape=bare))
    assert measure(fed, MONDAY, nitrate(12.0)) == 0


def test_the_next_day_of_testing_is_one_on_which_somebody_comes(fed: Record) -> None:
    with fed.database.writing() as session:
        school_days.add(
            session, sites.FIRST, (MONDAY + WEEK).date(), (MONDAY + WEEK + DAY).date(), "Winter"
        )
    measure(fed, MONDAY, nitrate(12.0))
    # Monday and Tuesday nobody comes
    assert rows(fed)[0].about_at == MONDAY + WEEK + 2 * DAY


def test_what_comes_is_compared_and_a_correction_compares_anew(fed: Record) -> None:
    measure(fed, MONDAY, nitrate(12.0))
    assert lines(fed, MONDAY) == [(Outcome.WAITING, None)]
    measure(fed, MONDAY + WEEK, nitrate(60.0))
    assert lines(fed, MONDAY + WEEK) == [(Outcome.WAITING, None), (Outcome.MISS, 60.0)]

    with fed.database.writing() as session:
        entry = entries.entry_row(session, 1, rows(fed)[1].entry_id or 0)
        entries.correct(
            session, fed.stamp(at=entry.happened_at), entry.id, NewTest(), [nitrate(16.0)],
            reason="misread", visitor=fed.adult, now=fed.now,
        )  # fmt: skip
        ledger.note(session, 1, now=fed.now)

    # what was forecast from the wrong value fell; what is forecast from the right one waits
    assert lines(fed, MONDAY + WEEK) == [
        (Outcome.WAITING, None),
        (Outcome.FELL, None),
        (Outcome.HIT, 16.0),
    ]


def test_several_readers_of_one_tube_are_one_test(fed: Record) -> None:
    measure(fed, MONDAY, nitrate(12.0))
    colors = [
        nitrate(c, low=low, high=high) for c, low, high in ((10, 5, 20), (20, 10, 40), (20, 10, 40))
    ]
    measure(fed, MONDAY + WEEK, *colors)
    assert lines(fed, MONDAY + WEEK)[-1] == (Outcome.HIT, 20.0)


def test_ranges_that_miss_widen_the_next_ones_everywhere(fed: Record) -> None:
    """The model knows nothing of what makes nitrate jump up and down here."""
    for week in range(12):
        measure(fed, MONDAY + week * WEEK, nitrate(10.0 if week % 2 else 60.0))
        for day in range(7):
            fed.now = MONDAY + week * WEEK + day * DAY
            fed.write(ONE_SCOOP, at=fed.now)
    kept = rows(fed)
    assert kept[0].factor == 1.0
    assert kept[-1].factor > 1.5

    there = seen(fed)
    assert there.widening(Quantity.NITRATE) == kept[-1].factor
    wide = forecast(there, load())
    plain = forecast(TankSnapshot(**{**vars_of(there), "widened": ()}), load())
    assert wide.fan[-1].high - wide.fan[-1].best == pytest.approx(
        kept[-1].factor * (plain.fan[-1].high - plain.fan[-1].best)
    )
    assert wide.fan[-1].best == plain.fan[-1].best
    assert "times as wide" in wide.crossing.sentence
    assert "times as wide" not in plain.crossing.sentence
    with fed.database.reading() as session:
        assert "shown wider" in ledger.answer(there, load())
        (found,) = ledger.ledgers(session, 1, now=fed.now)
    assert found.skill.met == 11


def vars_of(there: TankSnapshot) -> dict[str, Any]:
    return {name: getattr(there, name) for name in TankSnapshot.__dataclass_fields__}


def test_a_forecast_that_goes_wrong_never_harms_the_page(
    fed: Record, monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture
) -> None:
    def broken(*_: object, **__: object) -> int:
        raise ZeroDivisionError

    fed.write(NewTest(), nitrate(12.0), at=MONDAY)
    monkeypatch.setattr(ledger, "note", broken)
    ledger.keep(fed.database, 1, now=MONDAY)
    assert "could not be kept" in caplog.text


def test_while_somebody_writes_nothing_is_waited_for(fed: Record) -> None:
    fed.now = MONDAY
    fed.write(NewTest(), nitrate(12.0))
    with fed.database.writing():
        ledger.keep(fed.database, 1, now=MONDAY)
    assert rows(fed) == []
    ledger.keep(fed.database, 1, now=MONDAY)
    assert len(rows(fed)) == 1


def test_a_kept_forecast_shows_what_it_rested_on(fed: Record) -> None:
    measure(fed, MONDAY, nitrate(12.0))
    with fed.database.reading() as session:
        scored, inputs = ledger.kept(session, 1, rows(fed)[0].id, now=MONDAY)
    assert scored.forecast.version.startswith("1-")
    tested = next(each for each in inputs if each.name == "nitrate")
    assert (tested.best, tested.at, tested.origin.value) == (12.0, MONDAY, "measured")


def test_a_past_moment_knows_no_later_factor(fed: Record) -> None:
    measure(fed, MONDAY, nitrate(12.0))
    with fed.database.reading() as session:
        (then,) = storage.load(session, [1], MONDAY - DAY)
        (now,) = storage.load(session, [1], MONDAY)
    assert then.widened == ()
    assert now.widened == ((Quantity.NITRATE, 1.0),)


def test_a_test_taken_back_leaves_its_forecast_out(fed: Record) -> None:
    measure(fed, MONDAY, nitrate(12.0))
    with fed.database.writing() as session:
        entry_id = rows(fed)[0].entry_id or 0
        entries.withdraw(session, 1, entry_id, visitor=fed.adult, now=fed.now)
        assert entries.entry_row(session, 1, entry_id).status == EntryStatus.WITHDRAWN.value
    assert lines(fed, MONDAY) == [(Outcome.FELL, None)]


def test_warmth_is_forecast_once_a_day_for_the_next(record: Record) -> None:
    """Nine school days in a row, mornings at 25.0 and 25.2 °C in turn, afternoons warmer."""
    made = []
    with record.database.writing() as session:
        weekdays = frozenset(range(7))
        site = sites.SiteDraft(name="Hill", zone="America/New_York", present_weekdays=weekdays)
        sites.set_site(session, site)
    for day in range(12):
        for hour, more in ((0, 0.0), (6, 0.5)):
            warm = reading(Quantity.TEMPERATURE, 25.0 + day % 2 / 5.0 + more)
            made.append(measure(record, MONDAY + day * DAY + hour * DAY / 24, warm))

    # from a week of days on, in the morning only
    assert set(made[1::2]) == {0}
    assert made[0::2] == sorted(made[0::2])
    kept = rows(record)
    assert len(kept) == sum(made) > 2
    assert {f.quantity for f in kept} == {"temperature"}
    assert {f.about_at - f.made_at for f in kept} == {DAY}
    # the morning after is the reading that is met, never the same afternoon
    met = [reading for outcome, reading in lines(record, record.now) if reading is not None]
    assert met
    assert set(met) <= {25.0, 25.2}
