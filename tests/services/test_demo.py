"""The demo: 18 months of believable life in one transaction, at whatever moment it is loaded."""

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from sqlalchemy import func, select

from app.domain.calendar import local_day
from app.domain.errors import Refused
from app.domain.prediction import RoundState
from app.domain.quantities import Quantity
from app.domain.records import EntryStatus, JobKind, StockEventKind
from app.domain.snapshot import TankSnapshot
from app.domain.tank import DayKind
from app.knowledge.load import load as knowledge
from app.rules.model import Evaluation, Severity
from app.services import demo, photos, sites, tanks, tasks
from app.services.ahead import ledger, predictions
from app.services.demo_story import TankStory
from app.services.school import approvals, rota, school_days, setbacks, tiles
from app.services.sharing import links
from app.storage.engine import Database
from app.storage.models.classes import Duty
from app.storage.models.entry import Entry
from app.storage.models.livestock import Observation
from app.storage.models.maintenance import Job
from app.storage.models.water import Reading
from tests.demo_record import demo_record
from tests.record import empty_database

ZONE = "America/Chicago"
# a Wednesday afternoon, and an early Monday morning in a zone without a change of the clocks
MOMENTS = {
    "afternoon": (datetime(2027, 1, 20, 21, 0, tzinfo=UTC), ZONE),
    "early": (datetime(2027, 7, 4, 22, 0, tzinfo=UTC), "Asia/Tokyo"),
}


@dataclass
class Loaded:
    database: Database
    now: datetime
    progress: list[tuple[int, int]]

    def looks(self) -> list[tuple[TankSnapshot, Evaluation]]:
        with self.database.reading() as session:
            return list(tasks.look(session, now=self.now).values())


@pytest.fixture(scope="module", params=sorted(MOMENTS))
def loaded(
    request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory
) -> Iterator[Loaded]:
    now, zone = MOMENTS[request.param]
    folder = tmp_path_factory.mktemp("demo")
    database, steps = demo_record(tmp_path_factory, folder, now=now, zone=zone)
    yield Loaded(database, now, steps)
    database.close()


def test_it_tells_how_far_it_is(loaded: Loaded) -> None:
    assert loaded.progress[0][0] == 1
    assert loaded.progress[-1][0] == loaded.progress[-1][1] > 1500


def test_one_tank_is_a_households_and_one_a_class_s(loaded: Loaded) -> None:
    assert [s.tank.setting for s, _ in loaded.looks()] == ["home", "class"]


def test_the_households_tank_shows_a_task_of_each_severity_below_emergency(
    loaded: Loaded,
) -> None:
    (_, evaluation), _ = loaded.looks()
    shown = {task.severity for task in evaluation.tasks}
    assert shown == {Severity.INFO, Severity.WATCH, Severity.ACT}


def test_the_two_tanks_are_not_in_one_state(loaded: Loaded) -> None:
    states = [evaluation.state for _, evaluation in loaded.looks()]
    assert len(set(states)) == 2


def test_eighteen_months_lie_between_the_first_and_the_last_entry(loaded: Loaded) -> None:
    with loaded.database.reading() as session:
        first, last, latest = session.execute(
            select(
                func.min(Entry.happened_at),
                func.max(Entry.happened_at),
                func.max(Entry.recorded_at),
            )
        ).one()
    assert timedelta(days=540) < last - first < timedelta(days=560)
    assert loaded.now - timedelta(days=1) < last <= loaded.now
    assert latest <= loaded.now, "nothing was written after the present moment"


def test_entries_stand_in_the_order_in_which_they_were_written(loaded: Loaded) -> None:
    with loaded.database.reading() as session:
        times = list(
            session.scalars(
                select(Entry.recorded_at)
                .where(Entry.replaces_id.is_(None), Entry.kind != "withdrawal")
                .order_by(Entry.id)
            )
        )
    assert times == sorted(times)


