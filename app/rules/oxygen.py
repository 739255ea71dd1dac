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
        text += " Look at filter and warmth, and watch their breathing."
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
        Where nobody measured how fast the surface exchanges: below 4 watch, and never more.
        Without an estimate or animals nothing; an estimate never ends anything else.
    Why: at night nobody makes oxygen, and everybody breathes.
    Source: edges as for a test; the estimate shows its inputs where it was made.
    Bad: 4.3 (3.6 to 5.2). Good: 6.4.
    """
    outlook = snapshot.oxygen
    if outlook is None or not snapshot.expected_fish:
        return ()
    severity = _of_estimate(outlook, knowledge)
    if severity is Severity.INFO:
        return ()
    edge = "oxygen.emergency" if outlook.surface_assumed else "oxygen.watch"
    enough = value_text(Quantity.OXYGEN, knowledge.value(edge), snapshot.site)
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
            working=(
                remark(f"Best guess and range: {_range(outlook)}"),
                *([remark(_ASSUMED)] if outlook.surface_assumed else []),
            ),
            limits=_limits(knowledge),
            quantity=Quantity.OXYGEN,
            certain=False,
        ),
    )


_ASSUMED: Final = (
    "How fast the surface takes oxygen is assumed. An evening and a morning reading of oxygen tell."
)


def _of_estimate(outlook: OxygenOutlook, knowledge: Knowledge) -> Severity:
    """How much an estimate may ask for: one that rests on an assumed surface watch at most.

    Ordinary tanks come out between 4 and 6 with the surface of a lake in little wind.
    """
    severity = _band(outlook.best, knowledge)
    if not outlook.surface_assumed:
        return severity
    return Severity.WATCH if severity is Severity.EMERGENCY else Severity.INFO


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
