"""Meals: food went in twice, no meal is written, and the answer to "May we feed?"."""

from datetime import date, datetime, timedelta
from typing import Final

from app.domain.calendar import local_day
from app.domain.records import JobKind
from app.domain.snapshot import TankSnapshot, last
from app.domain.wording import decimal, short, with_unit
from app.knowledge.model import Knowledge
from app.rules.fasting import NO_FOOD_HELPS, NoFood, no_food_now
from app.rules.meal import (
    days_unfed,
    doubled,
    fed_on,
    feed_days_without_meal,
    is_feed_day,
    is_late,
    late_spans,
    meal_answer,
    meal_facts,
    portions,
    unwritten_words,
)
from app.rules.model import Action, Concern, Evidence, Finding, Rule, Severity, WorkingLine
from app.rules.plan import FEED_KEY
from app.rules.showing import days_text, limit, of_entry, own_limit, remark


def fed_twice(snapshot: TankSnapshot, knowledge: Knowledge) -> tuple[Finding, ...]:
    """Food went in twice.

    What: two meals within 4 hours, or over 1.3 portions in two meals of one day; act over 2.
    Why: food cannot be taken back out, and what is not eaten fouls the water.
    Source: one meal a day is the advice of welfare bodies; the edges are our own choice.
    Bad: Otter 8:41, Finch 8:44. Good: a leftovers job, or a later day with one meal.
    """
    day = _last_doubled(snapshot, knowledge)
    if day is None:
        return ()
    meals = doubled(snapshot, day, knowledge)
    total = portions(snapshot, fed_on(snapshot, day))
    act = total > knowledge.value("feeding.act-share") + 1e-9
    # a reason is kept, and read by people who are not told who fed
    bare = doubled(snapshot.without_hands(), day, knowledge)
    facts = " and ".join(meal_facts(m, snapshot) for m in bare)
    return (
        Finding(
            rule_id="feeding.fed-twice",
            severity=Severity.ACT if act else Severity.WATCH,
            action=Action(
                key="leftovers",
                title="Take out leftover food, and give none for now",
                child_title="Ask a grown-up to take out leftover food.",
                concern=Concern.TOXINS,
                door="job",
                job=JobKind.LEFTOVERS.value,
                cautions=("hands",),
            ),
            reason=f"Food went in twice: {facts}. Take out what floats. "
            + ("Skip the next meal." if act else "The next meal may be skipped."),
            child_reason="Food went in twice. The fish have enough.",
            due_at=meals[-1].happened_at,
            clears_when="A leftovers job is written, or a later day with a single meal.",
            counterfactual="With one meal on that day this would not be here.",
            evidence=tuple(of_entry(m, snapshot.site) for m in meals),
            working=(WorkingLine("Portions on that day:", decimal(total, 1)),),
            limits=(
                limit(knowledge, "feeding.twice-share", "One meal too many over"),
                limit(knowledge, "feeding.act-share", "Act over"),
                limit(knowledge, "feeding.close-hours", "Too close under"),
            ),
        ),
    )


def nobody_fed(snapshot: TankSnapshot, knowledge: Knowledge) -> tuple[Finding, ...]:
    """No meal is written though food was planned.

    What: today is a feed day without a meal, a whole feed day before it has none either, and the
        last meal is over 36 hours old. Days without planned food are never counted against it.
    Why: fed and not written, or not fed: only somebody there knows.
    Source: a few days without food do no harm to healthy grown fish (from memory).
    Bad: fed Monday, nothing on Tuesday, now Wednesday. Good: fed Friday, now Monday morning.
    """
    since = _fed_since(snapshot)
    if since is None or not snapshot.expected_fish or not is_feed_day(snapshot, snapshot.today):
        return ()
    moment = since[1]
    gap = timedelta(hours=knowledge.value("feeding.gap-hours"))
    empty = feed_days_without_meal(snapshot, since[0])
    if fed_on(snapshot, snapshot.today) or not empty or snapshot.as_of - moment < gap:
        return ()
    days = days_unfed(snapshot, since[0])
    severity = Severity.INFO
    if days >= knowledge.value("feeding.gap-act-days"):
        severity = Severity.ACT
    elif days >= knowledge.value("feeding.gap-watch-days"):
        severity = Severity.WATCH
    meal = last(snapshot.feedings)
    evidence = () if meal is None else (of_entry(meal, snapshot.site),)
    return (
        Finding(
            rule_id="feeding.nobody-fed",
            severity=severity,
            action=Action(
                key=FEED_KEY,
                title="Write down the meal, or feed once",
                child_title="Were they fed? Write it down.",
                concern=Concern.ROUTINE,
                door="feed",
            ),
            reason=(
                f"{unwritten_words(empty, snapshot.today)} Fed but not written? "
                "If not, one usual meal, not a double one."
            ),
            child_reason="No meal is written. Were they fed?",
            due_at=snapshot.as_of if meal is None else moment + gap,
            clears_when="A meal is written.",
            counterfactual="With a meal on the last feed day this would not be here.",
            evidence=(*evidence, Evidence(f"No meal written on {days_text(len(empty))}")),
            working=(WorkingLine("Days since the last written meal:", str(days)),),
            limits=(
                limit(knowledge, "feeding.gap-hours", "Asked after"),
                limit(knowledge, "feeding.gap-watch-days", "Watch from"),
                limit(knowledge, "feeding.gap-act-days", "Act from"),
            ),
        ),
    )


