"""How much food goes in, and from how many hands."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import timedelta
from typing import Final

from app.domain.records import Feeding
from app.domain.snapshot import TankSnapshot
from app.domain.wording import count, decimal, short, with_unit
from app.estimates.bodies import group_mass
from app.knowledge.model import Knowledge
from app.rules.meal import double_days
from app.rules.model import Action, Concern, Evidence, Finding, Rule, Severity, WorkingLine
from app.rules.showing import limit, of_entry, remark

_EPSILON: Final = 1e-9


@dataclass(frozen=True, slots=True)
class Ration:
    """Food a day and what the animals weigh, in grams; None where nobody knows it."""

    grams: float | None
    mass: float | None

    @property
    def percent(self) -> float | None:
        """Food a day as a share of what the animals weigh, in %."""
        if self.grams is None or not self.mass:
            return None
        return self.grams / self.mass * 100.0


def too_much(snapshot: TankSnapshot, knowledge: Knowledge) -> tuple[Finding, ...]:
    """More food goes in than the animals eat.

    What: over 2 % of what they weigh a day, the mean of the seven days that end with the last
        meal, so that an hour before the next meal counts like one after it; or food left at two of
        the last five meals, or two of them eaten in more than 5 minutes. What was seen at meals
        stays until five meals in a row left none; they end the sum as well. Where grams or
        weights are not known the sum is not made, and is asked for beside the other signs.
    Why: what nobody eats turns into ammonia, and its decay takes oxygen.
    Source: 1 to 2 % a day and a few minutes are common practice; the counts are our own choice.
    Bad: food left yesterday and today. Good: left once; or five meals with none left since.
    """
    meals = snapshot.feedings
    clean = _is_clean(meals, knowledge)
    ration = ration_of(snapshot, knowledge)
    percent = ration.percent
    much = percent is not None and percent > knowledge.value("feeding.most-percent") + _EPSILON
    seen = _seen(meals, knowledge)
    if not snapshot.expected_fish or clean or not (much or seen):
        return ()
    said = []
    if seen:
        said.append("The fish leave food, or take long to eat it.")
    if much and percent is not None:
        share = with_unit(decimal(percent, 1), "%")
        said.append(f"Food each day is {share} of what they weigh, by estimate.")
    shown = [m for m in meals[-_last(knowledge) :] if _is_left(m, knowledge)] if seen else []
    return (
        Finding(
            rule_id="feeding.too-much",
            severity=Severity.WATCH,
            action=Action(
                key="portion",
                title="Cut the portion by a third for a week, and write if food is left",
                child_title="Smaller meals this week. Is food left?",
                concern=Concern.ROUTINE,
                door="feed",
            ),
            reason=" ".join(said),
            child_reason="The fish get more than they eat.",
            due_at=shown[-1].happened_at if shown else snapshot.as_of,
            clears_when="Five meals in a row with none left are written.",
            counterfactual="With smaller meals this would not be here.",
            evidence=tuple(of_entry(m, snapshot.site) for m in shown),
            working=_lines(ration),
            limits=(
                limit(knowledge, "feeding.most-percent", "Food a day, of their weight, at most"),
                limit(knowledge, "feeding.left-meals", "Or food left, of the last five"),
                limit(knowledge, "feeding.slow-minutes", "Or eaten in more than"),
                limit(knowledge, "feeding.slow-meals", "So slow at, of the last five"),
            ),
            certain=bool(seen),
        ),
    )


def ration_of(snapshot: TankSnapshot, knowledge: Knowledge) -> Ration:
    """Food a day over the last days, and what the animals weigh by the best guess."""
    return Ration(_grams_a_day(snapshot, knowledge), _mass(snapshot, knowledge))


def many_hands(snapshot: TankSnapshot, knowledge: Knowledge) -> tuple[Finding, ...]:
    """Many people feed, and food goes in twice again and again.

    What: a class in which three or more people fed within seven days, and food went in twice on
        two days or more of the last 30.
    Why: where everybody may feed, nobody knows who did.
    Source: one feeder and one meal a day is the advice of a school welfare guide; the numbers
        are our own choice.
    Bad: four feeders this week, double meals on two days. Good: four feeders, one double meal.
    """
    if snapshot.tank.setting != "class":
        return ()
    week = snapshot.today - timedelta(days=knowledge.value("feeding.hands-days") - 1)
    hands = {f.hands for f in snapshot.feedings if f.local_day >= week and f.hands}
    if len(hands) < knowledge.value("feeding.many-hands"):
        return ()
    month = snapshot.today - timedelta(days=knowledge.value("feeding.doubles-days") - 1)
    twice = double_days(snapshot, month, knowledge)
    if len(twice) < knowledge.value("feeding.doubles"):
        return ()
    times = count(len(twice), "day", "days")
    return (
        Finding(
            rule_id="feeding.many-hands",
            severity=Severity.WATCH,
            action=Action(
                key="one-feeder",
                title="One feeder a day: put up the roster, lock the food",
                child_title="One of us feeds each day. Look at the list.",
                concern=Concern.ROUTINE,
                door="settings",
                adult=True,
            ),
            reason=f"{len(hands)} people fed within a week, and food went in twice on {times} of "
            "a month. One feeder a day: put up the roster, lock the food.",
            child_reason="Food went in twice, more than once.",
            due_at=twice[-1][-1].happened_at,
            clears_when="Within a month food went in twice on fewer than two days.",
            counterfactual="With one feeder a day this would not be here.",
            evidence=tuple(_nameless(m, snapshot) for meals in twice for m in meals),
            working=(
                WorkingLine("People who fed within a week:", str(len(hands))),
                WorkingLine("Days with a double meal:", str(len(twice))),
            ),
            limits=(
                limit(knowledge, "feeding.many-hands", "People who fed, from"),
                limit(knowledge, "feeding.hands-days", "Within"),
                limit(knowledge, "feeding.doubles", "Days with a double meal, from"),
                limit(knowledge, "feeding.doubles-days", "Within"),
            ),
        ),
    )


def _nameless(meal: Feeding, snapshot: TankSnapshot) -> Evidence:
    """A meal as evidence that names nobody: the roster is at fault, no pupil is."""
    return replace(of_entry(meal, snapshot.site), by="")


def _last(knowledge: Knowledge) -> int:
    return int(knowledge.value("feeding.last-meals"))


def _is_slow(meal: Feeding, knowledge: Knowledge) -> bool:
    minutes = meal.minutes_to_eat
    return minutes is not None and minutes > knowledge.value("feeding.slow-minutes")


def _is_left(meal: Feeding, knowledge: Knowledge) -> bool:
    return meal.left_over is True or _is_slow(meal, knowledge)


def _is_clean(meals: Sequence[Feeding], knowledge: Knowledge) -> bool:
    """Whether the last five meals left none, and somebody wrote so for each."""
    newest = meals[-_last(knowledge) :]
    if len(newest) < _last(knowledge):
        return False
    return all(m.left_over is False and not _is_slow(m, knowledge) for m in newest)


def _seen(meals: Sequence[Feeding], knowledge: Knowledge) -> bool:
    """Whether meals showed too much food at some time, and no five good ones came after."""
    most_left = knowledge.value("feeding.left-meals")
    most_slow = knowledge.value("feeding.slow-meals")
    length = _last(knowledge)
    left = [m.left_over is True for m in meals]
    slow = [_is_slow(m, knowledge) for m in meals]
    seen = False
    for end in range(1, len(meals) + 1):
        window = slice(max(0, end - length), end)
        if sum(left[window]) >= most_left or sum(slow[window]) >= most_slow:
            seen = True
        elif seen and _is_clean(meals[window], knowledge):
            seen = False
    return seen


def _grams_a_day(snapshot: TankSnapshot, knowledge: Knowledge) -> float | None:
    """Food a day, up to the last meal; None where the record is shorter, or grams are missing."""
    days = int(knowledge.value("feeding.mean-days"))
    if not snapshot.feedings:
        return None
    first = snapshot.feedings[-1].local_day - timedelta(days=days - 1)
    if snapshot.feedings[0].local_day > first:
        return None
    grams = [f.grams for f in snapshot.feedings if f.local_day >= first]
    known = [g for g in grams if g is not None]
    return sum(known) / days if len(known) == len(grams) else None


def _mass(snapshot: TankSnapshot, knowledge: Knowledge) -> float | None:
    """What all animals weigh; None where one group's length is not known."""
    masses = [group_mass(g, knowledge) for g in snapshot.groups if g.count > 0]
    known = [m.best for m in masses if m is not None]
    return sum(known) if len(known) == len(masses) else None


