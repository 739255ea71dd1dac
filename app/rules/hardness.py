"""KH and GH: the buffer that holds the pH, and readings outside the tank's own ranges."""

from collections.abc import Sequence
from datetime import timedelta
from typing import Final

from app.domain.quantities import FACTS, Quantity
from app.domain.records import Reading
from app.domain.snapshot import TankSnapshot
from app.domain.wording import decimal, reading_text, short, value_text, with_unit
from app.knowledge.model import Knowledge
from app.rules.model import Action, Concern, Finding, Rule, Severity, WorkingLine
from app.rules.showing import days_text, deciding, limit, of_reading, own_limit, remark, worst
from app.rules.testing import retest

_EPSILON: Final = 1e-9


def buffer(snapshot: TankSnapshot, knowledge: Knowledge) -> tuple[Finding, ...]:
    """The water has little buffer, or loses it.

    What: KH below 3 watch (until a test of 4 or more), below 2 act, below 1 with a falling pH
        now; a fall of 1 within two weeks with a falling pH watch. What a test could mean at its
        low end raises watch at most. Without a pH test nobody can say that it falls.
    Why: the filter uses the buffer up; without it the pH falls at once and the filter stops.
    Source: bands of `knowledge/water.toml`, our own choice; the tap water brings it back.
    Bad: 1.5. Good: 5, after 5 two weeks ago.
    """
    tests = snapshot.of(Quantity.KH)
    newest, severity = worst(tests, lambda r: _severity(r, snapshot, knowledge))
    if newest is None or severity is Severity.INFO:
        return ()
    falling = _fall(newest, snapshot, knowledge)
    before = falling if newest.best >= knowledge.value("kh.watch") else None
    again = knowledge.value("kh.again")
    return (
        Finding(
            rule_id="water.buffer",
            severity=severity,
            action=_small_changes(severity, knowledge),
            reason=_reason(newest, before, snapshot),
            child_reason="The water’s shock absorber is low.",
            due_at=newest.at,
            clears_when=f"A KH test of {value_text(Quantity.KH, again, snapshot.site)} or more, "
            "or a pH that no longer falls.",
            counterfactual=f"With KH at {short(again)} and a steady pH this would not be here.",
            evidence=tuple(of_reading(r, snapshot) for r in (before, newest) if r is not None),
            working=_working(before, newest),
            limits=(
                limit(knowledge, "kh.watch", "Watch below"),
                limit(knowledge, "kh.again", "Enough again from"),
                limit(knowledge, "kh.act", "Act below"),
                limit(knowledge, "kh.emergency", "Act now, with a falling pH, below"),
                limit(knowledge, "kh.fall", "A fall of"),
                limit(knowledge, "kh.fall-days", "Within"),
                limit(knowledge, "change.small", "One change at most"),
            ),
            quantity=Quantity.KH,
        ),
    )


def own_range(snapshot: TankSnapshot, knowledge: Knowledge) -> tuple[Finding, ...]:  # noqa: ARG001
    """KH or GH lies outside the range that somebody set for this tank.

    What: the best guess outside the tank's own range watches; without such a range nothing.
    Why: a change of the tap water or of stones shows here first.
    Source: the tank's own range.
    Bad: GH 18 in a range of 6 to 12. Good: GH 10.
    """
    found = []
    for quantity in (Quantity.KH, Quantity.GH):
        own = snapshot.tank.own_range(quantity)
        if own is None:
            continue
        low = float("-inf") if own.low is None else own.low
        high = float("inf") if own.high is None else own.high
        outside = [
            r
            for r in deciding(snapshot.of(quantity))
            if not low - _EPSILON <= r.best <= high + _EPSILON
        ]
        if outside:
            span = _span(own.low, own.high)
            found.append(_outside(outside[0], span, own.said, snapshot))
    return tuple(found)


def _outside(test: Reading, span: str, said: str, snapshot: TankSnapshot) -> Finding:
    name = FACTS[test.quantity].label
    return Finding(
        rule_id="water.hardness-range",
        severity=Severity.WATCH,
        action=retest(test.quantity),
        reason=f"{name} is {reading_text(test, snapshot.site)}. Our range is {span}. "
        "Test once more. New tap water? New stones or shells?",
        child_reason="This number is outside our range.",
        due_at=test.at,
        clears_when=f"A test within {span} is written, with a kit in date.",
        counterfactual=f"Within {span} this would not be here.",
        evidence=(of_reading(test, snapshot),),
        limits=(own_limit(f"Range {span}", said),),
        quantity=test.quantity,
    )


