"""New animals: before the filter is ready, many at once, not kept apart before."""

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from typing import Final

from app.domain.quantities import Quantity
from app.domain.records import Observation, Sign, StockEvent, StockEventKind
from app.domain.snapshot import TankSnapshot
from app.domain.wording import count, decimal, full_day, short, with_unit
from app.estimates.bodies import group_mass
from app.knowledge.model import Knowledge
from app.rules.intervals import first_written
from app.rules.maturing import stage
from app.rules.model import Action, Concern, Finding, Rule, Severity, WorkingLine
from app.rules.newcomers import new_arrivals
from app.rules.paired_tests import clean_run
from app.rules.plan import LOOK_KEY
from app.rules.progress import CARE_KEY
from app.rules.showing import limit, of_entry, remark
from app.rules.water_change import net_liters

_PER_L: Final = 10.0
_ILL: Final = frozenset({Sign.WHITE_SPOTS, Sign.CLAMPED_FINS, Sign.WOUNDS, Sign.GASPING})


@dataclass(frozen=True, slots=True)
class Newcomers:
    """Animals that came, how many, and what they weigh in grams; None where nobody knows."""

    events: tuple[StockEvent, ...]
    number: int
    grams: float | None
    before_number: int
    before_grams: float | None


def before_ready(snapshot: TankSnapshot, knowledge: Knowledge) -> tuple[Finding, ...]:
    """Animals live in a tank whose filter is not ready.

    What: animals came and the filter is not ready; act now when the newest batch weighs over
        0.3 g for each 10 L. Where the record began with animals in a tank of unknown or greater
        age, nobody knows: that is asked, as watch.
    Why: their waste stays in the water until the bacteria have grown.
    Source: few fish, little food, daily tests, changes: common practice; 0.3 g is our own choice.
    Bad: six tetras on day 3. Good: the same fish, and three clean tests over a week with food.
    """
    came = new_arrivals(snapshot)
    now = stage(snapshot, knowledge)
    if not came or not snapshot.expected_fish or now.ready:
        return ()
    doubt = _may_be_old(came, snapshot, knowledge)
    batch = _batch(came, snapshot, knowledge)
    net = net_liters(snapshot.tank)
    heavy = _is_heavy(batch, net, knowledge)
    severity = Severity.EMERGENCY if heavy else Severity.ACT
    advice = (
        "Test every day, feed every other day, and change a quarter of the water when ammonia is "
        "0.5 or nitrite 0.2 mg/L or more.".replace(" mg/L", "\u00a0mg/L")
    )
    reason = f"Animals are here and the filter is not ready: {now.words} {advice}"
    if doubt:
        severity = Severity.WATCH
        reason = (
            "Has the filter grown up? Tests do not show it yet. If it has, write the day beside "
            f"the tank’s measures. If not: {advice}"
        )
    return (
        Finding(
            rule_id="stock.before-ready",
            severity=severity,
            action=Action(
                key=CARE_KEY,
                title="Test ammonia and nitrite every day, and feed little",
                child_title="The filter is young. A grown-up tests.",
                concern=Concern.TOXINS,
                door="test",
                adult=True,
                cautions=("water_change", "hands"),
            ),
            reason=reason,
            child_reason="The filter is young. Feed only a little.",
            due_at=came[-1].happened_at,
            clears_when="Tests show that the filter is ready, or a grown-up writes that it is.",
            counterfactual="With a filter that is ready this would not be here.",
            evidence=tuple(of_entry(e, snapshot.site) for e in batch.events),
            working=(*_mass_lines(batch, net), *(remark(r) for r in now.not_yet_because)),
            limits=(
                limit(knowledge, "arrivals.heavy", "Act now over, for each 10\u00a0L"),
                limit(knowledge, "keeps.mature-after-days", "No filter counts as grown before"),
            ),
            certain=not doubt,
        ),
    )


