"""pH: outside the range, or moving. The answer is never a chemical."""

from collections.abc import Sequence
from dataclasses import replace
from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

from app.domain.quantities import Quantity
from app.domain.records import Reading
from app.domain.snapshot import TankSnapshot
from app.domain.wording import decimal, reading_text
from app.knowledge.model import Knowledge
from app.rules.model import Finding, LimitShown, Severity, WorkingLine
from app.rules.showing import limit, of_reading, own_limit, remark, worst
from app.rules.testing import retest

NO_CHEMICALS = "Put nothing in to change it. Test once more, and test KH."


def level(snapshot: TankSnapshot, knowledge: Knowledge) -> tuple[Finding, ...]:
    """The pH is outside the range.

    What: outside the tank's range (else 6.5 to 8.0) watch, over 0.5 outside act, under 5.5 or
        over 9.0 now; what the card could mean at its ends raises watch at most.
    Why: away from what the animals know, gills and skin suffer; a test may also be misread.
    Source: general range our own choice; EIFAC for 5 to 9 (from memory).
    Bad: 8.8. Good: 7.4.
    """
    low, high = _range(snapshot, knowledge)
    tests = snapshot.of(Quantity.PH)
    newest, severity = worst(tests, lambda r: _level(r, low, high, knowledge))
    if newest is None or severity is Severity.INFO:
        return ()
    span = f"{decimal(low, 1)} to {decimal(high, 1)}"
    return (
        Finding(
            rule_id="water.ph",
            severity=severity,
            action=retest(Quantity.PH),
            reason=(
                f"The pH is {reading_text(newest, snapshot.site)}. Our range is {span}. "
                + NO_CHEMICALS
            ),
            child_reason="The sour or soapy number is outside our range.",
            due_at=newest.at,
            clears_when=f"A pH within {span} is written, with a kit in date.",
            counterfactual=f"With pH within {span} this would not be here.",
            evidence=(of_reading(newest, snapshot),),
            limits=_level_limits(snapshot, span, knowledge),
            quantity=Quantity.PH,
        ),
    )


def move(snapshot: TankSnapshot, knowledge: Knowledge) -> tuple[Finding, ...]:
    """The pH moved.

    What: two tests of the same hour (2 hours either way), at most 48 hours apart, differ by
        0.3 watch, 0.5 act, 1.0 now; two tests in a row within 0.2 end it. While it moves, water
        changes stay small.
    Why: plants move pH over a day of light, so only like hours tell; a fast move harms fish.
    Source: common practice.
    Bad: 7.4 on Monday, 6.8 on Tuesday at the same hour. Good: 7.0 at 8 am, 7.5 at 4 pm.
    """
    tests = snapshot.of(Quantity.PH)
    pair = _last_move(tests, snapshot, knowledge)
    if pair is None:
        return ()
    first, second = pair
    moved = _apart(first, second)
    action = retest(Quantity.PH)
    if _severity(moved, knowledge) >= Severity.ACT:
        action = replace(action, at_most=knowledge.value("change.small") / 100.0)
    return (
        Finding(
            rule_id="water.ph-move",
            severity=_severity(moved, knowledge),
            action=action,
            reason=(
                f"The pH moved by {decimal(moved, 1)} between two tests. What went in? "
                f"{NO_CHEMICALS} Small water changes only."
            ),
            child_reason="The sour or soapy number moved. Test again.",
            due_at=second.at,
            clears_when="Two pH tests in a row are within 0.2 of each other.",
            counterfactual=(
                f"With a move of less than {decimal(knowledge.value('ph.move-watch'), 1)} "
                "this would not be here."
            ),
            evidence=(of_reading(first, snapshot), of_reading(second, snapshot)),
            working=(
                remark("Both tests are of the same hour of day"),
                WorkingLine(
                    f"{decimal(second.best, 1)} − {decimal(first.best, 1)} =",
                    decimal(second.best - first.best, 1),
                ),
            ),
            limits=(
                limit(knowledge, "ph.move-watch", "Watch from"),
                limit(knowledge, "ph.move-act", "Act from"),
                limit(knowledge, "ph.move-emergency", "Act now from"),
                limit(knowledge, "ph.move-hours", "Tests at most apart"),
                limit(knowledge, "ph.same-hour", "The same hour is within"),
                limit(knowledge, "ph.settled", "Two tests in a row within"),
                limit(knowledge, "change.small", "Water changes until then at most"),
            ),
            quantity=Quantity.PH,
        ),
    )


