"""What the drawn tank shows, as records and in words."""

from __future__ import annotations

import math
import re
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

from app.charts.silhouettes import PLAIN_SHAPE

Band = Literal["surface", "middle", "bottom"]

BANDS: tuple[Band, ...] = ("surface", "middle", "bottom")
_WHERE: dict[Band, str] = {
    "surface": "near the surface",
    "middle": "in the middle",
    "bottom": "on the bottom",
}
# of a larger group only so many are drawn, and the words say so
MOST_DRAWN = 60
# control and lone surrogate characters have no place in HTML, however a name came to hold them
_UNPRINTABLE = re.compile(
    r"[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f\ud800-\udfff\ufdd0-\ufdef\ufffe\uffff]"
)


@dataclass(frozen=True)
class Lodger:
    """A group of one species: number seen, grown total length in cm, where they live."""

    name: str
    count: int
    adult_cm: float
    band: Band
    shape: str = PLAIN_SHAPE


@dataclass(frozen=True)
class PlantPlace:
    """One plant: its place from the left glass and its height, both in cm.

    kind: ribbon, rosette, stem, rhizome or floating. The same seed draws the same plant.
    """

    kind: str
    x_cm: float
    height_cm: float
    seed: str | int


@dataclass(frozen=True)
class Elevation:
    """Inner measures of a tank in cm, heights from the glass floor; None: nobody measured it.

    Sand edges are (left, right) corner heights at the front and at the back glass. A bowl has
    its widest diameter as length, and `bowl_base_cm`, that of its flat bottom.
    """

    length_cm: float
    rim_cm: float
    water_depth_cm: float | None = None
    sand_front_cm: tuple[float, float] | None = None
    sand_back_cm: tuple[float, float] | None = None
    heater_line_cm: float | None = None
    bowl_base_cm: float | None = None
    groups: tuple[Lodger, ...] = ()
    plants: tuple[PlantPlace, ...] = ()

    def __post_init__(self) -> None:
        if not (0 < self.length_cm <= 1000 and 0 < self.rim_cm <= 1000):
            raise ValueError("length and rim are more than 0 and at most 1000 cm")
        if not 0 <= (self.bowl_base_cm or 0) <= self.length_cm:
            raise ValueError("the bottom of a bowl is no wider than the bowl")

    def half_width_cm(self, height_cm: float) -> float:
        """Half of the inside width at a height; a bowl narrows above and below its middle."""
        half = self.length_cm / 2
        if self.bowl_base_cm is None:
            return half
        over_middle = height_cm - math.sqrt(half**2 - self.bowl_base_cm**2 / 4)
        return math.sqrt(max(0.0, half**2 - over_middle**2))


def legend(elevation: Elevation) -> tuple[tuple[str, str], ...]:
    """(letter, words) of each group, as the brackets at the right of the drawing name them."""
    return tuple(
        (letter, f"{group.count} {clean(group.name)}, {_WHERE[group.band]}")
        for letter, group in lettered(elevation)
    )


def describe(elevation: Elevation) -> str:
    """All that the drawing shows, in sentences."""
    sand = f"{_edge('Sand at the front', elevation.sand_front_cm)} "
    sand += _edge("Sand at the back", elevation.sand_back_cm)
    water, heater = elevation.water_depth_cm, elevation.heater_line_cm
    across = "long" if elevation.bowl_base_cm is None else "wide, a bowl"
    texts = [
        f"Inside {in_cm(elevation.length_cm)} {across}, rim at {in_cm(elevation.rim_cm)}.",
        f"Water {in_cm(water)} deep." if water is not None else "Water depth: not measured.",
        sand,
        _heater_words(water, heater),
    ]
    if elevation.plants:
        tallest = max(place.height_cm for place in elevation.plants)
        number = len(elevation.plants)
        texts.append(f"{number} plant{'s' * (number != 1)}, the tallest {in_cm(tallest)}.")
    texts += [f"{letter}: {words}." for letter, words in legend(elevation)]
    texts += [
        f"{MOST_DRAWN} of the {group.count} {clean(group.name)} are drawn."
        for group in elevation.groups
        if group.count > MOST_DRAWN and water is not None
    ]
    if elevation.groups and water is None:
        texts.append("Fish are drawn once the water depth is measured.")
    return " ".join(texts)


def clean(text: str) -> str:
    """The text without characters that HTML does not allow."""
    return _UNPRINTABLE.sub("", text)


def in_cm(value: float) -> str:
    """The length with its unit and a no-break space."""
    return f"{value:.4g}\N{NO-BREAK SPACE}cm"


def _edge(name: str, corners: tuple[float, float] | None) -> str:
    if corners is None:
        return f"{name}: not measured."
    left, right = corners
    return f"{name}: {in_cm(left)} on the left, {in_cm(right)} on the right."


def _heater_words(water: float | None, heater: float | None) -> str:
    if heater is None:
        return "Heater line: not measured."
    if water is None:
        return f"Heater line at {in_cm(heater)}."
    side = "under" if heater <= water else "over"
    return f"Heater line at {in_cm(heater)}, {in_cm(abs(water - heater))} {side} the water line."


def lettered(elevation: Elevation) -> Iterator[tuple[str, Lodger]]:
    """Groups from the surface down, with A, B, ... Z, A2, B2 ..."""
    ordered = sorted(elevation.groups, key=lambda group: BANDS.index(group.band))
    for place, group in enumerate(ordered):
        turn, letter = divmod(place, 26)
        yield chr(65 + letter) + (str(turn + 1) if turn else ""), group
