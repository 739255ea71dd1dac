"""Something odd that was seen: what to do first, and which calm looks end it.

Each sign is one rule made from a row of `SIGNS`. A sign stays until two later looks, at least
two hours apart, do not show it; a sign of power or leak until one later look does not.
"""

from collections.abc import Callable
from datetime import timedelta
from typing import Final

from app.domain.records import Observation, Sign
from app.domain.snapshot import TankSnapshot
from app.domain.wording import when_text
from app.knowledge.model import Knowledge
from app.rules.model import Action, Finding, Rule, Severity
from app.rules.showing import limit, of_entry
from app.rules.sign_advice import SignAdvice
from app.rules.signs_of_animals import ANIMALS
from app.rules.signs_of_tank import TANK

ROOT: Final = "sign"


SIGNS: Final = (*ANIMALS, *TANK)


def check(advice: SignAdvice, snapshot: TankSnapshot, knowledge: Knowledge) -> tuple[Finding, ...]:
    """A sign was seen and not yet followed by enough looks without it.

    What: the newest look with the sign, and the looks after it.
    Why: children see before tests do.
    Source: first actions that harm next to nothing, common practice; `knowledge/livestock.toml`.
    Bad: gasping ten minutes ago. Good: two calm looks two hours apart after it.
    """
    shown = snapshot.last_with(advice.sign)
    if shown is None or _ended(advice, shown, snapshot, knowledge):
        return ()
    at = when_text(shown.happened_at, snapshot.site.zone, snapshot.as_of)
    return (
        Finding(
            rule_id=rule_id(advice.sign),
            severity=advice.severity,
            action=Action(
                key=advice.key or rule_id(advice.sign).replace(".", "-"),
                title=advice.title,
                child_title=advice.child,
                concern=advice.concern,
                door="job" if advice.job else "look",
                job=advice.job.value if advice.job else "",
                adult=advice.severity >= Severity.ACT,
                cautions=advice.cautions,
            ),
            reason=f"{advice.seen}, written {at}. {advice.more}",
            child_reason=f"It was written down {at}.",
            due_at=shown.happened_at,
            clears_when=_clears(advice),
            counterfactual="Without this sign it would not be here.",
            evidence=(of_entry(shown, snapshot.site),),
            limits=(limit(knowledge, "signs.calm-hours", "Calm looks so far apart"),)
            if advice.looks > 1
            else (),
        ),
    )


def rule_id(sign: Sign) -> str:
    """The id of a sign's rule."""
    return f"{ROOT}.{sign.value.replace('_', '-')}"


def rules() -> tuple[Rule, ...]:
    """One rule for each sign."""
    return tuple(
        Rule(
            id=rule_id(advice.sign),
            title=advice.seen,
            why=advice.more,
            limits=("signs.calm-hours",) if advice.looks > 1 else (),
            check=_check_of(advice),
            lesson=advice.lesson,
        )
        for advice in SIGNS
    )


def _check_of(
    advice: SignAdvice,
) -> Callable[[TankSnapshot, Knowledge], tuple[Finding, ...]]:
    def check_sign(snapshot: TankSnapshot, knowledge: Knowledge) -> tuple[Finding, ...]:
        return check(advice, snapshot, knowledge)

    check_sign.__doc__ = check.__doc__  # one check serves all signs
    return check_sign


def _clears(advice: SignAdvice) -> str:
    if advice.looks > 1:
        return "Two later looks, two hours apart, no longer show it."
    who = " by a grown-up" if advice.grown_up else ""
    other = ", or the job is written" if advice.job else ""
    return f"A later look{who} no longer shows it{other}."


def _ended(
    advice: SignAdvice, shown: Observation, snapshot: TankSnapshot, knowledge: Knowledge
) -> bool:
    if advice.job and any(j.happened_at > shown.happened_at for j in snapshot.jobs_of(advice.job)):
        return True
    later = [
        o
        for o in snapshot.observations
        if o.happened_at > shown.happened_at
        and o.breathing_calm is not False
        and (o.by_adult or not advice.grown_up)
    ]
    if advice.looks == 1 or not later:
        return bool(later)
    hours = timedelta(hours=knowledge.value("signs.calm-hours"))
    return later[-1].happened_at - later[0].happened_at >= hours


RULES: Final = rules()
