"""Testing: what is due, what to test once more, and what to do after a water change."""

from collections.abc import Iterator
from datetime import UTC, date, datetime, timedelta
from typing import Final

from app.domain.calendar import local_day
from app.domain.quantities import FACTS, Quantity
from app.domain.records import Reading
from app.domain.snapshot import TankSnapshot
from app.domain.wording import count, in_sentence, listed
from app.knowledge.model import Knowledge
from app.rules.freshness import matters, reading_freshness, shelf_days
from app.rules.intervals import on_time
from app.rules.maturing import stage
from app.rules.model import Action, Concern, Evidence, Finding, LimitShown, Rule, Severity
from app.rules.paired_tests import clean_run
from app.rules.plan import TEST_KEY
from app.rules.showing import days_text, of_reading, own_limit
from app.rules.water_change import change_action, changed_since

ROUTINE: Final = (Quantity.AMMONIA, Quantity.NITRITE, Quantity.NITRATE, Quantity.PH)
NOW_AND_THEN: Final = (Quantity.KH, Quantity.GH)
DUE: Final = Action(
    key=TEST_KEY,
    title="Test the water",
    child_title="Test the water with a grown-up.",
    concern=Concern.ROUTINE,
    door="test",
    cautions=("test_kits", "hands"),
)


def retest(quantity: Quantity) -> Action:
    """Ask for one more test of a quantity, because of what the last one said."""
    name = in_sentence(FACTS[quantity].label).removesuffix(" (total)")
    return Action(
        key=f"test-{quantity.value}",
        title=f"Test {name} once more",
        child_title=f"Test {name} again.",
        concern=Concern.TOXINS,
        door="test",
        cautions=("test_kits", "hands"),
    )


def change_or_retest(
    snapshot: TankSnapshot, reading: Reading, share: float, knowledge: Knowledge
) -> Action:
    """A water change for a reading; after one was written, the test that shows what it did.

    An estimate never clears a finding, so that its severity stays until the new test is written.
    """
    if changed_since(snapshot, reading.at, share, knowledge):
        return retest(reading.quantity)
    return change_action(share, Concern.TOXINS)


def test_due(snapshot: TankSnapshot, knowledge: Knowledge) -> tuple[Finding, ...]:
    """A test is due: its interval is over, or it no longer counts.

    What: ammonia, nitrite, nitrate, pH after the plan's days (a reminder) or past their shelf
        life (watch), where animals live or it was ever tested; KH and GH past their shelf life.
        Ammonia and nitrite every two days while the filter is not ready; every second week
        after six clean tests in a row, unless the plan names days for the test itself.
    Why: water looks the same at 10 and at 100.
    Source: weekly tests are common practice; one interval for all of them, where nitrate could
        wait a week longer, and the shelf lives are our own choice.
    Bad: nitrate 17 days old. Good: all tested within the week.
    """
    days = test_intervals(snapshot, knowledge)
    found = [_due(snapshot, q, days[q], knowledge) for q in (*ROUTINE, *NOW_AND_THEN)]
    return tuple(f for f in found if f is not None)


def test_intervals(snapshot: TankSnapshot, knowledge: Knowledge) -> dict[Quantity, int]:
    """Every how many days each quantity is tested in this tank, as it stands now."""
    plan = snapshot.tank.plan
    own = plan.job("test")
    usual = own.every_days if own and own.every_days else plan.test_days
    if not stage(snapshot, knowledge).ready:
        often = min(usual, int(knowledge.value("testing.growing-days")))
        waste = {Quantity.AMMONIA, Quantity.NITRITE}
        return {q: often if q in waste else usual for q in (*ROUTINE, *NOW_AND_THEN)}
    if not (own and own.every_days) and is_stable(snapshot, knowledge):
        usual = max(usual, int(knowledge.value("testing.stable-days")))
    return dict.fromkeys((*ROUTINE, *NOW_AND_THEN), usual)