def gap_until(snapshot: TankSnapshot, knowledge: Knowledge) -> datetime | None:
    """When the gap since the last meal grows long enough to ask."""
    since = _fed_since(snapshot)
    gap = timedelta(hours=knowledge.value("feeding.gap-hours"))
    return None if since is None else since[1] + gap


def guard(snapshot: TankSnapshot, knowledge: Knowledge) -> tuple[Finding, ...]:
    """No more food today: a meal stands written, or none is planned. It asks for nothing.

    What: today has a meal, or is a day without planned food.
    Why: the only thing that must be known before the act.
    Source: our own choice.
    Bad: a second helper with the tin at 8:44. Good: a feed day without a meal yet.
    """
    meals = fed_on(snapshot, snapshot.today)
    if not meals and is_feed_day(snapshot, snapshot.today):
        return ()
    answer = meal_answer(snapshot.without_hands(), knowledge)
    plan = snapshot.tank.plan
    return (
        Finding(
            rule_id="feeding.guard",
            severity=Severity.INFO,
            action=Action(
                key="no-food",
                title="No more food today",
                child_title="No more food today.",
                concern=Concern.ROUTINE,
                door="",
            ),
            reason=f"{answer.word}, {answer.facts}. {answer.advice}",
            child_reason="They were fed." if meals else "No meal is planned for this day.",
            due_at=meals[-1].happened_at if meals else snapshot.as_of,
            clears_when="The next day with planned food begins.",
            counterfactual="On a feed day without a written meal this would not be here.",
            evidence=tuple(of_entry(m, snapshot.site) for m in meals),
            limits=(own_limit(f"Planned: {short(plan.portion_scoops)} scoop on a feed day"),),
        ),
    )


def bad_time(snapshot: TankSnapshot, knowledge: Knowledge) -> tuple[Finding, ...]:
    """Food at a time when the fish should have none.

    What: act while fish gasp, power or filter are off or oxygen asks for action, while the water
        is at 29 °C or more (and over the tank's own range), or while ammonia, nitrite or chlorine
        asks for action, on a day with planned food or a meal (after six days without one
        it says when the next may come); a note where the last meal
        or the next one falls within two hours before the lamp goes off and by estimate the
        night's oxygen falls below 5 mg/L. Without an estimate nothing is said of the night.
    Why: digesting takes oxygen and makes ammonia.
    Source: fish use more oxygen after a meal, from memory; the edges are our own choice.
    Bad: 29.0 °C on a feed day. Good: 28.9 °C; or fed in the morning.
    """
    today = snapshot.today
    if is_feed_day(snapshot, today) or fed_on(snapshot, today):
        kept = no_food_now(snapshot, knowledge)
        if kept is not None:
            return (_no_food(kept, snapshot, knowledge),)
    return _feed_earlier(snapshot, knowledge)


def _no_food(kept: NoFood, snapshot: TankSnapshot, knowledge: Knowledge) -> Finding:
    more = "more " if fed_on(snapshot, snapshot.today) else ""
    return Finding(
        rule_id="feeding.bad-time",
        severity=Severity.ACT,
        action=Action(
            key="without-food",
            title=f"No {more}food today",
            child_title=f"No {more}food today.",
            concern=Concern.TOXINS,
            door="test",
        ),
        reason=f"{kept.reason} No {more}food today: {NO_FOOD_HELPS[0].lower()}{NO_FOOD_HELPS[1:]}"
        f"{_hungry(snapshot, knowledge)}",
        child_reason="Now is not the time for a meal.",
        due_at=kept.at,
        clears_when="A better look or test is written, or this one is three days old.",
        counterfactual="With enough air in cooler, cleaner water this would not be here.",
        evidence=kept.evidence,
        limits=(
            limit(knowledge, "feeding.hot", "No food from"),
            limit(knowledge, "nitrite.act", "No food from nitrite of"),
            limit(knowledge, "ammonia.free-act", "No food from a harmful part of ammonia of"),
        ),
        certain=kept.certain,
    )


