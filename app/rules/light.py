"""The lamp: on for too long."""

from typing import Final

from app.domain.snapshot import TankSnapshot, last_where
from app.domain.wording import short, with_unit
from app.knowledge.model import Knowledge
from app.rules.model import Action, Concern, Evidence, Finding, Rule, Severity
from app.rules.showing import limit, of_entry


def too_long(snapshot: TankSnapshot, knowledge: Knowledge) -> tuple[Finding, ...]:
    """The lamp is on for too long.

    What: over 10 hours a day while the last look that says so found many algae (2 or 3 of 3),
        or over 12 hours anyway; a reminder only. Unknown hours say nothing.
    Why: light that plants do not use feeds algae.
    Source: common practice, no single source.
    Bad: 11 hours and algae 2. Good: 9 hours.
    """
    hours = snapshot.tank.light_hours
    look = last_where(snapshot.observations, lambda o: o.algae is not None)
    algae = look is not None and (look.algae or 0) >= knowledge.value("lamp.algae")
    if hours is None or hours <= knowledge.value("lamp.long-hours"):
        return ()
    if not algae and hours <= knowledge.value("lamp.longest-hours"):
        return ()
    long = with_unit(short(knowledge.value("lamp.long-hours")), "h")
    return (
        Finding(
            rule_id="light.long",
            severity=Severity.INFO,
            action=Action(
                key="light-hours",
                title="Set the lamp’s timer to eight hours",
                child_title="The light is on for a long time.",
                concern=Concern.ROUTINE,
                door="settings",
                cautions=("electricity",),
            ),
            reason=f"The lamp is on for {with_unit(short(hours), 'h')} a day"
            + (", and there are many algae." if algae else "."),
            child_reason="Too much light feeds green slime.",
            due_at=snapshot.as_of if look is None else look.happened_at,
            clears_when=f"The light hours of the tank are {long} or fewer.",
            counterfactual=f"With {long} or fewer this would not be here.",
            evidence=(
                Evidence(f"Light hours of the tank: {short(hours)}"),
                *((of_entry(look, snapshot.site),) if algae and look is not None else ()),
            ),
            limits=(
                limit(knowledge, "lamp.long-hours", "With many algae, at most"),
                limit(knowledge, "lamp.longest-hours", "At most"),
                limit(knowledge, "lamp.algae", "Many algae are from"),
            ),
        ),
    )


RULES: Final = (
    Rule(
        id="light.long",
        title="Long light",
        why="Light that plants do not use feeds algae.",
        limits=("lamp.long-hours", "lamp.longest-hours", "lamp.algae"),
        check=too_long,
        lesson="Plants need sleep too: eight hours of light do.",
    ),
)
