"""Our range: what somebody set for a tank, what its animals need, else the general one."""

from sqlalchemy.orm import Session

from app.domain.drafts import NewStockEvent
from app.domain.quantities import Quantity
from app.domain.records import StockEventKind
from app.domain.series import Band
from app.services import own_species, ranges, tanks, tasks, trends
from app.services.livestock import animals
from app.services.sites import FIRST
from tests.record import Record


def ranges_at(session: Session, record: Record) -> dict[Quantity, Band]:
    there = tasks.snapshot_of(session, record.tank_id, now=record.now)
    return ranges.ranges_of(there, own_species.known(session, FIRST))


def test_without_a_range_of_its_own_the_general_one_holds(record: Record) -> None:
    with record.database.reading() as session:
        found = ranges_at(session, record)
    assert found[Quantity.TEMPERATURE].label == "the general range"
    assert found[Quantity.NITRATE].low is None
    assert Quantity.OXYGEN not in found
    assert all(band.source for band in found.values())


def test_a_tanks_own_range_comes_first_and_says_who_set_it(record: Record) -> None:
    with record.database.writing() as session:
        tanks.set_range(
            session, record.tank_id, Quantity.TEMPERATURE, 23.0, 26.0, set_by="the teacher"
        )
        band = ranges_at(session, record)[Quantity.TEMPERATURE]
    assert (band.low, band.high, band.label) == (23.0, 26.0, "our range")
    assert "the teacher" in band.source


def test_animals_of_the_households_own_list_move_the_range(record: Record) -> None:
    with record.database.writing() as session:
        read = own_species.SpeciesDraft(
            scientific_name="Minno annae",
            common_name="Anna’s minnow",
            temperature_c=(16.0, 21.0),
            source="A book of minnows, page 12",
        )
        own_species.add(session, FIRST, read)
        group_id = animals.add_group(
            session, record.tank_id, "minnow", "middle", 5.0, species="Minno annae"
        )
        assert ranges_at(session, record)[Quantity.TEMPERATURE].label == "the general range"
    came = NewStockEvent(what=StockEventKind.ARRIVED, group_id=group_id, count=6)
    record.write(came)
    with record.database.reading() as session:
        band = ranges_at(session, record)[Quantity.TEMPERATURE]
        chart = trends.series(session, record.tank_id, Quantity.TEMPERATURE, 30, now=record.now)
    assert (band.low, band.high, band.label) == (16.0, 21.0, "the animals’ range")
    assert "minnow" in band.source
    assert chart.bands == (band,)
