"""pH: outside the range, or moving. The answer is never a chemical."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from typing import Final
from zoneinfo import ZoneInfo

from app.domain.quantities import Quantity
from app.domain.records import Reading
from app.domain.snapshot import TankSnapshot
from app.domain.wording import decimal, listed, reading_text
from app.knowledge.model import Knowledge
from app.rules.living import living
from app.rules.model import Finding, LimitShown, Rule, Severity, WorkingLine
from app.rules.shared_water import needed
from app.rules.showing import limit, of_reading, own_limit, remark, worst
from app.rules.testing import retest

NO_CHEMICALS = "Put nothing in to change it. Test once more, and test KH."


def level(snapshot: TankSnapshot, knowledge: Knowledge) -> tuple[Finding, ...]:
    """The pH is outside the range.

    What: outside the tank's range (else what its animals share, else 6.5 to 8.0) watch, over
        0.5 outside act, under 5.5 or over 9.0 now; what the card could mean at its ends raises
        watch at most. What animals share moves watch; act stays 0.5 outside the general range.
    Why: away from what the animals know, gills and skin suffer; a test may also be misread.
    Source: general range our own choice; EIFAC for 5 to 9 (from memory).
    Bad: 8.8. Good: 7.4.
    """
    wanted = _range(snapshot, knowledge)
    tests = snapshot.of(Quantity.PH)
    newest, severity = worst(tests, lambda r: _level(r, wanted, knowledge))
    if newest is None or severity is Severity.INFO:
        return ()
    span = f"{decimal(wanted.low, 1)} to {decimal(wanted.high, 1)}"
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
            limits=_level_limits(wanted, knowledge),
            quantity=Quantity.PH,
        ),
    )


def move(snapshot: TankSnapshot, knowledge: Knowledge) -> tuple[Finding, ...]:
    """The pH moved.

    What: two tests of the same hour (2 hours either way), at most 48 hours apart, differ by
        0.3 watch, 0.5 act, 1.0 now; two tests in a row within 0.2 end it. While it moves, water
        changes stay small.
    Why: plants move pH over a day of light, so only like hours tell; a fast move harms fish.
    Source: common practice, which gives these edges for one day; two days, the more cautious
        span, are our own choice, because few people test on two days in a row.
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


@dataclass(frozen=True, slots=True, kw_only=True)
class _Wanted:
    """The range of pH in force, the range that act is counted from, and where it comes from."""

    low: float
    high: float
    act_low: float
    act_high: float
    limits: tuple[LimitShown, ...]


def _range(snapshot: TankSnapshot, knowledge: Knowledge) -> _Wanted:
    own = snapshot.tank.own_range(Quantity.PH)
    low, high = knowledge.value("ph.general-low"), knowledge.value("ph.general-high")
    if own is not None:
        low = low if own.low is None else own.low
        high = high if own.high is None else own.high
        shown = (own_limit(f"Range {decimal(low, 1)} to {decimal(high, 1)}", own.said),)
        return _Wanted(low=low, high=high, act_low=low, act_high=high, limits=shown)
    needs = needed(living(snapshot, knowledge), Quantity.PH)
    if needs is not None:
        basis = "what the animals here need; see each in the catalogue"
        names = listed(tuple(dict.fromkeys(needs.low_by + needs.high_by)))
        text = f"Range {decimal(needs.low, 1)} to {decimal(needs.high, 1)}, set by {names}"
        return _Wanted(
            low=needs.low,
            high=needs.high,
            act_low=min(low, needs.low),
            act_high=max(high, needs.high),
            limits=(LimitShown(text, "", basis),),
        )
    general = (
        limit(knowledge, "ph.general-low", "General range from"),
        limit(knowledge, "ph.general-high", "General range to"),
    )
    return _Wanted(low=low, high=high, act_low=low, act_high=high, limits=general)


def _level(test: Reading, wanted: _Wanted, knowledge: Knowledge) -> Severity:
    value = test.best
    if not (knowledge.value("ph.emergency-low") <= value <= knowledge.value("ph.emergency-high")):
        return Severity.EMERGENCY
    act = knowledge.value("ph.act-outside") + 1e-9
    if max(wanted.act_low - value, value - wanted.act_high) > act:
        return Severity.ACT
    most = 14.0 if test.most is None else test.most
    could_be = max(wanted.act_low - test.least, most - wanted.act_high)
    if value < wanted.low - 1e-9 or value > wanted.high + 1e-9 or could_be > act:
        return Severity.WATCH
    return Severity.INFO


def _level_limits(wanted: _Wanted, knowledge: Knowledge) -> tuple[LimitShown, ...]:
    return (
        *wanted.limits,
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


RULES: Final = (
    Rule(
        id="water.ph",
        title="pH outside the range",
        why="Away from what the animals know, gills and skin suffer.",
        limits=(
            "ph.general-low",
            "ph.general-high",
            "ph.act-outside",
            "ph.emergency-low",
            "ph.emergency-high",
        ),
        check=level,
        lesson="Small steps on the pH scale are big: one step is ten times.",
    ),
    Rule(
        id="water.ph-move",
        title="pH moved",
        why="A fast move harms more than the level.",
        limits=(
            "ph.move-watch",
            "ph.move-act",
            "ph.move-emergency",
            "ph.move-hours",
            "ph.same-hour",
            "ph.settled",
            "change.small",
        ),
        check=move,
        lesson="Plants move the pH from day to night.",
    ),
)
