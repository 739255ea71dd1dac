"""A tank with a heater in its record, which was once found off."""

from dataclasses import replace
from datetime import datetime, timedelta

from app.domain.drafts import NewLook
from app.domain.quantities import Quantity
from app.domain.records import Sign
from app.services import equipment, tanks
from app.services.equipment import EquipmentDraft
from tests.record import MONDAY, Record, reading


def change(record: Record, **facts: object) -> None:
    with record.database.writing() as session:
        known = tanks.tank(session, record.tank_id).facts
        tanks.change_tank(session, record.tank_id, replace(known, **facts))  # type: ignore[arg-type]


def heater(record: Record, watts: float | None = 50.0) -> None:
    with record.database.writing() as session:
        equipment.add(session, 1, EquipmentDraft(kind="heater", name="Heater", watts=watts))


def cooled(record: Record, until: datetime = MONDAY) -> None:
    """The heater was found off at 25.0, and three hours later the water had 24.0 °C."""
    for hours, celsius in ((4, 25.0), (1, 24.0)):
        record.write(
            NewLook(signs=(Sign.HEATER_OFF,)),
            reading(Quantity.TEMPERATURE, celsius),
            at=until - timedelta(hours=hours),
        )
