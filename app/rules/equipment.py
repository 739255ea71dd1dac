"""Equipment: a check that somebody set a day for. Monthly rounds are routine jobs."""

from datetime import timedelta
from typing import Final

from app.domain.calendar import day_start
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
    found = []
    allowed = timedelta(days=knowledge.value("equipment.check-late-days"))
    for device in snapshot.equipment:
        day = device.next_check_on
        if day is None or device.retired_on is not None or day > snapshot.today:
            continue
        behind = snapshot.today - day > allowed
        name = device.name or device.kind.replace("_", " ")
        found.append(
            Finding(
                rule_id="equipment.next-check",
                severity=Severity.WATCH if behind else Severity.INFO,
                action=Action(
                    key=f"equipment-{device.id}",
                    title=f"Check: {name}",
                    child_title="A grown-up checks a device.",
                    concern=Concern.ROUTINE,
                    door="equipment",
                    adult=True,
                    cautions=("electricity", "heater")
                    if device.kind == "heater"
                    else ("electricity",),
                ),
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
        )
    return tuple(found)


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
