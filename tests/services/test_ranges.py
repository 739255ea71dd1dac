"""Our range: what somebody set for a tank, else the general one with its source."""

from app.domain.quantities import Quantity
from app.services import ranges, tanks
from tests.record import Record


def test_without_a_range_of_its_own_the_general_one_holds(record: Record) -> None:
    with record.database.reading() as session:
        found = ranges.ranges_of(tanks.tank(session, record.tank_id))
    assert found[Quantity.TEMPERATURE].label == "the general range"
    assert found[Quantity.NITRATE].low is None
    assert Quantity.OXYGEN not in found
    assert all(band.source for band in found.values())


def test_a_tanks_own_range_comes_first_and_says_who_set_it(record: Record) -> None:
    with record.database.writing() as session:
        tanks.set_range(
            session, record.tank_id, Quantity.TEMPERATURE, 23.0, 26.0, set_by="the teacher"
        )
        band = ranges.ranges_of(tanks.tank(session, record.tank_id))[Quantity.TEMPERATURE]
    assert (band.low, band.high, band.label) == (23.0, 26.0, "our range")
    assert "the teacher" in band.source
