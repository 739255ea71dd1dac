"""Open data tell of many tanks at once, and of none alone."""

import csv
from datetime import timedelta

import numpy as np
import pytest
from sqlalchemy import update

from app.domain.drafts import NewTest
from app.domain.quantities import Quantity
from app.domain.tank import TankFacts, TankShape
from app.services import tanks
from app.services.exchange import open_data
from app.services.exchange.open_data import Figures
from app.storage.models.water import Reading
from tests.record import Record, reading

LEAST = 5


@pytest.fixture
def district(record: Record) -> Record:
    """Seven tanks."""
    with record.database.writing() as session:
        for number in range(2, 8):
            shape = TankShape(length_cm=60, width_cm=30, water_depth_cm=30)
            tanks.add_tank(session, TankFacts(name=f"Tank {number}", shape=shape))
    return record


def measure(record: Record, tank_id: int, *values: float) -> None:
    first = record.tank_id
    record.tank_id = tank_id
    for hours, value in enumerate(values):
        at = record.now - timedelta(hours=hours)
        record.write(NewTest(note="Otter"), reading(Quantity.NITRATE, value), at=at)
    record.tank_id = first


def figures(record: Record, among: frozenset[int] | None = None) -> tuple[Figures, ...]:
    with record.database.reading() as session:
        return open_data.figures(session, among)


def test_a_figure_goes_over_tanks_of_which_each_counts_once(district: Record) -> None:
    means = [10.0, 20.0, 30.0, 40.0, 52.5]
    for tank_id, mean in enumerate(means, start=1):
        # one tank is measured far more often than the others
        measure(district, tank_id, *([mean] * (9 if tank_id == 1 else 1)))
    (found,) = figures(district)
    assert (found.month, found.tanks, found.readings) == ("2027-02", LEAST, 13)
    # the general-purpose library's quartiles of the means
    wanted = np.percentile(means, [25, 50, 75])
    assert [found.lower, found.middle, found.upper] == pytest.approx(list(wanted))


def test_a_figure_over_too_few_tanks_is_not_told(district: Record) -> None:
    assert open_data.least_tanks() == LEAST
    for tank_id in range(1, LEAST):
        measure(district, tank_id, 10.0)
    assert figures(district) == ()
    measure(district, LEAST, 10.0)
    assert len(figures(district)) == 1
    assert figures(district, frozenset(range(1, LEAST))) == ()


def test_what_does_not_count_any_more_is_in_no_figure(district: Record) -> None:
    for tank_id in range(1, LEAST + 1):
        measure(district, tank_id, 10.0)
    with district.database.writing() as session:
        session.execute(update(Reading).where(Reading.tank_id == 1).values(in_force=False))
        session.commit()
    assert figures(district) == ()


def test_the_file_names_no_tank_place_or_person(district: Record) -> None:
    for tank_id in range(1, LEAST + 1):
        measure(district, tank_id, 10.0 + tank_id / 3)
    text = "".join(open_data.open_csv(figures(district)))
    (row,) = csv.DictReader(text.splitlines())
    assert list(row) == [name for name, _ in open_data.CODEBOOK]
    assert (row["unit"], row["basis"], row["tanks"]) == ("mg/L", "as nitrate", "5")
    assert not any(name in text for name in ("Brook", "Tank", "Hill School", "Otter", "Grown-up"))
