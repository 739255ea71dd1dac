"""The plants of a tank: added, more or fewer, taken out, and named in what was done."""

from dataclasses import replace

import pytest

from app.domain.drafts import NewJob
from app.domain.errors import NotFound, Refused
from app.domain.records import JobKind
from app.domain.tank import TankFacts, TankShape
from app.services import entries, tanks
from app.services.livestock import plants
from app.services.livestock.plants import PlantDraft
from app.storage import snapshot
from tests.record import Record

FERN = PlantDraft(name="Java fern", species="Leptochilus pteropus", amount="sparse")


def test_a_plant_grows_and_is_taken_out_and_stays_known(record: Record) -> None:
    with record.database.writing() as session:
        before = tanks.revision(session, record.tank_id)
        fern = plants.add(session, record.tank_id, FERN)
        plants.set_amount(session, fern, "dense")
        assert [(p.species, p.amount) for p in plants.plants(session, record.tank_id)] == [
            ("Leptochilus pteropus", "dense")
        ]
        plants.remove(session, fern)
        assert plants.plants(session, record.tank_id) == ()
        assert [p.removed for p in plants.plants(session, record.tank_id, removed=True)] == [True]
        assert tanks.revision(session, record.tank_id) == before + 3


def test_a_plant_stands_in_the_list_once_while_it_grows(record: Record) -> None:
    with record.database.writing() as session:
        fern = plants.add(session, record.tank_id, FERN)
        with pytest.raises(Refused, match="already"):
            plants.add(session, record.tank_id, replace(FERN, name="JAVA  fern"))
        plants.change(session, fern, replace(FERN, floating=True))
        plants.remove(session, fern)
        plants.add(session, record.tank_id, FERN)
        with pytest.raises(Refused, match="already"):
            plants.bring_back(session, fern)


@pytest.mark.parametrize(
    ("draft", "why"),
    [(replace(FERN, name=" "), "name"), (replace(FERN, amount="much"), "how much")],
)
def test_a_plant_that_cannot_be_is_refused(record: Record, draft: PlantDraft, why: str) -> None:
    with record.database.writing() as session, pytest.raises(Refused, match=why):
        plants.add(session, record.tank_id, draft)


def test_an_unknown_plant_or_amount_is_told(record: Record) -> None:
    with record.database.writing() as session:
        with pytest.raises(NotFound):
            plants.remove(session, 99)
        with pytest.raises(Refused):
            plants.set_amount(session, 99, "much")


def test_planting_names_its_plant_also_after_a_correction(record: Record) -> None:
    with record.database.writing() as session:
        fern = plants.add(session, record.tank_id, FERN)
    saved = record.write(NewJob(job=JobKind.PLANTED, plant_id=fern, grams=20))
    with record.database.writing() as session:
        entries.correct(
            session, record.stamp(), saved.entry_id, NewJob(job=JobKind.PLANTED, grams=25), (),
            reason="misread", visitor=record.adult, now=record.now,
        )  # fmt: skip
        (job,) = snapshot.load(session, [record.tank_id], record.now)[0].jobs
    assert (job.plant_id, job.grams) == (fern, 25)


def test_a_plant_of_another_tank_cannot_be_named(record: Record) -> None:
    with record.database.writing() as session:
        shape = TankShape(length_cm=60, width_cm=30)
        other = tanks.add_tank(session, TankFacts(name="Pool", shape=shape))
        fern = plants.add(session, other, FERN)
    with pytest.raises(NotFound, match="plant"):
        record.write(NewJob(job=JobKind.PLANTED, plant_id=fern))