def _range(snapshot: TankSnapshot, knowledge: Knowledge) -> tuple[float, float]:
    own = snapshot.tank.own_range(Quantity.PH)
    low = None if own is None else own.low
    high = None if own is None else own.high
    return (
        knowledge.value("ph.general-low") if low is None else low,
        knowledge.value("ph.general-high") if high is None else high,
    )


def _level(test: Reading, low: float, high: float, knowledge: Knowledge) -> Severity:
    value = test.best
    if not (knowledge.value("ph.emergency-low") <= value <= knowledge.value("ph.emergency-high")):
        return Severity.EMERGENCY
    act = knowledge.value("ph.act-outside") + 1e-9
    if max(low - value, value - high) > act:
        return Severity.ACT
    most = 14.0 if test.most is None else test.most
    could_be = max(low - test.least, most - high)
    if value < low - 1e-9 or value > high + 1e-9 or could_be > act:
        return Severity.WATCH
    return Severity.INFO


def _level_limits(
    snapshot: TankSnapshot, span: str, knowledge: Knowledge
) -> tuple[LimitShown, ...]:
    own = snapshot.tank.own_range(Quantity.PH)
    general = (
        limit(knowledge, "ph.general-low", "General range from"),
        limit(knowledge, "ph.general-high", "General range to"),
    )
    return (
        *(general if own is None else (own_limit(f"Range {span}", own.set_by),)),
        limit(knowledge, "ph.act-outside", "Act over so far outside"),
        limit(knowledge, "ph.emergency-low", "Act now under"),
        limit(knowledge, "ph.emergency-high", "Act now over"),
    )


def _severity(moved: float, knowledge: Knowledge) -> Severity:
    for severity, key in (
        (Severity.EMERGENCY, "ph.move-emergency"),
        (Severity.ACT, "ph.move-act"),
        (Severity.WATCH, "ph.move-watch"),
    ):
        if moved >= knowledge.value(key):
            return severity
    return Severity.INFO


def _last_move(
    tests: Sequence[Reading], snapshot: TankSnapshot, knowledge: Knowledge
) -> tuple[Reading, Reading] | None:
    """The newest pair of like hours that moved, unless two tests in a row settled it since."""
    hours = timedelta(hours=knowledge.value("ph.move-hours"))
    settled = knowledge.value("ph.settled")
    for index in range(len(tests) - 1, 0, -1):
        second = tests[index]
        near = [
            t
            for t in tests[:index]
            if second.at - t.at <= hours and _same_hour(t, second, snapshot, knowledge)
        ]
        if near:
            first = max(near, key=lambda t: (_apart(t, second), t.at))
            if _severity(_apart(first, second), knowledge) > Severity.INFO:
                return first, second
        sound = not (second.kit_doubtful or tests[index - 1].kit_doubtful)
        if sound and _apart(tests[index - 1], second) <= settled:
            return None
    return None


def _same_hour(
    first: Reading, second: Reading, snapshot: TankSnapshot, knowledge: Knowledge
) -> bool:
    zone = ZoneInfo(snapshot.site.zone)
    minutes = [_minute_of_day(r.at.astimezone(zone)) for r in (first, second)]
    apart = abs(minutes[0] - minutes[1])
    return min(apart, 24 * 60 - apart) <= knowledge.value("ph.same-hour") * 60


def _minute_of_day(there: datetime) -> int:
    return there.hour * 60 + there.minute


def _apart(first: Reading, second: Reading) -> float:
    return round(abs(second.best - first.best), 6)
