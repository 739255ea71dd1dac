"""Odd things that were seen: how strong each is, and that two calm looks end it."""

import pytest

from app.domain.records import Sign
from app.rules.model import Severity
from tests.rules.checks import severity
from tests.situations import look, snapshot

# husbandry handbooks differ in words, not in order: life support first; common practice
STRENGTH = {
    "sign.gasping": Severity.EMERGENCY,
    "sign.tingle": Severity.EMERGENCY,
    "sign.white-spots": Severity.EMERGENCY,
    "sign.leak": Severity.EMERGENCY,
    "sign.filter-off": Severity.ACT,
    "sign.heater-off": Severity.ACT,
    "sign.wounds": Severity.ACT,
    "sign.dead-fish": Severity.ACT,
    "sign.clamped-fins": Severity.WATCH,
    "sign.hiding": Severity.WATCH,
    "sign.cloudy": Severity.WATCH,
    "sign.smell": Severity.WATCH,
    "sign.film": Severity.WATCH,
    "sign.filter-slow": Severity.WATCH,
    "sign.other": Severity.WATCH,
}
NOW = "2027-02-11 12:00"


def test_every_sign_has_its_rule() -> None:
    assert {f"sign.{s.value.replace('_', '-')}" for s in Sign} == set(STRENGTH)


@pytest.mark.parametrize("rule_id", STRENGTH)
def test_a_sign_is_as_strong_as_what_it_may_cost(rule_id: str) -> None:
    sign = Sign(rule_id.removeprefix("sign.").replace("-", "_"))
    seen = look("2027-02-11 11:50", signs=(sign,))
    assert severity(snapshot(NOW, seen), rule_id) is STRENGTH[rule_id]


@pytest.mark.parametrize("rule_id", STRENGTH)
def test_grown_ups_who_look_twice_and_see_it_no_more_end_it(rule_id: str) -> None:
    sign = Sign(rule_id.removeprefix("sign.").replace("-", "_"))
    things = [look("2027-02-11 06:00", signs=(sign,))]
    things += [look(f"2027-02-11 {hour}:00", by_adult=True) for hour in ("08", "11")]
    assert severity(snapshot(NOW, *things), rule_id) is None
