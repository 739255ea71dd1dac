"""Looking: nobody looked, the warmth was not read, breathing, lid or plug were not right."""

from datetime import date, timedelta
from typing import Final

from app.domain.calendar import local_day, somebody_comes
from app.domain.quantities import Quantity
from app.domain.snapshot import TankSnapshot, last, last_where
from app.domain.wording import duration, rounded, when_text
from app.knowledge.model import Knowledge
from app.rules.freshness import look_freshness, matters, reading_freshness
from app.rules.model import Action, Concern, Evidence, Finding, Freshness, Rule, Severity
from app.rules.plan import LOOK_KEY
from app.rules.showing import limit, of_entry, of_reading
from app.rules.temperature import is_too_warm

LOOK = Action(
    key=LOOK_KEY,
    title="Look and count",
    child_title="Look at all the fish. Count them.",
    concern=Concern.LOOK,
    door="look",
)
READ_WARMTH = Action(
    key="read-temperature",
    title="Read the thermometer",
    child_title="Read how warm the water is.",
    concern=Concern.LOOK,
    door="test",
)


def look_due(snapshot: TankSnapshot, knowledge: Knowledge) -> tuple[Finding, ...]:
    """Nobody has looked since the last look stopped counting.

    What: the last look is past its shelf life, or there is none. The look of the day reminds:
        the state already says that nobody knows. Watch where animals live and a day on which
        somebody was meant to come went by without one, or nobody ever looked.
    Why: a record that grows no older than Friday says nothing about Monday.
    Source: daily care, weekends included, is common practice; the shelf life is our own choice,
        and that a daily job does not warn each morning: a word read every day is not read.
    Bad: last look Friday 3:10 pm, now Tuesday 8:05 am. Good: a look today.
    """
    fresh = look_freshness(snapshot, knowledge)
    if fresh.is_fresh(snapshot.as_of):
        return ()
    look = last(snapshot.observations)
    due = fresh.keeps_until or snapshot.as_of
    return (
        Finding(
            rule_id="look.due",
            severity=_missed(snapshot, fresh),
            action=LOOK,
            reason=last_looked(snapshot),
            child_reason="Nobody has looked yet. Are they all here?",
            due_at=due,
            clears_when="A look is written, best with a count.",
            counterfactual="With a look today this would not be here.",
            evidence=() if look is None else (of_entry(look, snapshot.site),),
            limits=(limit(knowledge, "keeps.look-hours", "A look keeps at most"),),
        ),
    )


def _missed(snapshot: TankSnapshot, look: Freshness) -> Severity:
    """Watch where animals were left for a day on which somebody was meant to come."""
    if not snapshot.expected_fish:
        return Severity.INFO
    if look.keeps_until is None:
        return Severity.WATCH
    day = local_day(look.keeps_until, snapshot.site.zone)
    gone = (day + timedelta(days=n) for n in range((snapshot.today - day).days))
    return Severity.WATCH if any(somebody_comes(snapshot.site, d) for d in gone) else Severity.INFO


def last_looked(snapshot: TankSnapshot) -> str:
    """When somebody last looked, how long ago that is, and whether anybody was meant to come."""
    look = last(snapshot.observations)
    if look is None:
        return "Nobody has looked at this tank yet."
    zone = snapshot.site.zone
    at = when_text(look.happened_at, zone, snapshot.as_of)
    age = duration(snapshot.age_of(look.happened_at))
    absent = _absent_words(snapshot, local_day(look.happened_at, zone))
    return f"Last looked at {at}, {age} ago.{absent}"


def looked_from_far(snapshot: TankSnapshot) -> str:
    """When somebody last looked and how long ago that is, to be read from far."""
    look = last(snapshot.observations)
    if look is None:
        return "Nobody has looked at this tank yet."
    at = when_text(look.happened_at, snapshot.site.zone, snapshot.as_of)
    age = snapshot.age_of(look.happened_at)
    ago = "just now" if age < timedelta(minutes=1) else f"{rounded(age)} ago"
    return f"Last looked at {at}, {ago}."


def temperature_due(snapshot: TankSnapshot, knowledge: Knowledge) -> tuple[Finding, ...]:
    """Nobody has read the thermometer since the last temperature stopped counting.

    What: the last temperature is past its shelf life, or there is none and animals need one. As
        pressing as the look while that is due too; watch once somebody looked and did not read.
    Why: heaters stop and stick without a sound.
    Source: a daily reading is common practice; the shelf life is our own choice.
    Bad: last temperature yesterday, at home. Good: a temperature today, or a logger's.
    """
    fresh = reading_freshness(snapshot, Quantity.TEMPERATURE, knowledge)
    if fresh.is_fresh(snapshot.as_of) or not matters(snapshot, Quantity.TEMPERATURE.value):
        return ()
    look = look_freshness(snapshot, knowledge)
    looked = look.is_fresh(snapshot.as_of)
    latest = snapshot.latest(Quantity.TEMPERATURE)
    if latest is None:
        reason = "Nobody has read the thermometer yet."
    else:
        age = duration(snapshot.age_of(latest.at))
        reason = f"The last temperature is {age} old."
    evidence: tuple[Evidence, ...] = () if latest is None else (of_reading(latest, snapshot),)
    return (
        Finding(
            rule_id="temperature.due",
            severity=Severity.WATCH if looked else _missed(snapshot, look),
            action=READ_WARMTH if looked else LOOK,
            reason=reason,
            child_reason="Nobody has read how warm it is.",
            due_at=fresh.keeps_until or snapshot.as_of,
            clears_when="A temperature is written.",
            counterfactual="With a temperature today this would not be here.",
            evidence=evidence,
            limits=(limit(knowledge, "keeps.look-hours", "A temperature keeps at most"),),
            quantity=Quantity.TEMPERATURE,
        ),
    )


