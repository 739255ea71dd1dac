"""May we feed? The one answer that is needed before the act, and the question before a second meal.

Days are those of the tank's own wall calendar. A day on which nobody is meant to come is a day
without food, whatever the weekday plan says; so is a staff day where pupils alone feed.
"""

from collections.abc import Sequence
from datetime import UTC, date, datetime, time, timedelta
from itertools import pairwise
from zoneinfo import ZoneInfo

from app.domain.calendar import comes, local_day
from app.domain.entry_words import scoop_words
from app.domain.records import Feeding
from app.domain.snapshot import TankSnapshot, last, last_where
from app.domain.wording import bare_clock, clock, count, day_text, duration, when_text
from app.knowledge.model import Knowledge
from app.rules.fasting import NO_FOOD_HELPS, no_food_now
from app.rules.model import MealAnswer, MealState

NO_MORE = "No more food until tomorrow."


def is_feed_day(snapshot: TankSnapshot, day: date) -> bool:
    """Whether food is planned for a local day: by the plan, and whoever feeds comes."""
    plan = snapshot.tank.plan
    return day.weekday() in plan.feed_weekdays and comes(snapshot.site, day, plan.who("feed"))


def fed_on(snapshot: TankSnapshot, day: date) -> tuple[Feeding, ...]:
    """The meals of a local day, oldest first."""
    return snapshot.meals_on(day)


def portions(snapshot: TankSnapshot, meals: Sequence[Feeding]) -> float:
    """How many planned portions went in; a meal of unknown size counts as one."""
    planned = snapshot.tank.plan.portion_scoops
    return sum(1.0 if m.scoops is None or not planned else m.scoops / planned for m in meals)


def doubled(snapshot: TankSnapshot, day: date, knowledge: Knowledge) -> tuple[Feeding, ...]:
    """The meals of a day on which food went in twice: too close, or too much; else nothing."""
    meals = fed_on(snapshot, day)
    if not meals:
        return ()
    before = last_where(snapshot.feedings, lambda f: f.happened_at < meals[0].happened_at)
    close = timedelta(hours=knowledge.value("feeding.close-hours"))
    chain = [before, *meals] if before and _apart(before, meals[0]) < close else list(meals)
    if len(chain) < 2:
        return ()
    too_close = any(_apart(a, b) < close for a, b in pairwise(chain))
    too_much = portions(snapshot, meals) > knowledge.value("feeding.twice-share") + 1e-9
    return tuple(chain) if too_close or too_much else ()


def meal_answer(snapshot: TankSnapshot, knowledge: Knowledge) -> MealAnswer:
    """What to read before anybody feeds, as of the snapshot's moment."""
    today = snapshot.today
    meals = fed_on(snapshot, today)
    twice = doubled(snapshot, today, knowledge)
    if twice:
        return MealAnswer(
            state=MealState.TWICE,
            word="DOUBLE MEAL TODAY – NO MORE FOOD",
            facts="; ".join(meal_facts(m, snapshot) for m in twice),
            advice="Take out what floats. The next meal may be skipped.",
            feeding_ids=tuple(m.id for m in twice),
        )
    if meals:
        return MealAnswer(
            state=MealState.FED,
            word="FED",
            facts=meal_facts(meals[-1], snapshot),
            advice=_until_next(snapshot),
            feeding_ids=tuple(m.id for m in meals),
        )
    if not snapshot.expected_fish and not snapshot.feedings:
        return MealAnswer(
            state=MealState.NO_FOOD,
            word="NO FOOD",
            facts="(no animals are written down)",
            advice="Food without animals rots. Animals live here? Write them down first.",
            because="no animals are written down",
        )
    if not is_feed_day(snapshot, today):
        return MealAnswer(
            state=MealState.NO_FOOD,
            word="NO FOOD",
            facts="TODAY (planned)",
            advice=_until_next(snapshot),
            because="planned",
        )
    kept = no_food_now(snapshot, knowledge)
    if kept is not None:
        return MealAnswer(
            state=MealState.NO_FOOD,
            word="NO FOOD",
            facts=f"TODAY ({kept.because})",
            advice=NO_FOOD_HELPS,
            because=kept.because,
        )
    return MealAnswer(
        state=MealState.NOT_FED,
        word="NOT FED",
        facts="YET TODAY",
        advice=_before_feeding(snapshot, knowledge),
        feeding_ids=tuple(m.id for m in snapshot.feedings[-1:]),
    )


def is_late(snapshot: TankSnapshot, moment: datetime, knowledge: Knowledge) -> bool:
    """Whether a moment falls within the last hours before the lamp goes off."""
    day = local_day(moment, snapshot.site.zone)
    return any(first <= moment < end for first, end in late_spans(snapshot, day, knowledge))


