"""Equipment: a check that somebody set a day for. Monthly rounds are routine jobs."""

from datetime import date, timedelta
from typing import Final

from app.domain.calendar import day_start
from app.domain.kit import Equipment
from app.domain.snapshot import TankSnapshot
from app.domain.wording import full_day
from app.knowledge.model import Knowledge
from app.rules.model import Action, Concern, Evidence, Finding, Rule, Severity
from app.rules.showing import limit, own_limit


def next_check(snapshot: TankSnapshot, knowledge: Knowledge) -> tuple[Finding, ...]:
    """The day set for the check of a device has come.

    What: from its day on a reminder, after 30 more days watch; devices put away do not count.
    Why: heaters stick, valves clog and seals age without a sound.
    Source: the day is the household's own; the days until watch are our own choice.
    Bad: check set for 1 March, now 5 March. Good: set for next month, or no day set.
    """
    found = [
        check_came(
            device.name or device.kind.replace("_", " "),
            device.next_check_on,
            snapshot,
            knowledge,
            rule_id="equipment.next-check",
            action=_action(device),
        )
        for device in snapshot.equipment
        if device.retired_on is None
    ]
    return tuple(f for f in found if f is not None)


def check_came(
    name: str,
    day: date | None,
    snapshot: TankSnapshot,
    knowledge: Knowledge,
    *,
    rule_id: str,
    action: Action,
) -> Finding | None:
    """That the day set for a check has come; None before it, or where no day is set."""
    if day is None or day > snapshot.today:
        return None
    allowed = timedelta(days=knowledge.value("equipment.check-late-days"))
    return Finding(
        rule_id=rule_id,
        severity=Severity.WATCH if snapshot.today - day > allowed else Severity.INFO,
        action=action,
        reason=f"Its check was set for {full_day(day)}.",
        child_reason="Somebody set this day for a check.",
        due_at=day_start(day, snapshot.site.zone),
        clears_when="A new day for its next check is set.",
        counterfactual="With a later day set this would not be here.",
        evidence=(Evidence(f"{name}: next check {full_day(day)}"),),
        limits=(
            own_limit(f"Next check {full_day(day)}"),
            limit(knowledge, "equipment.check-late-days", "Watch so long after it"),
        ),
    )


def _action(device: Equipment) -> Action:
    return Action(
        key=f"equipment-{device.id}",
        title=f"Check: {device.name or device.kind.replace('_', ' ')}",
        child_title="A grown-up checks a device.",
        concern=Concern.ROUTINE,
        door="equipment",
        adult=True,
        cautions=("electricity", "heater") if device.kind == "heater" else ("electricity",),
    )


RULES: Final = (
    Rule(
        id="equipment.next-check",
        title="A device is due for its check",
        why="Things break without a sound.",
        limits=("equipment.check-late-days",),
        check=next_check,
        lesson="Looking after tools is part of the job.",
    ),
)
