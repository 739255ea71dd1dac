"""Where nitrate will settle: from the food, the water and the plan for changes."""

from typing import Final

from app.domain.quantities import Quantity
from app.domain.snapshot import TankSnapshot
from app.domain.wording import decimal, listed, short, value_text, with_unit
from app.estimates.model import NOT_MEASURED
from app.estimates.nitrate_from_food import NitrateOutlook, outlook
from app.knowledge.model import Knowledge
from app.rules.model import Action, Concern, Evidence, Finding, Rule, Severity, WorkingLine
from app.rules.showing import days_text, limit, own_limit, remark
from app.science.dilution import CannotBeReached
from app.science.nitrogen import fraction_for_peak


def peak(snapshot: TankSnapshot, knowledge: Knowledge) -> tuple[Finding, ...]:
    """At this feeding and this plan nitrate will settle too high.

    What: the predicted peak before each planned change lies above 50 mg/L: watch. Food of the
        last two weeks; no plants are counted. Where an input is missing nothing is said here;
        the nitrate finding names what is missing.
    Why: a plan that is too small shows only after months.
    Source: Timmons and Ebeling 2013 for the nitrogen of food; the sum is a geometric series.
    Bad: 0.6 g a day of 45 % protein in 40 L, a quarter a week: over 80. Good: 0.14 g: 28.
    """
    ahead = outlook(snapshot, knowledge)
    act = knowledge.value("nitrate.act")
    if ahead.missing or ahead.best <= act:
        return ()
    most = value_text(Quantity.NITRATE, act, snapshot.site)
    less_food, advice = _advice(ahead, snapshot, knowledge)
    return (
        Finding(
            rule_id="water.nitrate-peak",
            severity=Severity.WATCH,
            action=Action(
                key="change-plan",
                title="Feed less, or plan fewer animals"
                if less_food
                else "Plan more water for each change, or less food",
                child_title="A grown-up looks at the plan.",
                concern=Concern.ROUTINE,
                door="plan",
                adult=True,
            ),
            reason=(
                f"By the food alone nitrate settles at {_range(ahead)} before each change: "
                f"{NOT_MEASURED}. {advice}"
            ),
            child_reason="Much food makes much waste.",
            due_at=snapshot.as_of,
            clears_when=f"Food and plan settle nitrate at {most} or less.",
            counterfactual=f"With a peak of {most} or less this would not be here.",
            evidence=(Evidence(f"Food of each day: {with_unit(decimal(ahead.grams, 2), 'g')}"),),
            working=_working(ahead, snapshot),
            limits=(
                limit(knowledge, "nitrate.act", "Watch over a predicted peak of"),
                limit(knowledge, "nitrate.most-share", "A change never needs more than"),
                own_limit(
                    f"Plan: {with_unit(short(snapshot.tank.plan.water_change_percent), '%')} "
                    f"every {days_text(snapshot.tank.plan.water_change_days)}"
                ),
            ),
            quantity=Quantity.NITRATE,
            certain=False,
        ),
    )


def missing_words(snapshot: TankSnapshot, knowledge: Knowledge) -> str:
    """Why nobody can say how much to change each time, or "" where it can be said."""
    missing = outlook(snapshot, knowledge).missing
    if not missing or not snapshot.feedings:
        return ""
    return f"How much to change each time cannot be told: unknown is {listed(missing)}."


def _advice(
    ahead: NitrateOutlook, snapshot: TankSnapshot, knowledge: Knowledge
) -> tuple[bool, str]:
    """Whether less food is the answer, and the sentence that says what is needed."""
    days = snapshot.tank.plan.water_change_days
    try:
        share = fraction_for_peak(knowledge.value("nitrate.act"), ahead.tap, ahead.rise, days)
    except CannotBeReached:
        share = 1.0
    if share > knowledge.value("nitrate.most-share") / 100.0:
        return True, "Less food or fewer animals help, more water does not."
    percent = with_unit(decimal(share * 100.0, 0), "%")
    return False, f"At this feeding you need about {percent} every {days_text(days)}."


def _range(ahead: NitrateOutlook) -> str:
    low, best = decimal(ahead.low, 0), decimal(ahead.best, 0)
    return f"{best} ({low} to {with_unit(decimal(ahead.high, 0), 'mg/L')})"


def _working(ahead: NitrateOutlook, snapshot: TankSnapshot) -> tuple[WorkingLine, ...]:
    plan = snapshot.tank.plan
    share = decimal(plan.water_change_percent / 100.0, 2)
    rise = with_unit(decimal(ahead.rise, 2), "mg/L")
    return (
        remark("What the food makes in a day, before plants take any"),
        WorkingLine(f"{with_unit(decimal(ahead.grams, 2), 'g')} of food gives", rise),
        remark("Where it settles before each change"),
        WorkingLine(
            f"{short(ahead.tap)} + {plan.water_change_days} × {decimal(ahead.rise, 2)} ÷ {share} =",
            with_unit(decimal(ahead.best, 0), "mg/L"),
        ),
    )


RULES: Final = (
    Rule(
        id="water.nitrate-peak",
        title="Nitrate will settle too high",
        why="A plan that is too small shows only after months.",
        limits=(
            "nitrate.act",
            "nitrate.feed-days",
            "nitrate.feed-least-days",
            "nitrate.rise-low",
            "nitrate.rise-high",
            "nitrate.most-share",
        ),
        check=peak,
        lesson="Food in is waste out. Only plants and new water take it.",
    ),
)
