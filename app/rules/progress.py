"""The growing filter: a new stage, a standstill, and a grown filter that slips back."""

from collections.abc import Sequence
from datetime import datetime, timedelta
from itertools import pairwise
from typing import Final

from app.domain.calendar import day_start
from app.domain.maturing import Stage
from app.domain.quantities import FACTS, Quantity
from app.domain.records import JobKind, Reading
from app.domain.snapshot import TankSnapshot, last
from app.domain.wording import full_day, in_sentence
from app.knowledge.model import Knowledge
from app.rules.maturing import Maturing, slope_of, stage, stages_reached
from app.rules.model import Action, Concern, Evidence, Finding, Rule, Severity, WorkingLine
from app.rules.paired_tests import clean_run
from app.rules.showing import days_text, limit, of_entry, of_reading, remark

CARE_KEY: Final = "filter-care"
_SHOWN_BEFORE: Final = 6
_LIMITS: Final = {Quantity.AMMONIA: "ammonia.total-act", Quantity.NITRITE: "nitrite.act"}


def filter_care() -> Action:
    """Ask for half the food and a test every day: the filter does not keep up."""
    return Action(
        key=CARE_KEY,
        title="Feed half, and test ammonia and nitrite every day",
        child_title="Less food. A grown-up tests the water.",
        concern=Concern.TOXINS,
        door="test",
        adult=True,
        cautions=("filter", "hands"),
    )


def new_stage(snapshot: TankSnapshot, knowledge: Knowledge) -> tuple[Finding, ...]:
    """The filter has reached a new stage. It asks for nothing.

    What: for three days after tests first showed a stage of the growing filter.
    Why: weeks of waiting need something to see; no date is promised.
    Source: stages are common practice; how long the card stays is our own choice.
    Bad: nitrite up since yesterday. Good: the same stage for a week.
    """
    now = stage(snapshot, knowledge)
    if now.since is None or now.stage is Stage.IDLE:
        return ()
    if (snapshot.today - now.since).days >= knowledge.value("maturing.card-days"):
        return ()
    first = {reached.stage: reached.on for reached in stages_reached(snapshot, knowledge)}
    since = first.get(now.stage, now.since)
    if (snapshot.today - since).days >= knowledge.value("maturing.card-days"):
        return ()
    return (
        Finding(
            rule_id="maturing.stage",
            severity=Severity.INFO,
            action=Action(
                key="maturing-stage",
                title="The filter has come further",
                child_title="The filter is growing up.",
                concern=Concern.ROUTINE,
                door="",
            ),
            reason=now.words,
            child_reason="Tiny helpers grow in the filter.",
            due_at=day_start(since, snapshot.site.zone),
            clears_when="Some days have gone by.",
            counterfactual="With the stage of the week before this would not be here.",
            evidence=_tests(snapshot),
            working=(remark(now.why), *(remark(r) for r in now.not_yet_because)),
            limits=(
                limit(knowledge, "maturing.ammonia-up", "Ammonia is up from"),
                limit(knowledge, "maturing.nitrite-up", "Nitrite is up from"),
                limit(knowledge, "maturing.card-days", "Shown for"),
            ),
        ),
    )


