"""Odd things that were seen: how strong each is, and that two calm looks end it."""

import pytest

from app.domain.records import Sign
from app.rules.model import Severity
from tests.rules.checks import severity, task
from tests.situations import look, snapshot

# husbandry handbooks differ in words, not in order: life support first; common practice
STRENGTH = {
    "sign.gasping": Severity.EMERGENCY,
    "sign.tingle": Severity.EMERGENCY,
    "sign.white-spots": Severity.EMERGENCY,
    "sign.leak": Severity.EMERGENCY,
    "sign.heater-off": Severity.ACT,
    "sign.power-cut": Severity.ACT,
    "sign.wounds": Severity.ACT,
    "sign.dead-fish": Severity.ACT,
    "sign.clamped-fins": Severity.WATCH,
    "sign.hiding": Severity.WATCH,
    "sign.cloudy": Severity.WATCH,
    "sign.smell": Severity.WATCH,
    "sign.film": Severity.WATCH,
    "sign.filter-slow": Severity.INFO,
    "sign.other": Severity.WATCH,
    "sign.rubbing": Severity.WATCH,
    "sign.tufts": Severity.ACT,
    "sign.swollen": Severity.ACT,
    "sign.thin": Severity.ACT,
    "sign.lying": Severity.EMERGENCY,
    "sign.green-water": Severity.INFO,
    "sign.brown-dust": Severity.INFO,
    "sign.hair-algae": Severity.INFO,
    "sign.snails": Severity.INFO,
    "sign.fry": Severity.INFO,
}
NOW = "2027-02-11 12:00"


def rule_of(sign: Sign) -> str:
    return f"sign.{sign.value.replace('_', '-')}"


def test_every_sign_has_its_rule() -> None:
    known = {f"sign.{s.value.replace('_', '-')}" for s in Sign if s is not Sign.FILTER_OFF}
    assert known == set(STRENGTH)  # a filter that is off has a rule of its own


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


@pytest.mark.parametrize("sign", [Sign.TUFTS, Sign.SWOLLEN, Sign.THIN, Sign.LYING, Sign.RUBBING])
@pytest.mark.parametrize(("hour", "gone"), [("09:59", False), ("10:00", True)])
def test_two_calm_looks_must_be_two_hours_apart(sign: Sign, hour: str, gone: bool) -> None:
    things = [look("2027-02-11 06:00", signs=(sign,)), look("2027-02-11 08:00")]
    found = severity(snapshot(NOW, *things, look(f"2027-02-11 {hour}")), rule_of(sign))
    assert (found is None) is gone


@pytest.mark.parametrize("sign", [Sign.GREEN_WATER, Sign.SNAILS, Sign.FRY, Sign.POWER_CUT])
def test_one_later_look_ends_what_harms_little(sign: Sign) -> None:
    seen = look("2027-02-11 08:00", signs=(sign,))
    assert severity(snapshot(NOW, seen), rule_of(sign)) is not None
    assert severity(snapshot(NOW, seen, look("2027-02-11 09:00")), rule_of(sign)) is None


def test_a_power_cut_and_a_stopped_filter_are_one_task() -> None:
    both = look("2027-02-11 11:00", signs=(Sign.FILTER_OFF, Sign.POWER_CUT))
    found = task(snapshot(NOW, both), "filter-off")
    assert found is not None
    assert {f.rule_id for f in found.findings} == {"sign.power-cut", "filter.off"}