def _lines(ration: Ration) -> tuple[WorkingLine, ...]:
    """The sum, or what is missing for it."""
    lines: list[WorkingLine] = []
    if ration.grams is None:
        lines.append(
            remark("How much goes in is not known: it takes a week of meals with a weighed scoop.")
        )
    if ration.mass is None:
        lines.append(remark("What they weigh is not known: write which they are, or how long."))
    if ration.grams is not None and ration.mass is not None and ration.percent is not None:
        food, fish = (with_unit(short(round(g, 2)), "g") for g in (ration.grams, ration.mass))
        lines.append(remark("Food a day, of what the animals weigh by their length"))
        share = with_unit(decimal(ration.percent, 1), "%")
        lines.append(WorkingLine(f"{food} ÷ {fish} × 100 =", share))
    return tuple(lines)


RULES: Final = (
    Rule(
        id="feeding.too-much",
        title="More food than they eat",
        why="What nobody eats turns into ammonia.",
        limits=(
            "feeding.most-percent",
            "feeding.mean-days",
            "feeding.last-meals",
            "feeding.left-meals",
            "feeding.slow-minutes",
            "feeding.slow-meals",
            "body.usual-a",
            "body.usual-b",
            "body.spread",
        ),
        check=too_much,
        lesson="Fish have small tummies. A little food is enough.",
    ),
    Rule(
        id="feeding.many-hands",
        title="Many people feed",
        why="Where everybody may feed, nobody knows who did.",
        limits=(
            "feeding.many-hands",
            "feeding.hands-days",
            "feeding.doubles",
            "feeding.doubles-days",
        ),
        check=many_hands,
        lesson="One of us feeds each day. That is fair to fish.",
    ),
)