def test_days(snapshot: TankSnapshot, knowledge: Knowledge, until: date) -> Iterator[date]:
    """The days after today on which a routine test comes due, done on time from now on.

    Whoever tests one thing tests all that is tested as a routine.
    """
    intervals = test_intervals(snapshot, knowledge)
    spans: list[int] = []
    firsts: list[date] = []
    for quantity in (q for q in ROUTINE if matters(snapshot, q.value)):
        taken = reading_freshness(snapshot, quantity, knowledge).taken_at
        since = None if taken is None else local_day(taken, snapshot.site.zone)
        spans.append(min(intervals[quantity], shelf_days(snapshot, quantity, knowledge)))
        firsts += on_time(since or snapshot.today, spans[-1], snapshot.today, until)
    if firsts:
        every = min(spans)
        yield from on_time(min(firsts) - timedelta(days=every), every, snapshot.today, until)


def is_stable(snapshot: TankSnapshot, knowledge: Knowledge) -> bool:
    """Whether so many tests in a row were clean that fewer are enough."""
    run = clean_run(snapshot, datetime.min.replace(tzinfo=UTC), knowledge)
    return run >= knowledge.value("testing.clean-tests")


def _never_words(snapshot: TankSnapshot) -> str:
    """One sentence for all that nobody has tested: findings that share it read as one."""
    never = [q for q in ROUTINE if matters(snapshot, q.value) and not snapshot.of(q)]
    return f"Nobody has tested {listed([in_sentence(FACTS[q].label) for q in never])} yet."


def _due(
    snapshot: TankSnapshot, quantity: Quantity, interval: int, knowledge: Knowledge
) -> Finding | None:
    routine = quantity in ROUTINE
    if not (matters(snapshot, quantity.value) if routine else snapshot.of(quantity)):
        return None
    fresh = reading_freshness(snapshot, quantity, knowledge)
    gone = not fresh.is_fresh(snapshot.as_of)
    days = _days_old(snapshot, fresh.taken_at)
    if not gone and not (routine and days >= interval):
        return None
    label = in_sentence(fresh.label)
    keeps = shelf_days(snapshot, quantity, knowledge)
    if not snapshot.of(quantity):
        reason = _never_words(snapshot)
    elif fresh.taken_at is None:
        reason = f"Nobody has tested {label} with a kit in date that is not known to be off."
    elif gone:
        reason = f"The last {label} test is {days_text(days)} old. It keeps {days_text(keeps)}."
    else:
        reason = f"The last {label} test is {days_text(days)} old: one is due."
    newest = next((r for r in reversed(snapshot.of(quantity)) if not r.kit_doubtful), None)
    return Finding(
        rule_id="water.test-due",
        severity=Severity.WATCH if gone and routine else Severity.INFO,
        action=DUE,
        reason=reason,
        child_reason="This test is still to do.",
        due_at=_due_at(snapshot, fresh.taken_at, min(interval, keeps) if routine else keeps),
        clears_when=f"A {label} test is written, with a kit in date.",
        counterfactual=(
            f"With a {label} test less than {days_text(min(interval, keeps))} old "
            "this would not be here."
        ),
        evidence=_evidence(snapshot, newest, label),
        limits=(
            LimitShown(fresh.keeps_words, "", "this project’s own choice"),
            own_limit(f"Test every {count(interval, 'day', 'days')}"),
        ),
        quantity=quantity,
    )


def _evidence(snapshot: TankSnapshot, newest: Reading | None, label: str) -> tuple[Evidence, ...]:
    if newest is None:
        return (Evidence(f"No {label} test with a kit in date"),)
    return (of_reading(newest, snapshot),)


def _days_old(snapshot: TankSnapshot, taken: datetime | None) -> int:
    return 0 if taken is None else (snapshot.today - local_day(taken, snapshot.site.zone)).days


def _due_at(snapshot: TankSnapshot, taken: datetime | None, days: int) -> datetime:
    return snapshot.as_of if taken is None else taken + timedelta(days=days)


RULES: Final = (
    Rule(
        id="water.test-due",
        title="A test is due",
        why="Water looks the same at 10 and at 100.",
        limits=(
            "keeps.young-days",
            "keeps.mature-days",
            "keeps.mature-after-days",
            "keeps.nitrate-days",
            "keeps.ph-days",
            "keeps.hardness-days",
            "testing.growing-days",
            "testing.clean-tests",
            "testing.stable-days",
        ),
        check=test_due,
        lesson="Clear water can still hurt fish.",
    ),
)
