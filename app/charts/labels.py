"""Finding a free place for a label, so that words stand beside the line and not on it."""

from dataclasses import dataclass, field
from typing import Final

import numpy as np
from numpy.typing import NDArray

# Width of a letter and height of a line, in units of the picture. On a narrow screen the
# style sheet makes the letters twice as large; what is shown there needs that room.
WIDE: Final = (7.6, 17.0)
NARROW: Final = (15.0, 30.0)

Box = tuple[float, float, float, float]


@dataclass(frozen=True, slots=True)
class Place:
    """Where a label may stand: the baseline's anchor."""

    x: float
    y: float
    anchor: str = "left"


@dataclass(slots=True)
class Placer:
    """Knows what is drawn (`drawn`, shape (n, 2)) inside `frame`, and what is written already."""

    frame: Box
    drawn: NDArray[np.float64] = field(default_factory=lambda: np.zeros((0, 2)))
    taken: list[Box] = field(default_factory=list)

    def draw(self, *covered: NDArray[np.float64]) -> None:
        """Tell what else is drawn, each of shape (n, 2)."""
        self.drawn = np.concatenate((self.drawn, *covered))

    def put(self, words: str, places: list[Place], *, narrow: bool) -> Place | None:
        """Take the freest of the places, the earlier one if they are equal; None if all are bad.

        Args:
            words: The label.
            places: Candidates in order of liking.
            narrow: Whether the label also shows on a narrow screen.
        """
        best: tuple[float, Place, Box] | None = None
        for place in places:
            box = _box(words, place, narrow=narrow)
            cost = self._cost(box)
            if best is None or cost < best[0]:
                best = (cost, place, box)
        if best is None or best[0] >= _BAD:
            return None
        self.taken.append(best[2])
        return best[1]

    def _cost(self, wanted: Box) -> float:
        left, top, right, bottom = wanted
        outside = left < self.frame[0] or right > self.frame[2]
        outside = outside or top < self.frame[1] or bottom > self.frame[3]
        over = any(
            left < box[2] and right > box[0] and top < box[3] and bottom > box[1]
            for box in self.taken
        )
        x, y = self.drawn[:, 0], self.drawn[:, 1]
        hit = np.count_nonzero((x > left) & (x < right) & (y > top) & (y < bottom))
        return _BAD * (outside + over) + float(hit)


_BAD: Final = 1e6


def _box(words: str, place: Place, *, narrow: bool) -> Box:
    letter, line = NARROW if narrow else WIDE
    width = letter * len(words)
    left = place.x - {"left": 0.0, "center": width / 2, "right": width}[place.anchor]
    return (left, place.y - 0.8 * line, left + width, place.y + 0.2 * line)
