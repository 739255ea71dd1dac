"""Something odd that was seen: what to do first, and which calm looks end it.

Each sign is one rule made from a row of `SIGNS`. A sign stays until two later looks, at least
two hours apart, do not show it; a sign of power or leak until one later look does not.
"""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import timedelta
from typing import Final

from app.domain.records import JobKind, Observation, Sign
from app.domain.snapshot import TankSnapshot, last
from app.domain.wording import when_text
from app.knowledge.model import Knowledge
from app.rules.model import Action, Concern, Finding, Rule, Severity
from app.rules.plan import FILTER_KEY
from app.rules.showing import limit, of_entry

ROOT: Final = "sign"


@dataclass(frozen=True, slots=True, kw_only=True)
class SignAdvice:
    """What a sign asks for.

    `looks` is how many calm looks end it; with `grown_up` only a grown-up's look counts. `key`
    and `job` name the job that asks for the same and ends it too.
    """

    sign: Sign
    seen: str
    severity: Severity
    concern: Concern
    title: str
    child: str
    more: str
    cautions: tuple[str, ...] = ()
    looks: int = 2
    grown_up: bool = False
    key: str = ""
    job: JobKind | None = None


SIGNS: Final = (
    SignAdvice(
        sign=Sign.GASPING,
        seen="Fish gasp at the surface",
        severity=Severity.EMERGENCY,
        concern=Concern.LIFE_SUPPORT,
        title="Air on now",
        child="Air on now. Get a grown-up.",
        more="No food. Look at filter and warmth, then test nitrite and ammonia. "
        "No better in two hours: ask a veterinarian or an aquatic health professional.",
        cautions=("electricity", "hands"),
    ),
    SignAdvice(
        sign=Sign.TINGLE,
        seen="The water tingles",
        severity=Severity.EMERGENCY,
        concern=Concern.LIFE_SUPPORT,
        title="Hands off. Power off at the breaker, a grown-up",
        child="Hands off! Get a grown-up.",
        more="Then unplug, and have an electrician look before anybody reaches in.",
        cautions=("electricity",),
        looks=1,
        grown_up=True,
    ),
    SignAdvice(
        sign=Sign.LEAK,
        seen="Water is where it should not be",
        severity=Severity.EMERGENCY,
        concern=Concern.LIFE_SUPPORT,
        title="Find the leak. Keep away from wet plugs",
        child="Water is on the floor. Get a grown-up.",
        more="Power off at the breaker if a plug is wet. Feel the seams, dry the floor.",
        cautions=("electricity",),
        looks=1,
        grown_up=True,
    ),
    SignAdvice(
        sign=Sign.FILTER_OFF,
        seen="The filter does not run",
        severity=Severity.ACT,
        concern=Concern.LIFE_SUPPORT,
        title="Start the filter, or run an air pump",
        child="The filter stopped. Get a grown-up.",
        more="No food. Off for over six hours: rinse the sponge in tank water first.",
        cautions=("filter", "electricity"),
        looks=1,
    ),
    SignAdvice(
        sign=Sign.HEATER_OFF,
        seen="The heater does not work",
        severity=Severity.ACT,
        concern=Concern.LIFE_SUPPORT,
        title="Look at the heater, its plug and the thermometer",
        child="The heater is off. Get a grown-up.",
        more="Warm the tank slowly when it works again.",
        cautions=("heater", "electricity"),
        looks=1,
    ),
    SignAdvice(
        sign=Sign.WHITE_SPOTS,
        seen="White spots like grains",
        severity=Severity.EMERGENCY,
        concern=Concern.DISEASE,
        title="Ask a veterinarian today: white spots",
        child="White spots. Get a grown-up.",
        more="It spreads fast. More air. Nets and hands stay out of other tanks.",
        cautions=("treatment", "hands"),
    ),
    SignAdvice(
        sign=Sign.WOUNDS,
        seen="Wounds, tufts or swelling",
        severity=Severity.ACT,
        concern=Concern.DISEASE,
        title="Test the water, and ask a veterinarian today",
        child="A fish is hurt. Get a grown-up.",
        more="Gloves on: some germs pass to people.",
        cautions=("treatment", "hands"),
    ),
    SignAdvice(
        sign=Sign.DEAD_FISH,
        seen="A fish seems to have died",
        severity=Severity.ACT,
        concern=Concern.DISEASE,
        title="Take the fish out with net and gloves, a grown-up",
        child="Get a grown-up. Nobody is in trouble.",
        more="Then write it under the animals, test the water and count the others.",
        cautions=("dead_fish", "hands"),
        looks=1,
        grown_up=True,
    ),
    SignAdvice(
        sign=Sign.CLAMPED_FINS,
        seen="Fins held tight",
        severity=Severity.WATCH,
        concern=Concern.DISEASE,
        title="Test the water, and look again tomorrow: fins held tight",
        child="Fins are held tight. Look again tomorrow.",
        more="Longer than two days, or more fish: ask a veterinarian.",
    ),
    SignAdvice(
        sign=Sign.HIDING,
        seen="Fish hide or are pale",
        severity=Severity.WATCH,
        concern=Concern.DISEASE,
        title="Test the water, and look again tomorrow: hiding",
        child="Fish hide. Look again tomorrow.",
        more="New fish? A bully? Shade helps.",
    ),
    SignAdvice(
        sign=Sign.CLOUDY,
        seen="The water is cloudy",
        severity=Severity.WATCH,
        concern=Concern.TOXINS,
        title="Test ammonia and nitrite: cloudy water",
        child="The water is cloudy. Ask a grown-up to test.",
        more="Feed half. Look for leftover food.",
    ),
    SignAdvice(
        sign=Sign.SMELL,
        seen="The water smells bad",
        severity=Severity.WATCH,
        concern=Concern.TOXINS,
        title="Look for leftovers, test ammonia: a smell",
        child="It smells. Ask a grown-up to look.",
        more="Leftover food, a leaf or an animal may lie hidden.",
    ),
    SignAdvice(
        sign=Sign.FILM,
        seen="A film on the surface",
        severity=Severity.WATCH,
        concern=Concern.LIFE_SUPPORT,
        title="Make the surface ripple: a film",
        child="There is a film on top.",
        more="Raise the outlet. A paper towel lifts the film off.",
        cautions=("hands",),
        looks=1,
    ),
    SignAdvice(
        sign=Sign.FILTER_SLOW,
        seen="The filter flows slowly",
        severity=Severity.WATCH,
        concern=Concern.ROUTINE,
        title="Rinse the filter sponge in tank water",
        child="The filter is slow. Tell a grown-up.",
        more="Never under the tap.",
        cautions=("filter", "hands", "electricity"),
        looks=1,
        key=FILTER_KEY,
        job=JobKind.FILTER_RINSE,
    ),
    SignAdvice(
        sign=Sign.OTHER,
        seen="Something odd",
        severity=Severity.WATCH,
        concern=Concern.LOOK,
        title="Look again: something odd was seen",
        child="Something was odd. Look again.",
        more="Read the note, look, and test the water if in doubt.",
        looks=1,
    ),
)


def check(advice: SignAdvice, snapshot: TankSnapshot, knowledge: Knowledge) -> tuple[Finding, ...]:
    """A sign was seen and not yet followed by enough looks without it.

    What: the newest look with the sign, and the looks after it.
    Why: children see before tests do.
    Source: first actions that harm next to nothing, common practice; `knowledge/livestock.toml`.
    Bad: gasping ten minutes ago. Good: two calm looks two hours apart after it.
    """
    shown = last([o for o in snapshot.observations if advice.sign in o.signs])
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
            child_reason=advice.child,
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
