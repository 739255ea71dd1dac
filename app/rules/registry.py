"""All rules, each with its id in words and the numbers that it uses."""

from typing import Final

from app.rules import feeding, look
from app.rules.model import Rule

RULES: Final[tuple[Rule, ...]] = (
    Rule(
        id="look.due",
        title="Nobody has looked",
        why="What nobody has looked at, nobody knows.",
        limits=("keeps.look-hours",),
        check=look.look_due,
    ),
    Rule(
        id="temperature.due",
        title="Nobody has read the thermometer",
        why="Heaters stop and stick without a sound.",
        limits=("keeps.look-hours",),
        check=look.temperature_due,
    ),
    Rule(
        id="look.lid-and-plug",
        title="Lid open or plug off",
        why="Fish jump, and filter and heater need their plug.",
        limits=(),
        check=look.lid_and_plug,
    ),
    Rule(
        id="feeding.fed-twice",
        title="Food went in twice",
        why="Food cannot be taken back out, and leftovers foul the water.",
        limits=("feeding.twice-share", "feeding.act-share", "feeding.close-hours"),
        check=feeding.fed_twice,
    ),
    Rule(
        id="feeding.nobody-fed",
        title="No meal is written",
        why="Fed and not written, or not fed: only somebody there knows.",
        limits=("feeding.gap-hours", "feeding.gap-watch-days", "feeding.gap-act-days"),
        check=feeding.nobody_fed,
        holds_until=feeding.gap_until,
    ),
    Rule(
        id="feeding.guard",
        title="No more food today",
        why="It must be known before the act.",
        limits=(),
        check=feeding.guard,
    ),
)
