"""Who is in charge of a class tank. The days are our own choice."""

import pytest

from app.domain.records import StockEventKind
from app.rules.model import Severity, State
from tests.rules.checks import found, judged, severity
from tests.situations import calm, snapshot, stock, tank

RULE = "charge.unnamed"
NOW = "2027-02-10 12:00"


@pytest.mark.parametrize(
    ("setting", "adult", "deputy", "expected"),
    [
        ("class", "", "", Severity.INFO),
        ("class", "Ms. Hill", "", Severity.INFO),
        ("class", "", "Mr. Dale", Severity.INFO),
        ("class", "Ms. Hill", "Mr. Dale", None),
        ("home", "", "", None),
    ],
)
def test_a_class_tank_names_two(
    setting: str, adult: str, deputy: str, expected: Severity | None
) -> None:
    kept = tank(setting=setting, adult=adult, deputy=deputy)
    assert severity(snapshot(NOW, tank=kept), RULE) is expected


@pytest.mark.parametrize(
    ("when", "adult", "expected"),
    [
        ("2027-01-27 12:00", "", Severity.ACT),  # 14 days ago
        ("2027-01-26 12:00", "", Severity.INFO),
        ("2027-01-27 12:00", "Ms. Hill", Severity.WATCH),
    ],
)
def test_new_animals_make_it_pressing(when: str, adult: str, expected: Severity) -> None:
    kept = tank(setting="class", mature_on=None, adult=adult)
    came = stock(StockEventKind.ARRIVED, when, 3)
    assert severity(snapshot(NOW, came, tank=kept), RULE) is expected


def test_it_names_what_is_missing_and_leaves_a_calm_tank_steady() -> None:
    kept = tank(setting="class", deputy="Mr. Dale")
    now = snapshot(NOW, *calm(NOW), tank=kept)
    finding = found(now, RULE)[0]
    assert "named as adult." in finding.reason
    assert finding.action.door == "settings"
    assert judged(now).state is State.STEADY
