"""A day set for the check of a device."""

from datetime import date

import pytest

from app.domain.kit import Equipment
from app.rules.model import Severity
from tests.rules.checks import found, severity
from tests.situations import snapshot

NOW = "2027-03-05 09:00"
RULE = "equipment.next-check"


def device(day: date | None, **more: object) -> Equipment:
    return Equipment(id=7, kind="heater", name="Heater", next_check_on=day, **more)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("day", "expected"),
    [
        (None, None),
        (date(2027, 3, 6), None),
        (date(2027, 3, 5), Severity.INFO),
        (date(2027, 2, 3), Severity.INFO),  # 30 days
        (date(2027, 2, 2), Severity.WATCH),
    ],
)
def test_from_its_day_on(day: date | None, expected: Severity | None) -> None:
    assert severity(snapshot(NOW, equipment=(device(day),)), RULE) is expected


def test_what_was_put_away_is_not_checked() -> None:
    away = device(date(2027, 1, 1), retired_on=date(2027, 2, 1))
    assert severity(snapshot(NOW, equipment=(away,)), RULE) is None


def test_each_device_is_a_task_of_its_own() -> None:
    two = (
        device(date(2027, 3, 1)),
        Equipment(id=8, kind="air_pump", name="", next_check_on=date(2027, 3, 1)),
    )
    assert {f.action.title for f in found(snapshot(NOW, equipment=two), RULE)} == {
        "Check: Heater",
        "Check: air pump",
    }