def many_at_once(snapshot: TankSnapshot, knowledge: Knowledge) -> tuple[Finding, ...]:
    """Many new animals came within two weeks.

    What: they weigh over 30 % of those before them (by number where weights are not known), or
        are over six where none were before; until three clean tests, the last one a week after,
        or until two weeks have passed.
    Why: the filter grows with its load, and needs days for each step.
    Source: batches with two weeks between them: common practice; the shares are our own choice.
    Bad: eight tetras to ten. Good: three tetras to ten.
    """
    came = new_arrivals(snapshot)
    batch = _batch(came, snapshot, knowledge)
    share = _share(batch)
    if share is None or _settled(batch.events[-1], snapshot, knowledge):
        return ()
    first = batch.before_number == 0
    most = knowledge.value("arrivals.many-share")
    if first and batch.number <= knowledge.value("arrivals.first-batch"):
        return ()
    if not first and share * 100.0 <= most:
        return ()
    until = batch.events[-1].local_day + timedelta(days=knowledge.value("arrivals.many-days"))
    by_weight = batch.grams is not None and batch.before_grams is not None
    compared = f"{with_unit(decimal(share * 100, 0), '%')} of those before"
    if not by_weight:
        compared += ", by number: nobody knows what they weigh"
    said = "the first batch" if first else compared
    return (
        Finding(
            rule_id="stock.many-at-once",
            severity=Severity.ACT,
            action=Action(
                key=CARE_KEY,
                title="Feed half for a week. Test on days 1, 3 and 7",
                child_title="Many are new. Feed half this week.",
                concern=Concern.TOXINS,
                door="test",
                adult=True,
                cautions=("hands",),
            ),
            reason=(
                f"{count(batch.number, 'new animal', 'new animals')} within two weeks: {said}. "
                f"No more before {full_day(until)}."
            ),
            child_reason="Many new fish came. The filter must catch up.",
            due_at=batch.events[-1].happened_at,
            clears_when=(
                "Three clean tests are written, the last one a week after they came; or "
                f"{full_day(until)} is over."
            ),
            counterfactual="With fewer new animals this would not be here.",
            evidence=tuple(of_entry(e, snapshot.site) for e in batch.events),
            working=_share_lines(batch, share),
            limits=(
                limit(knowledge, "arrivals.many-share", "Of those before, at most"),
                limit(knowledge, "arrivals.first-batch", "First batch at most"),
                limit(knowledge, "arrivals.many-days", "One batch: within"),
                limit(knowledge, "arrivals.clean-tests", "Ended by clean tests"),
                limit(knowledge, "arrivals.clean-days", "The last one after"),
            ),
            certain=by_weight or first,
        ),
    )


def no_quarantine(snapshot: TankSnapshot, knowledge: Knowledge) -> tuple[Finding, ...]:
    """New animals were not kept apart for three weeks: look closely, until three weeks are over.

    What: kept apart for less than 21 days, or nobody knows; every day until day 21 from when
        they came, done for the day by a look that shows no sign of illness.
    Why: white spots and others show after days; caught on day one they can be stopped.
    Source: three weeks at least, University of Florida IFAS Circular 920.
    Bad: came yesterday from a shop. Good: 21 days in a tank of their own before.
    """
    watched = [e for e in new_arrivals(snapshot) if _still_watched(e, snapshot, knowledge)]
    if not watched or _looked_today(snapshot):
        return ()
    days = int(knowledge.value("arrivals.apart-days"))
    until = max(_watch_end(e, days) for e in watched)
    unknown = any(e.apart_days is None for e in watched)
    before = "Nobody wrote whether they were kept apart" if unknown else "They were not kept apart"
    return (
        Finding(
            rule_id="stock.no-quarantine",
            severity=Severity.WATCH,
            action=Action(
                key=LOOK_KEY,
                title="Look closely at the new animals",
                child_title="Look at the new fish. White spots?",
                concern=Concern.LOOK,
                door="look",
            ),
            reason=(
                f"{before} for {with_unit(str(days), 'days')}. Look for white spots and fins held "
                f"tight, each day until {full_day(until)}."
            ),
            child_reason="New fish may bring an illness. Look closely.",
            due_at=watched[-1].happened_at,
            clears_when="Today’s look is written; for good on the day named.",
            counterfactual=f"With {days} days apart before this would not be here.",
            evidence=tuple(of_entry(e, snapshot.site) for e in watched),
            limits=(limit(knowledge, "arrivals.apart-days", "Kept apart at least"),),
            certain=not unknown,
        ),
    )


def _batch(came: Sequence[StockEvent], snapshot: TankSnapshot, knowledge: Knowledge) -> Newcomers:
    """The newest batch: all that came within so many days before the last arrival."""
    if not came:
        return Newcomers((), 0, None, 0, None)
    within = timedelta(days=knowledge.value("arrivals.many-days"))
    events = tuple(e for e in came if came[-1].happened_at - e.happened_at <= within)
    new: dict[int, int] = defaultdict(int)
    for event in events:
        new[event.group_id] += event.count
    old = {g.id: max(g.count - new[g.id], 0) for g in snapshot.groups}
    return Newcomers(
        events,
        sum(new.values()),
        _grams(new, snapshot, knowledge),
        sum(old.values()),
        _grams(old, snapshot, knowledge),
    )


def _grams(numbers: dict[int, int], snapshot: TankSnapshot, knowledge: Knowledge) -> float | None:
    """What so many animals of each group weigh, by the best guess; None where one is unknown."""
    groups = {g.id: g for g in snapshot.groups}
    total = 0.0
    for group_id, number in numbers.items():
        if not number:
            continue
        group = groups.get(group_id)
        mass = group_mass(replace(group, count=number), knowledge) if group else None
        if mass is None:
            return None
        total += mass.best
    return total


