"""Who is in charge of a class tank."""

from datetime import timedelta
from typing import Final

from app.domain.records import StockEvent
from app.domain.snapshot import TankSnapshot
from app.domain.wording import listed
from app.knowledge.model import Knowledge
from app.rules.model import Action, Concern, Evidence, Finding, Rule, Severity
from app.rules.newcomers import new_arrivals
from app.rules.showing import limit, of_entry


def unnamed(snapshot: TankSnapshot, knowledge: Knowledge) -> tuple[Finding, ...]:
    """Nobody is named as the adult in charge of a class tank, or as deputy.

    What: a class tank without adult or deputy. A reminder that stays until both are named; with
        animals that came within 14 days act where the adult is missing, watch where only the
        deputy is. It asks and goes on asking, and keeps no true record out.
    Why: animals need somebody who answers for them, also in August.
    Source: the duty of care in animal welfare law; the days are our own choice, and that a
        missing deputy is only watched: there is somebody who answers. Without new
        animals it only reminds: a state that no old record could leave would soon be ignored.
    Bad: new fish yesterday, no adult named. Good: adult and deputy named.
    """
    tank = snapshot.tank
    if tank.setting != "class" or (tank.adult and tank.deputy):
        return ()
    missing = [what for what, who in (("adult", tank.adult), ("deputy", tank.deputy)) if not who]
    came = _lately(snapshot, knowledge)
    severity = Severity.INFO
    if came:
        severity = Severity.WATCH if tank.adult else Severity.ACT
    return (
        Finding(
            rule_id="charge.unnamed",
            severity=severity,
            action=Action(
                key="charge",
                title="Name the adult in charge and a deputy before new fish come",
                child_title="Which grown-up looks after the fish?",
                concern=Concern.ROUTINE,
                door="settings",
                adult=True,
            ),
            reason=f"Nobody is named as {listed(missing)}. Animals need somebody who answers for "
            "them, in breaks too.",
            child_reason="Fish need a grown-up who looks after them.",
            due_at=came[-1].happened_at if came else snapshot.as_of,
            clears_when="An adult and a deputy are named.",
            counterfactual="With both named this would not be here.",
            evidence=(
                Evidence(f"Nobody is named as {listed(missing)}"),
                *(of_entry(e, snapshot.site) for e in came),
            ),
            limits=(limit(knowledge, "charge.arrival-days", "Pressing where animals came within"),),
        ),
    )


def _lately(snapshot: TankSnapshot, knowledge: Knowledge) -> tuple[StockEvent, ...]:
    days = timedelta(days=knowledge.value("charge.arrival-days"))
    return tuple(e for e in new_arrivals(snapshot) if snapshot.today - e.local_day <= days)


RULES: Final = (
    Rule(
        id="charge.unnamed",
        title="Nobody is named for a class tank",
        why="Animals need somebody who answers for them.",
        limits=("charge.arrival-days",),
        check=unnamed,
        lesson="Each pet needs a person who looks after it.",
    ),
)
