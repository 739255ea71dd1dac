"""What the rules print: plain, short for children, and never what must not be advised."""

import functools
import re
from collections import defaultdict
from collections.abc import Iterator

import pytest

from app.domain.kit import Kit
from app.domain.quantities import Quantity
from app.domain.records import JobKind, Sign, StockEventKind, Treated
from app.domain.snapshot import TankSnapshot
from app.rules.engine import evaluate, find
from app.rules.model import Finding, Rule
from app.rules.registry import RULES
from tests.rules.care_situations import care_situations
from tests.rules.checks import KNOWLEDGE
from tests.rules.class_situations import class_situations
from tests.rules.readability import grade, syllables
from tests.rules.rule_situations import rule_situations
from tests.situations import (
    HOME,
    SHAPE,
    calm,
    fed,
    job,
    look,
    metered,
    reading,
    snapshot,
    stock,
    tank,
    warm,
)

NOW = "2027-02-12 12:00"
MORNING = "2027-02-12 08:00"

MUST_NOT = re.compile(
    r"pH[- ]?(up|down|minus|plus)\b|baking soda|bicarbonate|\bacid\b|\bsalt\b|antibiotic|medicine"
    r"|raise the (heat|temperature)|clove|euthan|\bkill|\bfreez|release|\bsafe|\bdose|\bdosing"
    r"|methylene|copper",
    re.IGNORECASE,
)
BANNED = re.compile(
    r"\b(parameters?|cycled?|uncycled|syndrome|bioload|crash|nuke|ich|ppm|normal|abnormal|overdue"
    r"|failed|missed|late|critical|danger(ous)?|toxic|mortality|casualty|cull|user|account|log in"
    r"|submit|sync|cache|record|entity|natural|balanced|self-cleaning|harmless|owner|OK)\b",
    re.IGNORECASE,
)

JUDGED_WATER = re.compile(r"\b(good|bad) water\b", re.IGNORECASE)
MORE_FISH = re.compile(r"\b(add|buy|room for) (more |new |another )?(fish|animals?)", re.IGNORECASE)


def _situations() -> Iterator[TankSnapshot]:
    kit = Kit(id=1, quantity=Quantity.PH, name="Drops", unit="", opened_on=None)
    old_kit = Kit(
        id=2,
        quantity=Quantity.NITRATE,
        name="Card",
        unit="mg/L",
        expires_on=calm(NOW)[0].local_day.replace(year=2020),  # type: ignore[union-attr]
    )
    yield snapshot(NOW)
    yield snapshot(NOW, *calm(NOW), kit, old_kit)
    yield snapshot("2027-02-15 08:00", *calm(NOW))
    for sign in Sign:
        yield snapshot(NOW, *calm(NOW), look(NOW, signs=(sign,)))
    bad = metered(MORNING, ammonia=3.0, nitrite=2.0, nitrate=150.0, ph=8.8, chloride=100.0)
    yield snapshot(NOW, *bad, warm(15.0, MORNING), warm(32.0, NOW))
    yield snapshot(NOW, *metered(MORNING, ammonia=0.3, nitrite=0.1, nitrate=40.0, ph=6.2))
    yield snapshot(NOW, *metered("2027-02-11 12:00", ph=7.4), *metered(NOW, ph=6.2, nitrate=80.0))
    yield snapshot(
        NOW,
        *metered("2027-02-11 12:00", ammonia=3.0, nitrite=2.0),
        *metered(MORNING, ammonia=0.0, nitrite=0.0, ph=7.4),
        warm(29.0, MORNING),
    )
    swings = [
        warm(v, f"2027-02-{d} {h}:00")
        for d in ("10", "11")
        for v, h in ((22.0, "06"), (26.0, "16"))
    ]
    yield snapshot(NOW, *swings)
    for treated in Treated:
        yield snapshot(NOW, job(JobKind.WATER_CHANGE, MORNING, treated=treated))
    yield snapshot(
        NOW, job(JobKind.TOP_UP, MORNING, treated=Treated.NO), job(JobKind.CONDITIONER, MORNING)
    )
    yield snapshot(NOW, stock(StockEventKind.DIED, MORNING, 2))
    yield snapshot(NOW, *(look(f"2027-02-{d} 08:00", 13) for d in ("10", "11", "12")))
    yield snapshot(NOW, look(MORNING, 17, breathing_calm=False, lid_closed=False, plug_on=False))
    yield snapshot(NOW, fed(MORNING), fed("2027-02-12 08:05"), fed("2027-02-12 09:05"))
    yield snapshot(NOW, fed("2027-02-01 08:00"), job(JobKind.FILTER_RINSE, "2026-12-20 08:00"))
    low = SHAPE.__class__(length_cm=78, width_cm=34, water_depth_cm=36, heater_line_cm=32.0)
    yield snapshot(NOW, reading(Quantity.WATER_LEVEL, 45.0, MORNING), tank=tank(shape=low))
    us = HOME.__class__(name="H", zone=HOME.zone, fahrenheit=True, us_gallons=True)
    yield snapshot(NOW, *bad, warm(20.0, MORNING), site=us)


@functools.cache
def situations() -> tuple[TankSnapshot, ...]:
    """All situations in which the rules are asked to speak."""
    return (*_situations(), *care_situations(), *rule_situations(), *class_situations())


@functools.cache
def findings_of() -> dict[str, tuple[Finding, ...]]:
    """What each rule says in all of them, by its id."""
    found: dict[str, list[Finding]] = defaultdict(list)
    for situation in situations():
        for finding in find(situation, KNOWLEDGE):
            found[finding.rule_id].append(finding)
    return {rule_id: tuple(each) for rule_id, each in found.items()}