def _span(low: float | None, high: float | None) -> str:
    if low is None:
        return f"up to {short(high or 0.0)}"
    if high is None:
        return f"from {short(low)} on"
    return f"{short(low)} to {short(high)}"


def _severity(test: Reading, snapshot: TankSnapshot, knowledge: Knowledge) -> Severity:
    act, falls = knowledge.value("kh.act"), _ph_falls(test, snapshot, knowledge)
    if test.best < knowledge.value("kh.emergency") and falls:
        return Severity.EMERGENCY
    if test.best < act:
        return Severity.ACT
    low = test.best < knowledge.value("kh.watch") or test.least < act
    if low or _fall(test, snapshot, knowledge) or _not_yet_enough(test, snapshot, knowledge):
        return Severity.WATCH
    return Severity.INFO


def _not_yet_enough(test: Reading, snapshot: TankSnapshot, knowledge: Knowledge) -> bool:
    """Whether the run of tests below enough, ending here, began under the watch line."""
    if test.best >= knowledge.value("kh.again"):
        return False
    for earlier in reversed(_until(test, snapshot)):
        if earlier.best >= knowledge.value("kh.again"):
            return False
        if earlier.best < knowledge.value("kh.watch"):
            return True
    return False


def _fall(test: Reading, snapshot: TankSnapshot, knowledge: Knowledge) -> Reading | None:
    """The earlier KH test from which it fell too far too fast while the pH fell, or None."""
    span = timedelta(days=knowledge.value("kh.fall-days"))
    near = [r for r in _until(test, snapshot) if test.at - r.at <= span]
    highest = max(near, key=lambda r: (r.best, r.at), default=None)
    if highest is None or highest.best - test.best < knowledge.value("kh.fall") - _EPSILON:
        return None
    return highest if _ph_falls(test, snapshot, knowledge) else None


def _ph_falls(test: Reading, snapshot: TankSnapshot, knowledge: Knowledge) -> bool:
    """Whether the last pH lies below the highest one of the two weeks before this test."""
    span = timedelta(days=knowledge.value("kh.fall-days"))
    near = [r for r in snapshot.of(Quantity.PH) if r.at >= test.at - span]
    if len(near) < 2:
        return False
    fallen = max(r.best for r in near[:-1]) - near[-1].best
    return fallen > knowledge.value("ph.settled") + _EPSILON


def _until(test: Reading, snapshot: TankSnapshot) -> Sequence[Reading]:
    return [r for r in snapshot.of(Quantity.KH) if (r.at, r.id) < (test.at, test.id)]


def _reason(test: Reading, before: Reading | None, snapshot: TankSnapshot) -> str:
    text = f"KH is {reading_text(test, snapshot.site)}: little buffer is left."
    if before is not None:
        days = max(1, (test.at - before.at).days)
        text = (
            f"KH fell by {decimal(before.best - test.best, 1)} in {days_text(days)}, "
            "and pH falls with it: the water loses its buffer."
        )
    return text + " Two small changes with tap water this week. Nothing else goes in."


def _working(before: Reading | None, test: Reading) -> tuple[WorkingLine, ...]:
    if before is None:
        return ()
    apart = with_unit(decimal(before.best - test.best, 1), "°dKH")
    return (
        remark("How far it fell"),
        WorkingLine(f"{short(before.best)} − {short(test.best)} =", apart),
    )


def _small_changes(severity: Severity, knowledge: Knowledge) -> Action:
    return Action(
        key="test-kh",
        title="Test KH and the tap’s KH, and change a little water twice this week",
        child_title="Test the shock absorber with a grown-up.",
        concern=Concern.TOXINS,
        door="test",
        adult=severity >= Severity.ACT,
        cautions=("hands", "water_change"),
        at_most=knowledge.value("change.small") / 100.0 if severity >= Severity.ACT else 0.0,
    )


RULES: Final = (
    Rule(
        id="water.buffer",
        title="Little buffer",
        why="Without buffer the pH falls and the filter stops.",
        limits=(
            "kh.watch",
            "kh.again",
            "kh.act",
            "kh.emergency",
            "kh.fall",
            "kh.fall-days",
            "ph.settled",
            "change.small",
        ),
        check=buffer,
        lesson="KH soaks up what is sour, so pH stays put.",
    ),
    Rule(
        id="water.hardness-range",
        title="KH or GH outside our range",
        why="A change of tap water or stones shows here first.",
        limits=(),
        check=own_range,
        lesson="Stones and tap water put minerals in the water.",
    ),
)