def stall(snapshot: TankSnapshot, knowledge: Knowledge) -> tuple[Finding, ...]:
    """The filter has stopped growing.

    What: ammonia up and not falling for 10 days, with none added in the last 3; or nitrite up
        and not falling for 14 days.
    Why: something holds the bacteria back: no oxygen, chlorine, acid, cold, too much at once.
    Source: edges are our own choice; the checks are common practice.
    Bad: nitrite 2 at every test for two weeks. Good: nitrite 2, then 1.5, then 1.
    """
    now = stage(snapshot, knowledge)
    if now.ready or now.quiet:
        return ()
    tests = _standstill(snapshot, knowledge)
    if not tests:
        return ()
    name = in_sentence(FACTS[tests[0].quantity].label)
    days = (tests[-1].at - tests[0].at).days
    pointing = [c.title for c in now.stall_checks if c.found]
    found = f" What is written points to this one: {pointing[0]}" if pointing else ""
    return (
        Finding(
            rule_id="maturing.stall",
            severity=Severity.WATCH,
            action=Action(
                key="stall-checks",
                title="Look for what holds the filter back",
                child_title="A grown-up checks the filter.",
                concern=Concern.TOXINS,
                door="job",
                job=JobKind.EQUIPMENT_CHECK.value,
                adult=True,
                cautions=("filter", "electricity"),
            ),
            reason=(
                f"No progress for {days_text(days)}: {name} stays up. Check, in order: filter, "
                f"chlorine, KH, pH, warmth, kit.{found}"
            ),
            child_reason="The filter does not get further.",
            due_at=tests[-1].at,
            clears_when=f"Tests show {name} going down.",
            counterfactual=f"With {name} going down this would not be here.",
            evidence=tuple(of_reading(r, snapshot) for r in tests),
            working=_check_lines(now),
            limits=tuple(
                limit(knowledge, f"stall.{key}", text)
                for key, text in (
                    ("ammonia-days", "Ammonia stands still after"),
                    ("nitrite-days", "Nitrite stands still after"),
                    ("slope", "A day, at least"),
                    ("added-days", "Not within, after ammonia was added"),
                )
            ),
            quantity=tests[0].quantity,
        ),
    )


def slipped_back(snapshot: TankSnapshot, knowledge: Knowledge) -> tuple[Finding, ...]:
    """A filter that was ready no longer copes.

    What: ready for 14 days or more, then ammonia from 0.5 or nitrite from 0.2 mg/L in two tests
        6 to 24 hours apart, until four clean tests in a row. One such test asks for one more.
    Why: washed media, a medicine, a dead animal, too much food: the cause is still there.
    Source: edges are our own choice.
    Bad: nitrite 0.3 last night and 0.4 this morning. Good: one test 0.3, the next one 0.
    """
    ready = stage(snapshot, knowledge)
    if not ready.ready or ready.since is None:
        return ()
    agreed = _agreeing(snapshot, knowledge)
    if not agreed or _days_ready(ready, agreed[0], snapshot) < knowledge.value("slip.ready-days"):
        return ()
    first, second = agreed
    clean = clean_run(snapshot, second.at, knowledge)
    needed = int(knowledge.value("slip.clean-tests"))
    if clean >= needed:
        return ()
    name = in_sentence(FACTS[first.quantity].label)
    since = full_day(first.at.date())
    return (
        Finding(
            rule_id="maturing.slipped-back",
            severity=Severity.ACT,
            action=filter_care(),
            reason=(
                f"The filter stopped coping: two tests of {name} agree. "
                f"What changed since before {since}? Feed half, and test every day."
            ),
            child_reason="The filter needs help. Less food for now.",
            due_at=second.at,
            clears_when=f"{needed} clean tests in a row are written.",
            counterfactual=f"With {name} low in the second test this would not be here.",
            evidence=(
                of_reading(first, snapshot),
                of_reading(second, snapshot),
                *_written_before(first, snapshot, knowledge),
            ),
            working=(WorkingLine("Clean tests in a row since:", f"{clean} of {needed}"),),
            limits=(
                limit(knowledge, _LIMITS[first.quantity], "Two tests from"),
                limit(knowledge, "slip.ready-days", "Ready before for at least"),
                limit(knowledge, "slip.least-hours", "Tests at least so far apart"),
                limit(knowledge, "slip.most-hours", "Tests at most so far apart"),
                limit(knowledge, "slip.clean-tests", "Ended by clean tests"),
            ),
            quantity=first.quantity,
        ),
    )


def _tests(snapshot: TankSnapshot) -> tuple[Evidence, ...]:
    found = [snapshot.latest(q) for q in (Quantity.AMMONIA, Quantity.NITRITE, Quantity.NITRATE)]
    return tuple(of_reading(r, snapshot) for r in found if r is not None)


def _check_lines(now: Maturing) -> tuple[WorkingLine, ...]:
    return tuple(WorkingLine(check.title, check.answer) for check in now.stall_checks)


def _standstill(snapshot: TankSnapshot, knowledge: Knowledge) -> Sequence[Reading]:
    """The tests through which ammonia, or nitrite, stood still; empty where one moved."""
    for quantity in (Quantity.NITRITE, Quantity.AMMONIA):
        name = quantity.value
        up = knowledge.value(f"maturing.{name}-up")
        tests = _over_days(snapshot, quantity, knowledge.value(f"stall.{name}-days"))
        if len(tests) < knowledge.value("maturing.tests") or any(r.best < up for r in tests):
            continue
        if quantity is Quantity.AMMONIA and _fed_lately(snapshot, knowledge):
            continue
        if slope_of(tests) > -knowledge.value("stall.slope"):
            return tests
    return ()


