"""Chlorine. Edge: four-day criterion of the US EPA for water life, from memory."""

import pytest

from app.domain.quantities import Quantity
from app.domain.records import Reading, Sign
from app.rules.model import Severity
from tests.rules.checks import severity
from tests.situations import look, reading, snapshot

NOW = "2027-02-03 09:00"
TEN = "2027-02-03 08:00"
RULE = "water.chlorine"


def chlorine(value: float | None, when: str = TEN, **more: float | bool) -> Reading:
    return reading(Quantity.CHLORINE, value, when, **more)


@pytest.mark.parametrize(
    ("value", "expected"),
    [(0.0, None), (0.010, None), (0.011, Severity.ACT), (2.0, Severity.ACT)],
)
def test_any_trace_asks_for_action(value: float, expected: Severity | None) -> None:
    assert severity(snapshot(NOW, chlorine(value)), RULE) is expected


def test_lighter_than_the_first_color_is_no_trace() -> None:
    assert severity(snapshot(NOW, chlorine(None, low=0.0, high=0.1)), RULE) is None


def test_with_distress_it_is_now() -> None:
    trace = chlorine(0.1)
    assert severity(snapshot(NOW, trace, look(NOW)), RULE) is Severity.ACT
    gasping = look(NOW, signs=(Sign.GASPING,))
    assert severity(snapshot(NOW, trace, gasping), RULE) is Severity.EMERGENCY
    fast = look(NOW, breathing_calm=False)
    assert severity(snapshot(NOW, trace, fast), RULE) is Severity.EMERGENCY
    assert severity(snapshot(NOW, trace, look(NOW, breathing_calm=True)), RULE) is Severity.ACT


def test_a_later_sound_test_ends_it_and_a_doubtful_one_does_not() -> None:
    trace = chlorine(0.1)
    assert severity(snapshot(NOW, trace, chlorine(0.0, NOW)), RULE) is None
    doubtful = chlorine(0.0, NOW, kit_doubtful=True)
    assert severity(snapshot(NOW, trace, doubtful), RULE) is Severity.ACT