def test_the_life_has_what_a_life_has(loaded: Loaded) -> None:
    with loaded.database.reading() as session:
        statuses = Counter(session.scalars(select(Entry.status)))
        jobs = Counter(session.scalars(select(Job.job)))
        low = session.scalar(
            select(func.min(Reading.value)).where(Reading.quantity == Quantity.TEMPERATURE.value)
        )
        ammonia = session.scalar(
            select(func.max(Reading.value)).where(Reading.quantity == Quantity.AMMONIA.value)
        )
        names = [hand.name for hand in tiles.hands(session) if hand.kind == "helper"]
        breaks = school_days.written(session, sites.FIRST)
        on_duty = session.scalars(select(Duty.id)).all()
    assert statuses[EntryStatus.CORRECTED.value] == 2
    assert statuses[EntryStatus.WITHDRAWN.value] == 1
    assert jobs[JobKind.WATER_CHANGE.value] > 100
    assert jobs[JobKind.LEFTOVERS.value] == 2, "after each double meal"
    assert low is not None
    assert low < 22, "the heater was off"
    assert ammonia is not None
    assert ammonia >= 2, "the filter had to mature"
    assert Counter(each.kind for each in breaks) == {
        DayKind.BREAK: 2, DayKind.STAFF: 1, DayKind.HOLIDAY: 1,
    }  # fmt: skip
    assert set(names) <= set(knowledge().nicknames)
    assert on_duty
    events = [e.what for s, _ in loaded.looks() for e in s.stock_events]
    assert events.count(StockEventKind.DIED) == 1
    assert events.count(StockEventKind.ARRIVED) == 8


def test_a_new_user_finds_an_example_of_what_a_school_writes(loaded: Loaded) -> None:
    today = local_day(loaded.now, loaded.looks()[0][0].site.zone)
    with loaded.database.reading() as session:
        ahead = [d for d in school_days.written(session, sites.FIRST) if d.first_day > today]
        hours = setbacks.written(session, sites.FIRST)
        pictures = {tank: photos.photos(session, tank, keeper=True) for tank in (1, 2)}
        notes = session.scalars(select(Observation.note).where(~Observation.is_look)).all()
        waiting = approvals.count_waiting(session, [1, 2], now=loaded.now)
        days = rota.week(session, tiles.FIRST_CLASS, rota.monday_of(today))
        known = links.links_of(session, 1)
    assert {d.kind for d in ahead} == {DayKind.STAFF, DayKind.HOLIDAY}
    assert all(d.first_day.weekday() < 5 for d in ahead), "a staff day is no Sunday"
    assert len(hours) == 1
    assert {tank: len(found) for tank, found in pictures.items()} == {1: 2, 2: 1}
    assert len({photo.spot for photo in pictures[1]}) == 1, "two from one spot, side by side"
    assert len(notes) == 3
    assert waiting == {1: 2}, "what helpers wrote waits for a grown-up"
    assert [line for day in days for line in day.lines]
    assert known == (), "a link is a secret: none comes with the demo"


def test_every_helper_of_the_demo_has_done_something(loaded: Loaded) -> None:
    with loaded.database.reading() as session:
        doers = set(session.scalars(select(Entry.done_by_id).where(Entry.done_by_id.is_not(None))))
        helpers = {hand.author_id for hand in tiles.hands(session) if hand.kind == "helper"}
    assert doers == helpers


def test_it_goes_into_an_empty_record_only(loaded: Loaded) -> None:
    with pytest.raises(Refused, match="empty"):
        demo.load(loaded.database, now=loaded.now, zone=ZONE)


def test_a_demo_that_ends_half_way_leaves_nothing(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    database = empty_database(tmp_path)
    real = TankStory.entries
    monkeypatch.setattr(TankStory, "entries", lambda self: real(self)[:20])

    def end(done: int, _whole: int) -> None:
        if done == 30:
            raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        demo.load(database, now=MOMENTS["early"][0], zone=ZONE, progress=end)
    with database.reading() as session:
        assert tanks.tank_lines(session) == ()
        assert session.scalar(select(func.count(Entry.id))) == 0
    database.close()


def test_forecasts_have_met_tests_and_the_class_has_guessed(loaded: Loaded) -> None:
    with loaded.database.reading() as session:
        for tank_id in (1, 2):
            found = {
                each.quantity: each for each in ledger.ledgers(session, tank_id, now=loaded.now)
            }
            assert found[Quantity.NITRATE].skill.met >= 5
            assert found[Quantity.TEMPERATURE].skill.met >= 5
        rounds = predictions.rounds(session, 2)
    assert RoundState.MEASURED in {each.state(loaded.now) for each in rounds}
