"""Animals: missing at the count, more than expected, died."""

from collections.abc import Sequence
from datetime import timedelta
from typing import Final

from app.domain.quantities import Quantity
from app.domain.records import Observation, StockEvent, StockEventKind
from app.domain.snapshot import TankSnapshot
from app.domain.wording import count
from app.knowledge.model import Knowledge
from app.rules.model import Action, Concern, Finding, Rule, Severity, WorkingLine
from app.rules.showing import limit, of_entry


def missing(snapshot: TankSnapshot, knowledge: Knowledge) -> tuple[Finding, ...]:
    """Fish were not seen, several counts in a row.

    What: three counts in a row below what was expected, two when a grown-up counted one of them;
        act when ammonia rose meanwhile. The latest count says how many to look for.
    Why: small fish hide, so one short count means little; a hidden body fouls the water.
    Source: our own choice.
    Bad: 16, then 13, 13, 13 of 16. Good: 13, 13, then 16.
    """
    run = _short_run(snapshot)
    gone = snapshot.expected_fish - run[-1].seen if run and run[-1].seen is not None else 0
    by_adult = any(o.by_adult for o in run)
    needed = knowledge.value("count.short-adult" if by_adult else "count.short")
    if gone <= 0 or len(run) < needed:
        return ()
    rising = _ammonia_rose(run[0], snapshot)
    return (
        Finding(
            rule_id="livestock.missing",
            severity=Severity.ACT if rising else Severity.WATCH,
            action=Action(
                key="find-fish",
                title=f"Look for {gone} fish",
                child_title=f"Look for {gone} fish. Look behind things.",
                concern=Concern.LOOK,
                door="look",
            ),
            reason=(
                f"The last {count(len(run), 'count', 'counts')} came short: "
                f"{run[-1].seen} of {snapshot.expected_fish}. "
                "Behind the filter, in the plants, under the lid, on the floor?"
            ),
            child_reason="Not all were seen. They may be hiding.",
            due_at=run[-1].happened_at,
            clears_when="A full count, or a grown-up writes what happened to them.",
            counterfactual=f"With {snapshot.expected_fish} seen this would not be here.",
            evidence=tuple(of_entry(o, snapshot.site) for o in run),
            working=(WorkingLine(f"{snapshot.expected_fish} − {run[-1].seen} =", str(gone)),),
            limits=(
                limit(knowledge, "count.short", "Asked after"),
                limit(knowledge, "count.short-adult", "When a grown-up counted, after"),
            ),
        ),
    )


def more_than_expected(snapshot: TankSnapshot, knowledge: Knowledge) -> tuple[Finding, ...]:  # noqa: ARG001
    """More animals were seen than the groups hold.

    What: the latest count is above what is expected.
    Why: babies, or one counted twice; only a grown-up changes the number.
    Source: our own choice.
    Bad: 17 of 16. Good: 16 of 16.
    """
    counted = snapshot.last_counted
    if counted is None or counted.seen is None or counted.seen <= snapshot.expected_fish:
        return ()
    return (
        Finding(
            rule_id="livestock.more-than-expected",
            severity=Severity.INFO,
            action=Action(
                key="count-again",
                title="Count once more: more than expected",
                child_title="Count again. More than we thought!",
                concern=Concern.LOOK,
                door="look",
            ),
            reason=(
                f"Counted {counted.seen} of {snapshot.expected_fish}. Babies, or counted twice?"
            ),
            child_reason="More than expected! Babies, or counted twice?",
            due_at=counted.happened_at,
            clears_when="A count as expected, or a grown-up changes the groups.",
            counterfactual=f"With {snapshot.expected_fish} seen this would not be here.",
            evidence=(of_entry(counted, snapshot.site),),
            working=(
                WorkingLine(
                    f"{counted.seen} − {snapshot.expected_fish} =",
                    str(counted.seen - snapshot.expected_fish),
                ),
            ),
        ),
    )


def died(snapshot: TankSnapshot, knowledge: Knowledge) -> tuple[Finding, ...]:
    """An animal died.

    What: a death asks for action until an ammonia test and a count after it are written; two or
        more within 7 days ask for help now.
    Why: the cause may be in the water, and a second one may lie hidden.
    Source: test and count at once, common practice; several deaths are a veterinarian's matter.
    Bad: one died this morning. Good: tested and counted after it.
    """
    deaths = [e for e in snapshot.stock_events if e.what is StockEventKind.DIED]
    if not deaths or _looked_into(deaths[-1], snapshot):
        return ()
    within = timedelta(days=knowledge.value("loss.days"))
    near = [d for d in deaths if deaths[-1].happened_at - d.happened_at <= within]
    number = sum(max(d.count, 1) for d in near)
    several = number >= knowledge.value("loss.several")
    return (
        Finding(
            rule_id="livestock.died",
            severity=Severity.EMERGENCY if several else Severity.ACT,
            action=Action(
                key="after-loss",
                title="Test ammonia, and count the others",
                child_title="A grown-up tests the water now.",
                concern=Concern.DISEASE,
                door="test",
                adult=True,
                cautions=("dead_fish", "hands"),
            ),
            reason=(
                f"{count(number, 'animal', 'animals')} died"
                + (" within 7 days. Ask a veterinarian." if several else ".")
                + " Test the water and look at the others."
            ),
            child_reason="A fish died. Nobody is in trouble.",
            due_at=deaths[-1].happened_at,
            clears_when="An ammonia test and a count after it are written.",
            counterfactual="With a test and a count after it this would not be here.",
            evidence=tuple(of_entry(d, snapshot.site) for d in near),
            limits=(
                limit(knowledge, "loss.several", "Act now from"),
                limit(knowledge, "loss.days", "Within"),
            ),
        ),
    )


def _short_run(snapshot: TankSnapshot) -> tuple[Observation, ...]:
    """The newest counts in a row that came short of what was expected then, oldest first."""
    run: list[Observation] = []
    for look in reversed(snapshot.observations):
        if look.seen is None:
            continue
        expected = snapshot.expected_fish if look.expected is None else look.expected
        if look.seen >= expected:
            break
        run.append(look)
    return tuple(reversed(run))


def _ammonia_rose(since: Observation, snapshot: TankSnapshot) -> bool:
    tests = snapshot.of(Quantity.AMMONIA)
    return len(tests) > 1 and tests[-1].at >= since.happened_at and tests[-1].best > tests[-2].best


def _looked_into(death: StockEvent, snapshot: TankSnapshot) -> bool:
    tests: Sequence[object] = [
        r for r in snapshot.of(Quantity.AMMONIA) if r.at >= death.happened_at and not r.kit_doubtful
    ]
    counts = [
        o
        for o in snapshot.observations
        if o.seen is not None and o.happened_at >= death.happened_at
    ]
    return bool(tests and counts)


RULES: Final = (
    Rule(
        id="livestock.missing",
        title="Fish not seen",
        why="Small fish hide; a hidden body fouls the water.",
        limits=(
            "count.short",
            "count.short-adult",
        ),
        check=missing,
        lesson="Small fish hide. Three counts tell more than one.",
    ),
    Rule(
        id="livestock.more-than-expected",
        title="More fish than expected",
        why="Babies, or one counted twice.",
        limits=(),
        check=more_than_expected,
        lesson="Moving things are hard to count. Count twice.",
    ),
    Rule(
        id="livestock.died",
        title="An animal died",
        why="The cause may be in the water.",
        limits=(
            "loss.several",
            "loss.days",
        ),
        check=died,
        lesson="When one dies, we look for the cause to help the others.",
    ),
)