def late_spans(
    snapshot: TankSnapshot, day: date, knowledge: Knowledge
) -> tuple[tuple[datetime, datetime], ...]:
    """The last hours of light that touch a local day, from and to; none where nobody knows them.

    A lamp that goes on in the evening may go off on the next day.
    """
    tank, zone = snapshot.tank, ZoneInfo(snapshot.site.zone)
    if not tank.light_on or tank.light_hours is None:
        return ()
    on_at = time.fromisoformat(tank.light_on)
    late = timedelta(hours=knowledge.value("feeding.late-hours"))
    spans = []
    for lit in (day - timedelta(days=1), day):
        on = datetime.combine(lit, on_at, zone).astimezone(UTC)
        off = on + timedelta(hours=tank.light_hours)
        spans.append((off - late, off))
    return tuple(spans)


def double_days(
    snapshot: TankSnapshot, since: date, knowledge: Knowledge
) -> tuple[tuple[Feeding, ...], ...]:
    """The meals of each local day from `since` on, on which food went in twice; oldest first."""
    days = dict.fromkeys(f.local_day for f in snapshot.feedings if f.local_day >= since)
    close = timedelta(hours=knowledge.value("feeding.close-hours"))
    crowded = {b.local_day for a, b in pairwise(snapshot.feedings) if _apart(a, b) < close}
    several = {b.local_day for a, b in pairwise(snapshot.feedings) if a.local_day == b.local_day}
    maybe = [day for day in days if day in crowded or day in several]
    found = (doubled(snapshot, day, knowledge) for day in maybe)
    return tuple(meals for meals in found if meals)


def feed_question(snapshot: TankSnapshot, fed_at: datetime, knowledge: Knowledge) -> str | None:
    """What to ask before a meal at `fed_at` is saved, or None where nothing speaks against it."""
    day = local_day(fed_at, snapshot.site.zone)
    meals = fed_on(snapshot, day)
    if meals:
        return _again_question(min(meals, key=lambda m: abs(m.happened_at - fed_at)), fed_at)
    if not is_feed_day(snapshot, day):
        if day == snapshot.today:
            return "No food is planned for today. Did food go in?"
        return f"No food was planned for {day_text(day, snapshot.today)}. Did food go in?"
    kept = no_food_now(snapshot, knowledge) if day == snapshot.today else None
    if kept is not None and kept.at <= fed_at:
        return f"{kept.reason} No food was meant to go in. Did food go in?"
    return None


def meal_facts(meal: Feeding, snapshot: TankSnapshot) -> str:
    """Time, hands and amount of a meal: "8:41, Otter, 1 scoop"."""
    zone = snapshot.site.zone
    there = clock(meal.happened_at, zone)
    at = bare_clock(meal.happened_at, zone) if there.endswith("am") else there
    amount = scoop_words(meal.scoops, meal.amount_words)
    return ", ".join(part for part in (at, meal.hands, amount) if part)


def _again_question(meal: Feeding, fed_at: datetime) -> str:
    who = meal.hands or "Somebody"
    span = fed_at - meal.happened_at
    if timedelta(0) <= span < timedelta(minutes=1):
        return f"{who} fed just now. Did food go in again?"
    if span >= timedelta(0):
        return f"{who} fed {duration(span)} ago. Did food go in again?"
    return f"{who} fed {duration(-span)} after that. Did food go in twice?"


def _apart(first: Feeding, second: Feeding) -> timedelta:
    return second.happened_at - first.happened_at


def _until_next(snapshot: TankSnapshot) -> str:
    """Until when no more food goes in: the next day on which food is planned."""
    for days in range(1, 60):
        day = snapshot.today + timedelta(days=days)
        if is_feed_day(snapshot, day):
            if days == 1:
                return NO_MORE
            name = f"{day:%A}" if days < 7 else f"{day:%A} {day.day} {day:%B}"
            return f"No more food until {name}."
    return "No more food is planned."


def _before_feeding(snapshot: TankSnapshot, knowledge: Knowledge) -> str:
    meal = last(snapshot.feedings)
    portion = snapshot.tank.plan.portion_scoops
    planned = f"Planned: {scoop_words(portion)}."
    if meal is None:
        return planned
    day = local_day(meal.happened_at, snapshot.site.zone)
    if doubled(snapshot, day, knowledge):
        name = day_text(day, snapshot.today)
        return f"Food went in twice {_on(name)}. You may skip one meal today."
    at = when_text(meal.happened_at, snapshot.site.zone, snapshot.as_of)
    return f"{planned} Last fed {at}{f' by {meal.hands}' if meal.hands else ''}."


def _on(day: str) -> str:
    return day if day in {"today", "yesterday"} else f"on {day}"


def days_unfed(snapshot: TankSnapshot, since: date) -> int:
    """How many local days lie between a day and today."""
    return (snapshot.today - since).days


def feed_days_without_meal(snapshot: TankSnapshot, since: date) -> tuple[date, ...]:
    """Whole days after `since` and before today on which food was planned."""
    days = (since + timedelta(days=n) for n in range(1, days_unfed(snapshot, since)))
    return tuple(day for day in days if is_feed_day(snapshot, day))


def unwritten_words(days: Sequence[date], today: date) -> str:
    """The days without a written meal, in words."""
    if len(days) == 1:
        return f"No meal is written for {day_text(days[0], today)}."
    return f"No meal is written for {count(len(days), 'feed day', 'feed days')}."
