"""Runs every rule on a snapshot and says how the tank stands, what is due, and until when."""

from collections.abc import Sequence
from datetime import datetime, timedelta

from app.domain.calendar import next_midnight
from app.domain.quantities import FACTS, Quantity
from app.domain.snapshot import TankSnapshot, last
from app.domain.wording import duration, in_sentence, listed
from app.knowledge.model import Knowledge
from app.rules.freshness import LOOK, freshness, matters
from app.rules.look import last_looked
from app.rules.meal import meal_answer
from app.rules.model import Evaluation, Finding, Freshness, Severity, State, Task
from app.rules.plan import finding_place, plan, rests
from app.rules.registry import RULES

_LINES = {
    State.STEADY: "All calm.",
    State.WATCH: "Keep an eye on it.",
    State.ACT: "Something needs doing.",
    State.ACT_NOW: "Do the first step at once.",
    State.DONT_KNOW: "Nobody has looked yet.",
}
# an adult who reads is the grown-up
_CHILD_LINES = _LINES | {
    State.ACT: "Get a grown-up now.",
    State.ACT_NOW: "Get a grown-up. Do the first step at once.",
}


def evaluate(snapshot: TankSnapshot, knowledge: Knowledge) -> Evaluation:
    """All that can be said of a tank as of the snapshot's moment."""
    findings = find(snapshot, knowledge)
    rows = freshness(snapshot, knowledge)
    tasks = plan(findings, snapshot, knowledge)
    state = state_of(findings, rows, snapshot)
    return Evaluation(
        state=state,
        state_line=_state_line(state, findings, rows, snapshot),
        child_line=_state_line(state, findings, rows, snapshot, for_child=True),
        rest_line=_rest_line(state, rows, snapshot),
        tasks=tasks,
        meal=meal_answer(snapshot, knowledge),
        freshness=rows,
        holds_until=_holds_until(snapshot, rows, knowledge),
        notes=tuple(f for f in findings if not f.action.door),
    )


def find(snapshot: TankSnapshot, knowledge: Knowledge) -> tuple[Finding, ...]:
    """What all rules find, the strongest first, without what rests today."""
    found = (f for rule in RULES for f in rule.check(snapshot, knowledge))
    found = (f for f in found if not rests(f, snapshot))
    return tuple(sorted(found, key=finding_place))


def state_of(
    findings: Sequence[Finding], rows: Sequence[Freshness], snapshot: TankSnapshot
) -> State:
    """The first that applies: Act now, Act, Don't know, Watch, Steady."""
    worst = max((f.severity for f in findings), default=Severity.INFO)
    stale = {r.name for r in rows if _is_stale(r, snapshot)}
    if worst is Severity.EMERGENCY:
        return State.ACT_NOW
    if worst is Severity.ACT:
        return State.ACT
    if LOOK in stale:
        return State.DONT_KNOW
    return State.WATCH if worst is Severity.WATCH or stale else State.STEADY


def first_reason(tasks: Sequence[Task]) -> str:
    """Why the first task is there, or "" where nothing is due."""
    return tasks[0].findings[0].reason if tasks else ""


def _is_stale(row: Freshness, snapshot: TankSnapshot) -> bool:
    return matters(snapshot, row.name) and not row.is_fresh(snapshot.as_of)


def _state_line(
    state: State,
    findings: Sequence[Finding],
    rows: Sequence[Freshness],
    snapshot: TankSnapshot,
    *,
    for_child: bool = False,
) -> str:
    line = (_CHILD_LINES if for_child else _LINES)[state]
    if state is State.STEADY:
        return f"{line} What we looked at and tested is inside our range."
    if state is State.DONT_KNOW:
        return line
    strong = [f for f in findings if f.severity >= Severity.WATCH]
    if strong:
        reason = strong[0].child_reason if for_child else strong[0].reason
        return f"{line} {reason}"
    stale = [r.label for r in rows if _is_stale(r, snapshot)]
    return f"{line} Too old to tell: {listed([in_sentence(s) for s in stale])}."


def _rest_line(state: State, rows: Sequence[Freshness], snapshot: TankSnapshot) -> str:
    if state is State.DONT_KNOW or last(snapshot.observations) is None:
        return last_looked(snapshot)
    look = snapshot.observations[-1]
    seen = "" if look.seen is None else f": {look.seen} of {snapshot.expected_fish} fish"
    calm = ", breathing calm" if seen and look.breathing_calm else ""
    age = snapshot.age_of(look.happened_at)
    ago = "just now" if age < timedelta(minutes=1) else f"{duration(age)} ago"
    text = f"Looked at {ago}{seen}{calm}."
    stale = [
        FACTS[Quantity(r.name)].label for r in rows if _is_stale(r, snapshot) and r.name != LOOK
    ]
    if stale:
        text += f" Don’t know: {listed([in_sentence(s) for s in stale])}."
    return text


def _holds_until(
    snapshot: TankSnapshot, rows: Sequence[Freshness], knowledge: Knowledge
) -> datetime:
    """The earliest later moment at which time alone could change the evaluation."""
    limits = [next_midnight(snapshot.as_of, snapshot.site.zone)]
    limits += [r.keeps_until for r in rows if r.keeps_until is not None]
    for rule in RULES:
        moment = rule.holds_until(snapshot, knowledge) if rule.holds_until else None
        if moment is not None:
            limits.append(moment)
    return min(m for m in limits if m > snapshot.as_of)