def breathing(snapshot: TankSnapshot, knowledge: Knowledge) -> tuple[Finding, ...]:  # noqa: ARG001
    """The last look that says so found that the fish did not breathe calmly.

    What: the newest answer to "Do they breathe calmly?".
    Why: fast breathing comes before gasping; more air helps and harms nothing.
    Source: first actions that harm next to nothing, common practice, no single source. Act is
        our own choice: one step before gasping, which is act now.
    Bad: "No" this morning and no look since. Good: "Yes" after it, or nobody was asked.
    """
    asked = last_where(snapshot.observations, lambda o: o.breathing_calm is not None)
    if asked is None or asked.breathing_calm:
        return ()
    at = when_text(asked.happened_at, snapshot.site.zone, snapshot.as_of)
    return (
        Finding(
            rule_id="look.breathing",
            severity=Severity.ACT,
            action=Action(
                key="breathing",
                title="More air, and look again soon",
                child_title="They breathe fast. Get a grown-up.",
                concern=Concern.LIFE_SUPPORT,
                door="look",
                adult=True,
                cautions=("electricity", "hands"),
            ),
            reason=f"Breathing was not calm, written {at}. Look at filter and warmth, "
            "then test ammonia and nitrite. Not calm in two hours: ask a veterinarian.",
            child_reason="They did not breathe calmly.",
            due_at=asked.happened_at,
            clears_when="A later look with calm breathing is written.",
            counterfactual="With calm breathing this would not be here.",
            evidence=(Evidence("Breathing not calm", asked.id, asked.happened_at, asked.hands),),
        ),
    )


def lid_and_plug(snapshot: TankSnapshot, knowledge: Knowledge) -> tuple[Finding, ...]:
    """The last look that says so found the lid open or the plug off.

    What: the newest tick for the lid, and the newest for the plug. While the water is too warm
        a lid that stands open is part of the cooling and is not asked about.
    Why: fish jump; a plug that is off stops filter and heater.
    Source: common practice, no single source; that an open lid is watched and a plug that is off
        asks for action is our own choice.
    Bad: "plug on" not ticked this morning. Good: both ticked, or nobody was asked.
    """
    found = []
    lid = last_where(snapshot.observations, lambda o: o.lid_closed is not None)
    if lid is not None and not lid.lid_closed and not is_too_warm(snapshot, knowledge):
        found.append(
            Finding(
                rule_id="look.lid-and-plug",
                severity=Severity.WATCH,
                action=Action(
                    key="lid",
                    title="Close the lid",
                    child_title="Close the lid.",
                    concern=Concern.LIFE_SUPPORT,
                    door="look",
                ),
                reason="The lid was open at the last look. Fish can jump.",
                child_reason="The lid was open. Fish can jump.",
                due_at=lid.happened_at,
                clears_when="A look with the lid closed is written.",
                counterfactual="With the lid closed this would not be here.",
                evidence=(of_entry(lid, snapshot.site),),
            )
        )
    plug = last_where(snapshot.observations, lambda o: o.plug_on is not None)
    if plug is not None and not plug.plug_on:
        found.append(
            Finding(
                rule_id="look.lid-and-plug",
                severity=Severity.ACT,
                action=Action(
                    key="plug",
                    title="Find out why the plug is off",
                    child_title="The plug is off. Get a grown-up.",
                    concern=Concern.LIFE_SUPPORT,
                    door="look",
                    adult=True,
                    cautions=("electricity",),
                ),
                reason="The plug was off at the last look. Filter and heater need it.",
                child_reason="The plug was off. The filter needs it.",
                due_at=plug.happened_at,
                clears_when="A look with the plug on is written.",
                counterfactual="With the plug on this would not be here.",
                evidence=(of_entry(plug, snapshot.site),),
            )
        )
    return tuple(found)


def _absent_words(snapshot: TankSnapshot, day: date) -> str:
    site, today = snapshot.site, snapshot.today
    between = [day + timedelta(days=n) for n in range(1, (today - day).days)]
    absent = [d for d in between if not somebody_comes(site, d)]
    if not absent:
        return ""
    for pause in site.away:
        if pause.first_day <= absent[0] and absent[-1] <= pause.last_day and pause.name:
            return f" Nobody was meant to come during {pause.name}."
    if len(absent) <= 2 and all(d.weekday() >= 5 for d in absent):
        return " Nobody was meant to come on the weekend."
    return f" Nobody was meant to come on {len(absent)} of these days."


RULES: Final = (
    Rule(
        id="look.due",
        title="Nobody has looked",
        why="What nobody has looked at, nobody knows.",
        limits=("keeps.look-hours",),
        check=look_due,
        lesson="We only know what we look at.",
    ),
    Rule(
        id="temperature.due",
        title="Nobody has read the thermometer",
        why="Heaters stop and stick without a sound.",
        limits=("keeps.look-hours",),
        check=temperature_due,
        lesson="You can not see warmth. You have to read it.",
    ),
    Rule(
        id="look.breathing",
        title="Breathing not calm",
        why="Fast breathing comes before gasping.",
        limits=(),
        check=breathing,
        lesson="Gills that move fast mean a fish needs more air.",
    ),
    Rule(
        id="look.lid-and-plug",
        title="Lid open or plug off",
        why="Fish jump, and filter and heater need their plug.",
        limits=(),
        check=lid_and_plug,
        lesson="A closed lid keeps fish in, a plug keeps the water moving.",
    ),
)
