"""What looks usual on a visit, told from what the record of this very tank holds.

A stranger sees much that is new to them and nothing odd: animals that hide, a filter that hums.
Each line says one thing; a tank of which nothing is known of it leaves the line out.
"""

from collections.abc import Mapping
from datetime import timedelta
from typing import Final

from app.domain.quantities import Quantity
from app.domain.snapshot import TankSnapshot
from app.domain.wording import count, degrees, length_text, listed, range_text
from app.knowledge.model import Knowledge

SOUND: Final = "sound"
FEEDING: Final = "feeding"
"""The names of texts that people may write themselves; they come before what is worked out."""
_BACK: Final = "sharing.usual-days"
_FEW: Final = 3
# what is usual where people wrote nothing: common practice, the same for every tank
HUMS: Final = "The filter runs day and night: an even hum, and the surface moves."
BUBBLES: Final = "The air pump hums day and night, and bubbles rise."
COME_UP: Final = "At feeding most come up at once."
COME_LATER: Final = "At feeding most come up at once. On the bottom they find theirs later."


def usual(
    snapshot: TankSnapshot, knowledge: Knowledge, texts: Mapping[str, str]
) -> tuple[str, ...]:
    """Short lines for a stranger, animals as pupils know them.

    Args:
        snapshot: The tank as pupils know it.
        knowledge: How far back "usual" reaches, and which animals hide by day.
        texts: What people wrote of this tank, by name.
    """
    days = round(knowledge.value(_BACK))
    found = (
        _warmth(snapshot, days),
        _level(snapshot),
        _seen(snapshot, days),
        _by_night(snapshot, knowledge),
        _ended(texts.get(FEEDING, "")) or _feeding(snapshot, days),
        _ended(texts.get(SOUND, "")) or _sound(snapshot),
    )
    return tuple(line for line in found if line)


def _warmth(snapshot: TankSnapshot, days: int) -> str:
    since = snapshot.as_of - timedelta(days=days)
    found = [r.best for r in snapshot.between(Quantity.TEMPERATURE, since, snapshot.as_of)]
    if len(found) < _FEW:
        return ""
    low, high = min(found), max(found)
    if degrees(snapshot.site, low) == degrees(snapshot.site, high):
        return f"In the last {days} days it read {degrees(snapshot.site, low)}."
    between = range_text(Quantity.TEMPERATURE, low, high, snapshot.site)
    return f"In the last {days} days the thermometer read {between}."


def _level(snapshot: TankSnapshot) -> str:
    rim, depth = snapshot.tank.shape.rim_cm, snapshot.tank.shape.water_depth_cm
    if rim is None or depth is None or rim <= depth:
        return ""
    return f"The water stands about {length_text(snapshot.site, rim - depth)} under the rim."


def _seen(snapshot: TankSnapshot, days: int) -> str:
    """How many of them people saw: some hide on most days, and a stranger should know."""
    since = snapshot.as_of - timedelta(days=days)
    expected = snapshot.expected_fish
    found = [
        look.seen
        for look in snapshot.observations
        if look.seen is not None and look.happened_at >= since
    ]
    if len(found) < _FEW or not expected:
        return ""
    low, high = min(found), min(max(found), expected)
    if low >= expected:
        return f"Those who counted saw all {expected}."
    between = str(low) if low == high else f"{low} to {high}"
    return f"Those who counted saw {between} of {expected}."


def _by_night(snapshot: TankSnapshot, knowledge: Knowledge) -> str:
    """Who hides while the lamp is on, by the catalogue."""
    names = [
        group.name
        for group in snapshot.groups
        if group.count and group.species and _is_nocturnal(group.species, knowledge)
    ]
    return f"{listed(names).capitalize()}: out at night, hidden by day." if names else ""


def _is_nocturnal(species: str, knowledge: Knowledge) -> bool:
    known = knowledge.species.get(species)
    return known is not None and any("nocturnal" in text.casefold() for text in known.cautions)


def _feeding(snapshot: TankSnapshot, days: int) -> str:
    since = snapshot.as_of - timedelta(days=days)
    minutes = [
        meal.minutes_to_eat
        for meal in snapshot.feedings
        if meal.minutes_to_eat is not None and meal.happened_at >= since
    ]
    here = {group.band for group in snapshot.groups if group.count}
    if not here:
        return ""
    said = COME_LATER if "bottom" in here and len(here) > 1 else COME_UP
    if here == {"bottom"}:
        said = ""
    if len(minutes) < _FEW:
        return said
    longest = round(max(minutes))
    eaten = f"Food is gone in {count(longest, 'minute', 'minutes')} or less."
    return f"{said} {eaten}".strip()


def _sound(snapshot: TankSnapshot) -> str:
    kinds = {each.kind for each in snapshot.equipment if each.retired_on is None}
    return " ".join(
        said for kind, said in (("filter", HUMS), ("air_pump", BUBBLES)) if kind in kinds
    )


def _ended(text: str) -> str:
    return text if not text or text.endswith((".", "!", "?")) else f"{text}."