def _hungry(snapshot: TankSnapshot, knowledge: Knowledge) -> str:
    """What to do about many days without a meal while the water forbids one; "" before."""
    since = _fed_since(snapshot)
    days = 0 if since is None else days_unfed(snapshot, since[0])
    if days < knowledge.value("feeding.gap-act-days"):
        return ""
    return (
        f" No meal is written for {days_text(days)}: make the water better first, and test it. "
        "Then one usual meal, not a double one."
    )


def _feed_earlier(snapshot: TankSnapshot, knowledge: Knowledge) -> tuple[Finding, ...]:
    """A note: a meal soon before the dark, in a tank whose night is short of oxygen."""
    night = snapshot.oxygen
    if night is None or night.best >= knowledge.value("oxygen.act") or not snapshot.expected_fish:
        return ()
    meal = last(snapshot.feedings)
    recent = meal is not None and (snapshot.today - meal.local_day).days <= 1
    late = meal if meal and recent and is_late(snapshot, meal.happened_at, knowledge) else None
    to_come = is_feed_day(snapshot, snapshot.today) and not fed_on(snapshot, snapshot.today)
    if late is None and not (to_come and is_late(snapshot, snapshot.as_of, knowledge)):
        return ()
    lowest = with_unit(decimal(night.best, 1), "mg/L")
    return (
        Finding(
            rule_id="feeding.bad-time",
            severity=Severity.INFO,
            action=Action(
                key="feed-earlier",
                title="Feed in the morning",
                child_title="Feed in the morning.",
                concern=Concern.ROUTINE,
                door="",
            ),
            reason=f"Feed in the morning: the night’s oxygen is low, {lowest} by estimate.",
            child_reason="At night there may be little air in the water.",
            due_at=late.happened_at if late else snapshot.as_of,
            clears_when="A meal at an earlier hour is written, or the estimate is higher.",
            counterfactual="With a meal in the morning this would not be here.",
            evidence=(of_entry(late, snapshot.site),) if late else (),
            working=(remark("The oxygen of the night is an estimate, not measured."),),
            limits=(
                limit(knowledge, "feeding.late-hours", "Before the lamp goes off, within"),
                limit(knowledge, "oxygen.act", "Low below"),
            ),
            certain=False,
        ),
    )


def late_until(snapshot: TankSnapshot, knowledge: Knowledge) -> datetime | None:
    """When the last hours before the dark begin or end, where the night is short of oxygen."""
    if snapshot.oxygen is None:
        return None
    edges = [edge for span in late_spans(snapshot, snapshot.today, knowledge) for edge in span]
    return min((edge for edge in edges if edge > snapshot.as_of), default=None)


def _last_doubled(snapshot: TankSnapshot, knowledge: Knowledge) -> date | None:
    """The last day with a double meal that nothing has cleared since."""
    meal = last(snapshot.feedings)
    if meal is None:
        return None
    day = local_day(meal.happened_at, snapshot.site.zone)
    meals = doubled(snapshot, day, knowledge)
    leftovers = last(snapshot.jobs_of(JobKind.LEFTOVERS))
    cleared = leftovers is not None and meals and leftovers.happened_at >= meals[-1].happened_at
    return day if meals and not cleared else None


def _fed_since(snapshot: TankSnapshot) -> tuple[date, datetime] | None:
    """Day and moment from which unfed days count: the last meal, else when animals were written.

    A tank that lived for months before its record began was fed all the while.
    """
    meal = last(snapshot.feedings)
    if meal is None and not snapshot.stock_events:
        return None
    start = meal.happened_at if meal else min(e.recorded_at for e in snapshot.stock_events)
    return local_day(start, snapshot.site.zone), start


RULES: Final = (
    Rule(
        id="feeding.fed-twice",
        title="Food went in twice",
        why="Food cannot be taken back out, and leftovers foul the water.",
        limits=("feeding.twice-share", "feeding.act-share", "feeding.close-hours"),
        check=fed_twice,
        lesson="Food that fish leave turns into waste.",
    ),
    Rule(
        id="feeding.nobody-fed",
        title="No meal is written",
        why="Fed and not written, or not fed: only somebody there knows.",
        limits=("feeding.gap-hours", "feeding.gap-watch-days", "feeding.gap-act-days"),
        check=nobody_fed,
        holds_until=gap_until,
        lesson="Write down each meal, so that all know.",
    ),
    Rule(
        id="feeding.guard",
        title="No more food today",
        why="It must be known before the act.",
        limits=(),
        check=guard,
        lesson="Look first: were the fish fed today?",
    ),
    Rule(
        id="feeding.bad-time",
        title="No time for food",
        why="Digesting takes oxygen and makes ammonia.",
        limits=(
            "feeding.gap-act-days",
            "feeding.hot",
            "feeding.late-hours",
            "oxygen.act",
            "nitrite.act",
            "ammonia.free-act",
        ),
        check=bad_time,
        holds_until=late_until,
        lesson="After a meal fish need more air.",
    ),
)
