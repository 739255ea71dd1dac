"""Pictures with words for a sitter who sees something odd or needs help: a handful of each."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Final

from app.domain.records import Sign
from app.services.sharing.sitter import Found


@dataclass(frozen=True, slots=True, kw_only=True)
class Card:
    """One thing that may be seen, and what to do; short sentences for strangers to the tank.

    `sign` is what is written of it, None where `note` says it; `picture` names the drawing.
    """

    key: str
    picture: str
    title: str
    lines: tuple[str, ...]
    sign: Sign | None = None
    note: str = ""


WARMTH: Final = "warmth"
"""The key of the card for a thermometer outside the range of the tank."""

CARDS: Final[Mapping[Found, tuple[Card, ...]]] = {
    Found.FINE: (),
    Found.ODD: (
        Card(
            key="fewer",
            picture="hiding",
            title="I see fewer fish",
            lines=(
                "Do nothing, and that is right.",
                "Small fish hide. Count on the next visit. Still fewer? Call.",
            ),
            note="Fewer fish seen.",
        ),
        Card(
            key=WARMTH,
            picture="warmth",
            title="The water is too warm or too cold",
            lines=(
                "Give no packet. Put in no ice and no hot water. Touch no heater.",
                "Add nothing, and call the first number. Say what you read.",
            ),
            note="The water was called too warm or too cold.",
        ),
        Card(
            key="low",
            picture="low",
            title="The water is low",
            lines=("Call the first number.", "Pour nothing in until you were told how."),
            note="The water stands below the mark.",
        ),
        Card(
            key="cloudy",
            picture="cloudy",
            title="The water is cloudy or smells",
            lines=("Give no packet. Add nothing.", "Call the first number before you leave."),
            sign=Sign.CLOUDY,
        ),
        Card(
            key="lying",
            picture="lying",
            title="A fish lies on its side, is hurt or dead",
            lines=("Leave it where it is. Hands out of the water.", "Call the first number."),
            sign=Sign.LYING,
        ),
    ),
    Found.HELP: (
        Card(
            key="leak",
            picture="leak",
            title="Water on the floor",
            lines=(
                "Stay out of the wet. Touch no plug.",
                "Power off at the breaker, if you can get there dry.",
            ),
            sign=Sign.LEAK,
        ),
        Card(
            key="power",
            picture="power_cut",
            title="No power, or the filter stands still",
            lines=("Give no packet. Keep the lid on.", "Touch no plug with wet hands."),
            sign=Sign.POWER_CUT,
        ),
        Card(
            key="gasping",
            picture="gasping",
            title="Fish gasp at the top",
            lines=("Give no packet.", "Look if the filter moves the water, and say so."),
            sign=Sign.GASPING,
        ),
        Card(
            key="tingle",
            picture="tingle",
            title="A tingle from the water, or a wet plug",
            lines=(
                "Hands off. Touch nothing.",
                "Power off at the breaker, if you can get there dry.",
            ),
            sign=Sign.TINGLE,
        ),
    ),
}


def cards(found: Found, limits: str) -> tuple[Card, ...]:
    """The cards to choose from; `limits` says from where on this tank is too warm or too cold."""
    return tuple(
        replace(each, lines=(limits, *each.lines)) if each.key == WARMTH and limits else each
        for each in CARDS[found]
    )


def card(found: Found, key: str) -> Card | None:
    """A card by its key, or None."""
    return next((c for c in CARDS[found] if c.key == key), None)
