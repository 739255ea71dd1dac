"""The lamp on for too long. Edges: common practice."""

import pytest

from app.rules.model import Severity
from tests.rules.checks import severity
from tests.situations import look, snapshot, tank

NOW = "2027-02-03 09:00"


@pytest.mark.parametrize(
    ("hours", "algae", "expected"),
    [
        (None, 3, None),
        (10.0, 2, None),
        (10.1, 2, Severity.INFO),
        (10.1, 1, None),
        (10.1, None, None),
        (12.0, None, None),
        (12.1, None, Severity.INFO),
        (12.1, 0, Severity.INFO),
    ],
)
def test_hours_and_algae(hours: float | None, algae: int | None, expected: Severity | None) -> None:
    now = snapshot(NOW, look(NOW, algae=algae), tank=tank(light_hours=hours))
    assert severity(now, "light.long") is expected


def test_the_last_look_that_says_so_decides() -> None:
    many, none = look("2027-02-01 09:00", algae=3), look("2027-02-02 09:00", algae=0)
    long = tank(light_hours=11.0)
    assert severity(snapshot(NOW, many, look(NOW), tank=long), "light.long") is Severity.INFO
    assert severity(snapshot(NOW, many, none, tank=long), "light.long") is None
