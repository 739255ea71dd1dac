"""From rows to snapshots: what is in them, and that more tanks cost no more statements."""

from collections.abc import Iterator
from dataclasses import replace
from datetime import date, datetime, timedelta
from pathlib import Path

import pytest
from sqlalchemy import event

from app.domain.drafts import NewJob, NewLook, NewMeal, NewStockEvent, NewTest
from app.domain.kit import KitFacts
from app.domain.maturing import Stage, StageReached
from app.domain.quantities import Quantity
from app.domain.records import JobKind, StockEventKind, Treatment
from app.domain.snapshot import TankSnapshot
from app.domain.tank import PlannedJob, TankFacts, TankShape
from app.knowledge import load as knowledge
from app.services import care_plans, comparisons, entries, equipment, kits, sites, tanks
from app.services.livestock import animals, plants
from app.services.school import tiles
from app.services.sites import FIRST
from app.storage import snapshot
from app.storage.engine import Database
from app.storage.queries import evaluations, lived
from app.storage.queries.evaluations import Kept
from tests.record import ALL_FINE, ONE_SCOOP, Record, new_record, reading


@pytest.fixture
def record(tmp_path: Path) -> Iterator[Record]:
    made = new_record(tmp_path)
    yield made
    made.database.close()


def load(record: Record, as_of: datetime | None = None, *, past: bool = False) -> TankSnapshot:
    with record.database.reading() as session:
        return snapshot.load(session, [record.tank_id], as_of or record.now, past=past)[0]


class Statements:
    """Counts the statements that reach a database."""

    def __init__(self, database: Database) -> None:
        self.count = 0
        event.listen(database.engine, "before_cursor_execute", self._seen)

    def _seen(self, *_: object) -> None:
        self.count += 1


def test_more_tanks_cost_no_more_statements(record: Record) -> None:
    with record.database.writing() as session:
        ids = [record.tank_id] + [
            tanks.add_tank(
                session,
                TankFacts(name=f"T{n}", shape=TankShape(length_cm=60, width_cm=30)),
            )
            for n in range(20)
        ]
    statements = Statements(record.database)
    with record.database.reading() as session:
        snapshot.load(session, ids[:1], record.now)
        one = statements.count
        snapshot.load(session, ids, record.now)
    # 14 and BEGIN: one a table that no join can bring along
    assert one <= 15
    assert statements.count - one <= one


def test_the_latest_of_each_job_is_there_however_old_it_is(record: Record) -> None:
    for days in (150, 140):
        for job in (JobKind.FILTER_RINSE, JobKind.OUTLET_TEST):
            record.write(NewJob(job=job), at=record.now - timedelta(days=days))

    found = load(record)

    assert [job.job for job in found.jobs] == [JobKind.FILTER_RINSE, JobKind.OUTLET_TEST]
    assert {found.age_of(job.happened_at).days for job in found.jobs} == {140}


def test_every_step_ticked_off_is_there_however_old_it_is(record: Record) -> None:
    for days, step in ((150, "rinse-sand"), (149, "fill")):
        at = record.now - timedelta(days=days)
        record.write(NewJob(job=JobKind.STEP, step=step), at=at)

    assert [job.step for job in load(record).jobs] == ["rinse-sand", "fill"]


def test_a_job_that_was_taken_back_is_not_the_latest(record: Record) -> None:
    first = record.write(NewJob(job=JobKind.OUTLET_TEST), at=record.now - timedelta(days=150))
    second = record.write(NewJob(job=JobKind.OUTLET_TEST), at=record.now - timedelta(days=140))
    before = record.now
    record.pass_time(hours=1)
    with record.database.writing() as session:
        entries.withdraw(
            session, record.tank_id, second.entry_id, visitor=record.adult, now=record.now
        )

    assert [job.id for job in load(record).jobs] == [first.entry_id]
    # at that time it still counted
    assert [job.id for job in load(record, before, past=True).jobs] == [second.entry_id]


def test_the_last_eight_readings_are_there_however_old_they_are(record: Record) -> None:
    for month in range(1, 11):
        record.write(
            NewTest(),
            reading(Quantity.GH, float(month)),
            at=record.now - timedelta(days=190 - month),
        )

    with record.database.reading() as session:
        found = snapshot.load(session, [record.tank_id], record.now)[0]

    assert [r.value for r in found.of(Quantity.GH)] == [3, 4, 5, 6, 7, 8, 9, 10]


def test_nothing_later_than_the_moment_is_seen(record: Record) -> None:
    record.write(ONE_SCOOP)
    record.write(ALL_FINE, at=record.now - timedelta(hours=3))

    with record.database.reading() as session:
        earlier = record.now - timedelta(hours=1)
        found = snapshot.load(session, [record.tank_id], earlier)[0]

    assert found.feedings == ()
    assert len(found.observations) == 1
    assert found.expected_fish == 16


def test_three_readers_of_one_tube_give_the_middle_and_the_range(record: Record) -> None:
    record.write(
        NewTest(),
        *(
            reading(Quantity.NITRATE, value, reader_id=who)
            for value, who in ((10, record.finch), (20, None), (20, record.otter))
        ),
    )

    with record.database.reading() as session:
        found = snapshot.load(session, [record.tank_id], record.now)[0].latest(Quantity.NITRATE)

    assert found is not None
    assert (found.value, found.low, found.high, found.readers) == (20, 10, 20, 3)