def _over_days(snapshot: TankSnapshot, quantity: Quantity, days: float) -> Sequence[Reading]:
    """Tests from the last one that is so many days older than the newest; empty without one."""
    tests = [r for r in snapshot.of(quantity) if not r.kit_doubtful]
    if not tests:
        return ()
    start = tests[-1].at - timedelta(days=days)
    before = [i for i, r in enumerate(tests) if r.at <= start]
    return tests[before[-1] :] if before else ()


def _fed_lately(snapshot: TankSnapshot, knowledge: Knowledge) -> bool:
    added = last(snapshot.jobs_of(JobKind.AMMONIA_ADDED))
    within = knowledge.value("stall.added-days")
    return added is not None and (snapshot.today - added.local_day).days <= within


def _agreeing(snapshot: TankSnapshot, knowledge: Knowledge) -> tuple[Reading, Reading] | None:
    """The newest two tests of one quantity that agree that the filter lags."""
    least = timedelta(hours=knowledge.value("slip.least-hours"))
    most = timedelta(hours=knowledge.value("slip.most-hours"))
    found = []
    for quantity, key in _LIMITS.items():
        edge = knowledge.value(key)
        tests = snapshot.of(quantity)
        for one, other in pairwise(tests):
            both = one.best >= edge and other.best >= edge
            if both and least <= other.at - one.at <= most:
                found.append((one, other))
    return max(found, key=lambda pair: pair[1].at, default=None)


def _days_ready(ready: Maturing, first: Reading, snapshot: TankSnapshot) -> float:
    if ready.since is None:
        return 0.0
    return (first.at - day_start(ready.since, snapshot.site.zone)) / timedelta(days=1)


def _written_before(
    first: Reading, snapshot: TankSnapshot, knowledge: Knowledge
) -> tuple[Evidence, ...]:
    start: datetime = first.at - timedelta(hours=knowledge.value("slip.before-hours"))
    entries = [*snapshot.jobs, *snapshot.stock_events]
    near = sorted(
        (e for e in entries if start <= e.happened_at <= first.at), key=lambda e: e.happened_at
    )
    return tuple(of_entry(e, snapshot.site) for e in near[-_SHOWN_BEFORE:])


RULES: Final = (
    Rule(
        id="maturing.stage",
        title="The filter has come further",
        why="Waiting needs something to see.",
        limits=(
            "maturing.window-days",
            "maturing.tests",
            "maturing.ammonia-up",
            "maturing.nitrite-up",
            "maturing.ammonia-share",
            "maturing.ammonia-low",
            "maturing.nitrate-rise",
            "maturing.ready-tests",
            "maturing.ready-days",
            "maturing.ready-fed-days",
            "maturing.added-mg",
            "maturing.added-hours",
            "maturing.added-hours-apart",
            "maturing.passes",
            "maturing.passes-days",
            "maturing.card-days",
            "stall.cold",
        ),
        check=new_stage,
        lesson="Tiny living things in the filter eat fish waste.",
    ),
    Rule(
        id="maturing.stall",
        title="The filter has stopped growing",
        why="Something holds the bacteria back.",
        limits=(
            "stall.ammonia-days",
            "stall.nitrite-days",
            "stall.slope",
            "stall.added-days",
            "stall.chlorine-days",
            "stall.back-days",
            "stall.kh",
            "stall.ph",
            "stall.cold",
            "stall.too-much",
        ),
        check=stall,
        lesson="When something stops, check one thing after the other.",
    ),
    Rule(
        id="maturing.slipped-back",
        title="The filter stopped coping",
        why="What harmed it may still be there.",
        limits=(
            "ammonia.total-act",
            "nitrite.act",
            "slip.ready-days",
            "slip.least-hours",
            "slip.most-hours",
            "slip.clean-tests",
            "slip.before-hours",
        ),
        check=slipped_back,
        lesson="A filter is alive. It can get weak again.",
    ),
)
