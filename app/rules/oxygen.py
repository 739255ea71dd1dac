"""Oxygen: what a test says, and what the coming night may bring by estimate."""

from typing import Final

from app.domain.outlook import OxygenOutlook
from app.domain.quantities import Quantity
from app.domain.records import Reading
from app.domain.snapshot import TankSnapshot
from app.domain.wording import decimal, reading_text, value_text, with_unit
from app.knowledge.model import Knowledge
from app.rules.model import Action, Concern, Evidence, Finding, LimitShown, Rule, Severity
from app.rules.showing import limit, of_reading, remark, worst

AIR: Final = Action(
    key="more-air",
    title="More air: raise the outlet, run an air pump",
    child_title="The fish need more air. Get a grown-up.",
    concern=Concern.LIFE_SUPPORT,
    door="test",
    adult=True,
    cautions=("electricity",),
)


def level(snapshot: TankSnapshot, knowledge: Knowledge) -> tuple[Finding, ...]:
    """A test found little oxygen.

    What: below 6 mg/L watch, below 5 act, below 4 now; what a card could mean at its low end
        raises watch at most. Only a later test ends it, never an estimate.
    Why: fish breathe it, and so do the filter's bacteria.
    Source: Francis-Floyd, UF/IFAS FA27; the upper edge from memory.
    Bad: 4.5. Good: 7.8.
    """
    newest, severity = worst(snapshot.of(Quantity.OXYGEN), lambda r: _of_test(r, knowledge))
    if newest is None or severity is Severity.INFO:
        return ()
    enough = value_text(Quantity.OXYGEN, knowledge.value("oxygen.watch"), snapshot.site)
    text = f"Oxygen is {reading_text(newest, snapshot.site)}."
    if severity >= Severity.ACT:
        text += " No food now. Look at filter and warmth, and watch their breathing."
    return (
        Finding(
            rule_id="water.oxygen",
            severity=severity,
            action=AIR,
            reason=text,
            child_reason="There is little air in the water.",
            due_at=newest.at,
            clears_when=f"An oxygen test of {enough} or more is written, with a kit in date.",
            counterfactual=f"With oxygen at {enough} or more this would not be here.",
            evidence=(of_reading(newest, snapshot),),
            limits=_limits(knowledge),
            quantity=Quantity.OXYGEN,
        ),
    )


def night(snapshot: TankSnapshot, knowledge: Knowledge) -> tuple[Finding, ...]:
    """By estimate the oxygen of the coming night gets low.

    What: the best guess of the lowest oxygen: below 6 mg/L watch, below 5 act, below 4 now.
        Without an estimate nothing; an estimate never ends anything else.
    Why: at night nobody makes oxygen, and everybody breathes.
    Source: edges as for a test; the estimate shows its inputs where it was made.
    Bad: 4.3 (3.6 to 5.2). Good: 6.4.
    """
    outlook = snapshot.oxygen
    if outlook is None:
        return ()
    severity = _band(outlook.best, knowledge)
    if severity is Severity.INFO:
        return ()
    enough = value_text(Quantity.OXYGEN, knowledge.value("oxygen.watch"), snapshot.site)
    return (
        Finding(
            rule_id="oxygen.night",
            severity=severity,
            action=AIR,
            reason=f"The lowest oxygen of the coming night is an estimate: {_range(outlook)}. "
            "Raise the outlet until the surface ripples, and run air at night.",
            child_reason="At night there may be little air. It is a guess.",
            due_at=snapshot.as_of,
            clears_when=f"The estimate is {enough} or more, as with more air or less load.",
            counterfactual=f"With an estimate of {enough} or more this would not be here.",
            evidence=(Evidence("Estimate of the coming night, not measured"),),
            working=(remark(f"Best guess and range: {_range(outlook)}"),),
            limits=_limits(knowledge),
            quantity=Quantity.OXYGEN,
            certain=False,
        ),
    )


def _range(outlook: OxygenOutlook) -> str:
    low, best = decimal(outlook.low, 1), decimal(outlook.best, 1)
    return f"{best} ({low} to {with_unit(decimal(outlook.high, 1), 'mg/L')})"


def _of_test(test: Reading, knowledge: Knowledge) -> Severity:
    decided = _band(test.best, knowledge)
    could_be = min(_band(test.least, knowledge), Severity.WATCH)
    return max(decided, could_be if test.least < knowledge.value("oxygen.act") else Severity.INFO)


def _band(value: float, knowledge: Knowledge) -> Severity:
    for severity, key in (
        (Severity.EMERGENCY, "oxygen.emergency"),
        (Severity.ACT, "oxygen.act"),
        (Severity.WATCH, "oxygen.watch"),
    ):
        if value < knowledge.value(key):
            return severity
    return Severity.INFO


def _limits(knowledge: Knowledge) -> tuple[LimitShown, ...]:
    return (
        limit(knowledge, "oxygen.watch", "Watch below"),
        limit(knowledge, "oxygen.act", "Act below"),
        limit(knowledge, "oxygen.emergency", "Act now below"),
    )


_NUMBERS: Final = ("oxygen.watch", "oxygen.act", "oxygen.emergency")

RULES: Final = (
    Rule(
        id="water.oxygen",
        title="Little oxygen",
        why="Fish and filter breathe it.",
        limits=_NUMBERS,
        check=level,
        lesson="Fish breathe air that hides in the water.",
    ),
    Rule(
        id="oxygen.night",
        title="Little oxygen at night, by estimate",
        why="At night everybody breathes and no plant helps.",
        limits=_NUMBERS,
        check=night,
        lesson="In the dark plants use up air too.",
    ),
)