def test_three_readers_of_one_card_give_the_middle_color_and_the_widest_bounds(
    record: Record,
) -> None:
    """The steps on either side of 10 are 5 and 20, those of 20 are 10 and 40."""
    with record.database.writing() as session:
        moss = tiles.add_helper(session, "Moss")
    seen = ((10, 5, 20, record.finch), (20, 10, 40, moss), (20, 10, 40, record.otter))
    record.write(
        NewTest(),
        *(reading(Quantity.NITRATE, v, low=a, high=b, reader_id=who) for v, a, b, who in seen),
    )

    found = load(record).latest(Quantity.NITRATE)

    assert found is not None
    assert (found.value, found.low, found.high, found.readers) == (20, 5, 40, 3)
    assert (found.typed, found.reader) == ("10, 20 and 20", "Finch, Moss and Otter")


def test_several_readers_of_one_tube_count_once_among_the_last_eight(record: Record) -> None:
    for month in range(1, 10):
        at = record.now - timedelta(days=190 - month)
        record.write(NewTest(), *(reading(Quantity.GH, float(month)) for _ in range(3)), at=at)

    assert [r.value for r in load(record).of(Quantity.GH)] == [2, 3, 4, 5, 6, 7, 8, 9]


def test_what_is_written_of_a_meal_a_look_and_a_treatment_comes_back(record: Record) -> None:
    treatment = Treatment(
        product="Label words", label_ml=5, label_l=40, volume_l=80, amount_ml=10,
        carbon_out=True, until=date(2027, 2, 12),
    )  # fmt: skip
    record.write(NewMeal(left_over=True, minutes_to_eat=4))
    record.write(NewLook(algae=2))
    record.write(NewJob(job=JobKind.TREATMENT, treatment=treatment))
    record.write(NewJob(job=JobKind.MEDIA_REPLACED, media_share=0.5))

    found = load(record)

    assert (found.feedings[-1].left_over, found.feedings[-1].minutes_to_eat) == (True, 4)
    assert found.observations[-1].algae == 2
    assert [job.treatment for job in found.jobs] == [treatment, None]
    assert [job.media_share for job in found.jobs] == [None, 0.5]


def test_a_hidden_loss_counts_for_adults_and_not_yet_for_pupils(record: Record) -> None:
    group = load(record).groups[0]
    loss = NewStockEvent(what=StockEventKind.DIED, group_id=group.id, count=1, hidden=True)
    record.write(loss)

    found = load(record)
    assert (found.expected_fish, found.expected_by_pupils) == (15, 16)
    assert (found.groups[0].count, found.groups[0].hidden_losses) == (9, 1)

    with record.database.writing() as session:
        assert animals.release_losses(session, record.tank_id) == 1
    assert load(record).expected_by_pupils == 15


def test_the_last_measured_length_counts_and_measuring_changes_no_count(record: Record) -> None:
    group = load(record).groups[0]
    assert group.length_cm is None
    for length in (2.1, 2.6):
        measured = NewStockEvent(
            what=StockEventKind.MEASURED, group_id=group.id, count=5, length_cm=length
        )
        record.write(measured)

    assert (load(record).groups[0].length_cm, load(record).groups[0].count) == (2.6, 10)


def test_what_stands_beside_the_entries_is_there(record: Record) -> None:
    tank_id, today = record.tank_id, date(2027, 2, 8)
    with record.database.writing() as session:
        plan = PlannedJob(name="outlet_test", every_days=180, who="adult")
        care_plans.set_job(session, tank_id, plan)
        plants.add(session, tank_id, plants.PlantDraft(name="Fern"))
        gone = plants.add(session, tank_id, plants.PlantDraft(name="Moss"))
        plants.remove(session, gone)
        heater = equipment.EquipmentDraft(kind="heater", name="Heater", watts=100)
        old = equipment.add(session, tank_id, heater)
        equipment.retire(session, old, today)
        equipment.add(session, tank_id, heater)
        draft = KitFacts(quantity=Quantity.TEMPERATURE, name="Stick", unit="°C", lot="L-1")
        kit = kits.add_kit(session, FIRST, draft)
        off = comparisons.ComparisonDraft(known=25, read=26)
        comparisons.compare_kit(session, kit, off, now=record.now)
        sites.set_site(
            session, sites.SiteDraft(name="Hill", zone="America/New_York", elevation_m=1600)
        )

    found = load(record)
    assert found.tank.plan.job("outlet_test") == plan
    assert [p.name for p in found.plants] == ["Fern"]
    assert [(e.kind, e.retired_on) for e in found.equipment] == [("heater", None)]
    assert [(k.lot, found.comparisons[0].offset) for k in found.kits] == [("L-1", 1.0)]
    assert found.site.elevation_m == 1600
    # the day before, the old heater was still in use and nothing was compared
    yesterday = load(record, record.now - timedelta(days=1))
    assert len(yesterday.equipment) == 2
    assert yesterday.comparisons == ()


def test_the_stages_of_a_filter_come_from_what_was_kept(record: Record) -> None:
    reached = StageReached(Stage.AMMONIA_UP, date(2027, 2, 8))
    for stages in ((), (reached,)):
        kept = Kept(
            tank_id=record.tank_id, revision=3, version="v", evaluated_at=record.now,
            holds_until=record.now, state="watch", state_line="Look again.", stages=stages,
        )  # fmt: skip
        with record.database.writing() as session:
            evaluations.put(session, [kept])
            session.commit()

    with record.database.reading() as session:
        found = evaluations.get(session, [record.tank_id, 99])
    assert found == {record.tank_id: replace(kept, stages=())}
    assert load(record).stages == (reached,)
    assert load(record, record.now - timedelta(days=1), past=True).stages == ()


def test_readings_reach_as_far_back_as_the_pages_say() -> None:
    assert timedelta(days=knowledge.load().value("warmth.readings-days")) == lived.READINGS_BACK