def texts(finding: Finding) -> Iterator[str]:
    """All that a finding lets people read."""
    action = finding.action
    yield from (action.title, action.child_title, finding.reason, finding.child_reason)
    yield from (finding.clears_when, finding.counterfactual)
    yield from (e.what for e in finding.evidence)
    yield from (f"{line.text} {line.answer}" for line in finding.working)
    yield from (shown.text for shown in finding.limits)


def rule_texts(rule: Rule) -> Iterator[str]:
    """What a rule says of itself: its title, why it is there, and what there is to learn."""
    yield from (rule.title, rule.why, rule.lesson)


of_each_rule = pytest.mark.parametrize("rule_id", [rule.id for rule in RULES])


def test_every_rule_speaks_in_these_situations() -> None:
    assert set(findings_of()) == {rule.id for rule in RULES}


@of_each_rule
def test_no_text_says_what_must_not_be_said(rule_id: str) -> None:
    for text in (text for finding in findings_of()[rule_id] for text in texts(finding)):
        assert not MUST_NOT.search(text), text
        assert not BANNED.search(text), text


def for_children(rule_id: str) -> set[str]:
    """What a rule says to pupils."""
    found = findings_of()[rule_id]
    return {text for f in found for text in (f.child_reason, f.action.child_title)}


@of_each_rule
def test_children_read_short_sentences(rule_id: str) -> None:
    for text in for_children(rule_id):
        for sentence in re.split(r"(?<=[.!?])\s+", text):
            assert len(sentence.split()) <= 12, sentence


def test_the_reason_for_pupils_is_never_the_title_once_more() -> None:
    same = {
        rule_id
        for rule_id, found in findings_of().items()
        if any(f.child_reason == f.action.child_title for f in found)
    }
    assert same == set()


@of_each_rule
def test_every_finding_shows_its_why_and_names_its_numbers(rule_id: str) -> None:
    for finding in findings_of()[rule_id]:
        assert finding.reason
        assert finding.clears_when.endswith(".")
        assert finding.counterfactual.endswith("this would not be here.") or (
            finding.counterfactual == "Without this sign it would not be here."
        )
        assert all(key in KNOWLEDGE.cautions for key in finding.action.cautions)
        for shown in finding.limits:
            assert shown.basis
            assert not shown.source or shown.source in KNOWLEDGE.sources


def test_no_ordinary_space_between_a_number_and_its_unit() -> None:
    loose = re.compile(r"\d (°C|°F|mg/L|cm|mm|L|%|h|min|US gal)\b")
    for finding in (f for found in findings_of().values() for f in found):
        for text in texts(finding):
            assert not loose.search(text), text


def test_lines_of_the_page_read_as_sentences() -> None:
    for now in situations():
        judged = evaluate(now, KNOWLEDGE)
        for text in (judged.state_line, judged.rest_line, judged.meal.advice):
            assert text.endswith((".", "?"))
            assert not MUST_NOT.search(text)
            assert not BANNED.search(text), text


@pytest.mark.parametrize("rule", RULES, ids=lambda r: r.id)
def test_no_rule_says_of_itself_what_must_not_be_said(rule: Rule) -> None:
    for text in rule_texts(rule):
        assert not MUST_NOT.search(text), text
        assert not BANNED.search(text), text
        assert not JUDGED_WATER.search(text), text


def test_every_task_and_line_of_the_state_avoids_the_same_words() -> None:
    for situation in situations():
        seen = evaluate(situation, KNOWLEDGE)
        lines = (seen.state_line, seen.rest_line, seen.meal.facts, seen.meal.advice)
        for text in (*lines, *(f"{t.action.title} {t.reason} {t.advice}" for t in seen.tasks)):
            assert not MUST_NOT.search(text), text
            assert not BANNED.search(text), text
            assert not MORE_FISH.search(text), text


@pytest.mark.parametrize("rule", RULES, ids=lambda r: r.id)
def test_pupils_read_it_in_grade_six_or_below(rule: Rule) -> None:
    for text in for_children(rule.id) | ({rule.lesson} if rule.lesson else set()):
        assert grade(text) <= 6.0, f"{grade(text):.1f}: {text}"


@of_each_rule
def test_no_child_reads_late_or_treatment_amounts(rule_id: str) -> None:
    for text in for_children(rule_id):
        assert not re.search(r"\b(late|overdue|fault|amount)\b", text, re.IGNORECASE), text


@pytest.mark.parametrize(
    ("word", "expected"),
    [
        ("fish", 1),
        ("water", 2),
        ("little", 2),
        ("changed", 1),
        ("wanted", 2),
        ("gives", 1),
        ("boxes", 2),
        ("animal", 3),
        ("tree", 1),
        ("behind", 2),
    ],
)
def test_syllables_as_a_dictionary_divides_them(word: str, expected: int) -> None:
    assert syllables(word) == expected


def test_the_grade_follows_the_published_formula() -> None:
    """Worked by hand: 6 words, 1 sentence, 6 syllables: 0.39 × 6 + 11.8 × 1 − 15.59 = −1.45."""
    assert grade("The cat sat on the mat.") == pytest.approx(-1.45)
    # 7 words, 1 sentence, 2 + 2 + 3 + 3 + 1 + 3 + 2 = 16 syllables: 2.73 + 26.97 − 15.59 = 14.11
    hard = "Robots wanted seventeen umbrellas in another garden."
    assert grade(hard) == pytest.approx(14.11, abs=0.01)