def _share(batch: Newcomers) -> float | None:
    """New ones for each one before, by weight where it is known; None without new ones."""
    if not batch.number:
        return None
    if batch.grams is not None and batch.before_grams:
        return batch.grams / batch.before_grams
    return batch.number / batch.before_number if batch.before_number else 1.0


def _share_lines(batch: Newcomers, share: float) -> tuple[WorkingLine, ...]:
    if batch.before_number == 0:
        return (WorkingLine("New animals where none were:", str(batch.number)),)
    answer = with_unit(decimal(share * 100, 0), "%")
    if batch.grams is not None and batch.before_grams:
        new, old = (with_unit(decimal(g, 1), "g") for g in (batch.grams, batch.before_grams))
        return (
            remark("By weight, estimated from lengths"),
            WorkingLine(f"{new} ÷ {old} =", answer),
        )
    return (WorkingLine(f"{batch.number} ÷ {batch.before_number} =", answer),)


def _is_heavy(batch: Newcomers, net: float | None, knowledge: Knowledge) -> bool:
    if batch.grams is None or net is None or net <= 0.0:
        return False
    return batch.grams / net * _PER_L > knowledge.value("arrivals.heavy")


def _mass_lines(batch: Newcomers, net: float | None) -> tuple[WorkingLine, ...]:
    if batch.grams is None:
        return (remark("What they weigh is not known: nobody wrote which animals, or how long."),)
    if net is None or net <= 0.0:
        return (remark("The water volume is not known: nobody measured it."),)
    grams = with_unit(decimal(batch.grams, 1), "g")
    liters = with_unit(decimal(net, 1), "L")
    answer = with_unit(decimal(batch.grams / net * _PER_L, 2), "g")
    return (WorkingLine(f"{grams} ÷ {liters} × {short(_PER_L)} =", answer),)


def _may_be_old(came: Sequence[StockEvent], snapshot: TankSnapshot, knowledge: Knowledge) -> bool:
    """Whether the record began with these animals, in a tank that may have run for long."""
    began, started = first_written(snapshot), snapshot.tank.started_on
    if any(e.local_day != began for e in came):
        return False
    youngest = timedelta(days=knowledge.value("keeps.mature-after-days"))
    return started is None or began is None or began - started >= youngest


def _settled(newest: StockEvent, snapshot: TankSnapshot, knowledge: Knowledge) -> bool:
    """Whether the wait between batches is over, or clean tests show that the filter caught up.

    After the wait its advice, half the food and no more fish, has run its course; tests that
    are still lacking are asked for by the rules of tests.
    """
    wait = newest.local_day + timedelta(days=knowledge.value("arrivals.many-days"))
    if snapshot.today > wait:
        return True
    run = clean_run(snapshot, newest.happened_at, knowledge)
    if run < knowledge.value("arrivals.clean-tests"):
        return False
    tests = [r for r in snapshot.of(Quantity.AMMONIA) if not r.kit_doubtful]
    week = timedelta(days=knowledge.value("arrivals.clean-days"))
    return bool(tests) and tests[-1].at - newest.happened_at >= week


def _watch_end(event: StockEvent, days: int) -> date:
    return event.local_day + timedelta(days=days)


def _still_watched(event: StockEvent, snapshot: TankSnapshot, knowledge: Knowledge) -> bool:
    days = int(knowledge.value("arrivals.apart-days"))
    if event.what is not StockEventKind.ARRIVED:
        return False
    return (event.apart_days or 0) < days and snapshot.today < _watch_end(event, days)


def _looked_today(snapshot: TankSnapshot) -> bool:
    return any(o.local_day == snapshot.today and not _ILL & set(o.signs) for o in _looks(snapshot))


def _looks(snapshot: TankSnapshot) -> tuple[Observation, ...]:
    return snapshot.observations[-5:]


RULES: Final = (
    Rule(
        id="stock.before-ready",
        title="Animals before the filter is ready",
        why="Their waste stays until the bacteria have grown.",
        limits=("arrivals.heavy", "keeps.mature-after-days", "body.usual-a", "body.usual-b"),
        check=before_ready,
        lesson="Fish waste must be eaten by tiny living things.",
    ),
    Rule(
        id="stock.many-at-once",
        title="Many new animals at once",
        why="The filter grows with its load.",
        limits=(
            "arrivals.many-share",
            "arrivals.first-batch",
            "arrivals.many-days",
            "arrivals.clean-tests",
            "arrivals.clean-days",
            "body.spread",
        ),
        check=many_at_once,
        lesson="Add a few fish, then wait.",
    ),
    Rule(
        id="stock.no-quarantine",
        title="New animals, not kept apart before",
        why="Some illnesses show only after days.",
        limits=("arrivals.apart-days",),
        check=no_quarantine,
        lesson="New fish wait alone first, so nobody gets ill.",
    ),
)
