"""The tank seen from the front, to scale, as one inline SVG drawn from its stored measures.

A measure that nobody took is drawn dotted and called "not measured"; nothing is guessed for it. The
picture depends on its input alone, so that the same tank looks the same every time.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from xml.etree.ElementTree import Element, SubElement, tostring

from app.charts.greenery import Spot, plant
from app.charts.seeded import numbers
from app.charts.side_view import (
    BANDS,
    MOST_DRAWN,
    Band,
    Elevation,
    Lodger,
    PlantPlace,
    clean,
    describe,
    in_cm,
    legend,
    lettered,
)
from app.charts.silhouettes import PLAIN_SHAPE, SILHOUETTES, silhouette

__all__ = ["Band", "Elevation", "Lodger", "PlantPlace", "describe", "draw", "legend"]

# share of the open water, counted from the sand up, that a band takes in the picture
_SHARES: dict[Band, tuple[float, float]] = {
    "surface": (0.78, 1.0),
    "middle": (0.25, 0.78),
    "bottom": (0.0, 0.25),
}
_LEFT, _TOP, _RIGHT, _BELOW = 96.0, 50.0, 184.0, 100.0
_WIDE, _HIGH = 780.0, 480.0
_SWIM_IN_A_BOWL = (0.25, 0.75)
_TRIES = 24
_IDENTITY = re.compile(r"[A-Za-z][\w-]*")


def draw(elevation: Elevation, drawing_id: str, title: str) -> str:
    """The SVG, ready for a page; `drawing_id` begins with a letter and is unique on that page.

    Raises:
        ValueError: `drawing_id` is no plain identifier.
    """
    if not _IDENTITY.fullmatch(drawing_id):
        raise ValueError(f"no identifier: {drawing_id!r}")
    return _Drawing(elevation, drawing_id).finished(title)


class _Drawing:
    """One SVG in the making: 1 cm is `unit` units, the origin the lower left inner corner."""

    def __init__(self, tank: Elevation, identity: str) -> None:
        self.tank = tank
        self.identity = identity
        self.unit = min(_WIDE / tank.length_cm, _HIGH / tank.rim_cm)
        self.floor = _TOP + tank.rim_cm * self.unit
        width = self.x(tank.length_cm) + _RIGHT
        # a high and short tank stands in the middle, so that text has one size in all drawings
        pad = max(0.0, _LEFT + _WIDE + _RIGHT - width)
        self.svg = Element(
            "svg",
            {
                "viewBox": f"{-pad / 2:.5g} 0 {width + pad:.5g} {self.floor + _BELOW:.5g}",
                "role": "img",
                "aria-labelledby": f"{identity}-title {identity}-words",
            },
        )

    def finished(self, title: str) -> str:
        """Draw from the back of the tank to its front, then the rulers."""
        SubElement(self.svg, "title", {"id": f"{self.identity}-title"}).text = clean(title)
        words = SubElement(self.svg, "desc", {"id": f"{self.identity}-words"})
        words.text = describe(self.tank)
        self._water()
        self._sand(self.tank.sand_back_cm, "bed-back")
        self._plants()
        self._sand(self.tank.sand_front_cm, "bed")
        self._fish()
        self._levels()
        self._glass()
        self._rulers()
        self._notes()
        return tostring(self.svg, encoding="unicode")

    def x(self, cm: float) -> float:
        """Place of a length from the left inner glass."""
        return _LEFT + cm * self.unit

    def y(self, cm: float) -> float:
        """Place of a height from the glass floor."""
        return self.floor - cm * self.unit

    def _path(self, kind: str, d: str) -> None:
        SubElement(self.svg, "path", {"class": kind, "d": d})

    def _line(self, kind: str, start: tuple[float, float], end: tuple[float, float]) -> None:
        (x1, y1), (x2, y2) = start, end
        places = {"x1": x1, "y1": y1, "x2": x2, "y2": y2}
        SubElement(self.svg, "line", {"class": kind, **{k: f"{v:.5g}" for k, v in places.items()}})

    def _text(
        self, x: float, y: float, text: str, anchor: str = "start", kind: str = ""
    ) -> Element:
        attributes = {"x": f"{x:.5g}", "y": f"{y:.5g}", "text-anchor": anchor}
        element = SubElement(self.svg, "text", attributes | ({"class": kind} if kind else {}))
        element.text = text
        return element

    def _across(self, kind: str, cm: float) -> None:
        y = self.y(cm)
        left, right = self._edges(cm)
        self._line(kind, (left, y), (right, y))

    def _water(self) -> None:
        depth = self.tank.water_depth_cm
        if depth is None:
            return
        if self.tank.bowl_base_cm is not None:
            self._path("water", self._filled(depth))
            return
        box = {
            "x": self.x(0),
            "y": self.y(depth),
            "width": self.tank.length_cm * self.unit,
            "height": depth * self.unit,
        }
        SubElement(self.svg, "rect", {"class": "water", **{k: f"{v:.5g}" for k, v in box.items()}})

    def _sand(self, corners: tuple[float, float] | None, kind: str) -> None:
        if corners is None:
            return
        left, right = corners
        if self.tank.bowl_base_cm is not None:
            self._path(kind, self._filled((left + right) / 2))
            return
        start, end = self.x(0), self.x(self.tank.length_cm)
        third = (end - start) / 3
        self._path(
            kind,
            f"M{start:.5g} {self.y(left):.5g}C{start + third:.5g} {self.y(left):.5g}"
            f" {end - third:.5g} {self.y(right):.5g} {end:.5g} {self.y(right):.5g}"
            f"V{self.floor:.5g}H{start:.5g}Z",
        )

    def _edges(self, cm: float) -> tuple[float, float]:
        """Places of the inner glass at a height, left and right."""
        middle, half = self.tank.length_cm / 2, self.tank.half_width_cm(cm)
        return self.x(middle - half), self.x(middle + half)

    def _filled(self, cm: float) -> str:
        """Outline of a bowl's inside from its flat bottom up to a height."""
        (left, right), (foot_left, foot_right) = self._edges(cm), self._edges(0)
        ball = f"{self.tank.length_cm / 2 * self.unit:.5g}"
        return (
            f"M{foot_left:.5g} {self.floor:.5g}A{ball} {ball} 0 0 1 {left:.5g} {self.y(cm):.5g}"
            f"H{right:.5g}A{ball} {ball} 0 0 1 {foot_right:.5g} {self.floor:.5g}Z"
        )

    def _sand_at(self, x_cm: float) -> float:
        """Height of the sand between its two edges, in cm; of the only known edge, or 0."""
        share = min(1.0, max(0.0, x_cm / self.tank.length_cm))
        # the smooth step is what the outline of `_sand` follows closely enough
        share = share * share * (3 - 2 * share)
        edges = [e for e in (self.tank.sand_front_cm, self.tank.sand_back_cm) if e is not None]
        heights = [left + (right - left) * share for left, right in edges]
        return sum(heights) / len(heights) if heights else 0.0

    def _plants(self) -> None:
        water = self.tank.water_depth_cm
        ceiling = self.tank.rim_cm if water is None else water
        for place in self.tank.plants:
            if place.kind == "floating" and water is None:
                continue
            x_cm = min(self.tank.length_cm, max(0.0, place.x_cm))
            foot = self._sand_at(x_cm)
            top = ceiling if place.kind == "floating" else min(ceiling, foot + place.height_cm)
            if top > foot:
                spot = Spot(self.x(x_cm), self.y(foot), self.y(top), self.unit)
                plant(self.svg, place.kind, spot, place.seed)

    def _fish(self) -> None:
        water = self.tank.water_depth_cm
        if water is None:
            return
        shapes = {g.shape if g.shape in SILHOUETTES else PLAIN_SHAPE for g in self.tank.groups}
        if shapes:
            defs = SubElement(self.svg, "defs")
            for shape in sorted(shapes):
                defs.append(silhouette(shape).group(f"{self.identity}-{shape}"))
        for group in self.tank.groups:
            shape = group.shape if group.shape in SILHOUETTES else PLAIN_SHAPE
            for x, y, turned in self._places(group, water):
                self._one_fish(shape, group.adult_cm, (x, y), turned=turned)

    def _one_fish(
        self, shape: str, adult_cm: float, place: tuple[float, float], *, turned: bool
    ) -> None:
        """One outline with its snout (its tail, when turned) at the left of x, its top at y."""
        form = silhouette(shape)
        size = adult_cm * self.unit / form.length
        x = place[0] + (form.length * size if turned else 0)
        y = place[1] - form.top * size
        flip = f"{-size:.4g} {size:.4g}" if turned else f"{size:.4g}"
        transform = f"translate({x:.5g} {y:.5g}) scale({flip})"
        SubElement(self.svg, "use", {"href": f"#{self.identity}-{shape}", "transform": transform})

    def _places(self, group: Lodger, water: float) -> Iterator[tuple[float, float, bool]]:
        """Upper left corners and turns of a group: one body length apart where there is room."""
        form = silhouette(group.shape)
        length = group.adult_cm * self.unit
        height = length * form.height / form.length
        # in a bowl the fish stay in its middle, where there is water at all heights
        start, end = _SWIM_IN_A_BOWL if self.tank.bowl_base_cm is not None else (0.0, 1.0)
        wide = self.tank.length_cm * self.unit
        room = max(0.0, wide * (end - start) - length)
        draws = numbers(f"{group.name}/{group.band}")
        taken: list[tuple[float, float]] = []
        for _ in range(min(group.count, MOST_DRAWN)):
            best = (-1.0, 0.0, 0.0)
            for _ in range(_TRIES):
                x = self.x(0) + wide * start + next(draws) * room
                y = self._height_in_band(group.band, x + length / 2, height, next(draws), water)
                gap = min(
                    (max(abs(x - a) / length, abs(y - b) / height) for a, b in taken), default=1.0
                )
                best = max(best, (min(gap, 1.0), x, y), key=lambda found: found[0])
                if best[0] >= 1:
                    break
            taken.append(best[1:])
            yield best[1], best[2], next(draws) > 0.75

    def _height_in_band(
        self, band: Band, middle: float, height: float, number: float, water: float
    ) -> float:
        """Top of a fish whose middle is at that x; bottom fish lie on the sand."""
        x_cm = (middle - _LEFT) / self.unit
        sand = min(self._sand_at(x_cm), water)
        if band == "bottom":
            return self.y(sand) - height
        low, high = (sand + (water - sand) * share for share in _SHARES[band])
        top, bottom = self.y(high), self.y(low) - height
        return top + max(0.0, bottom - top) * number

    def _levels(self) -> None:
        water, heater = self.tank.water_depth_cm, self.tank.heater_line_cm
        if water is None:
            self._across("unknown", self.tank.rim_cm)
        else:
            self._across("level", water)
        if self.tank.sand_front_cm is None or self.tank.sand_back_cm is None:
            # along the glass floor, where sand would begin
            self._across("unknown", 6 / self.unit)
        if heater is not None:
            y = self.y(heater)
            self._line("minimum", (self.x(self.tank.length_cm * 0.8), y), (self._right, y))

    @property
    def _right(self) -> float:
        return self.x(self.tank.length_cm)

    def _glass(self) -> None:
        top, edge = self.y(self.tank.rim_cm), 3.5
        if self.tank.bowl_base_cm is not None:
            (left, right), (foot_left, foot_right) = self._edges(self.tank.rim_cm), self._edges(0)
            ball = f"{self.tank.length_cm / 2 * self.unit + edge:.5g}"
            self._path(
                "glass",
                f"M{left - edge:.5g} {top:.5g}"
                f"A{ball} {ball} 0 0 0 {foot_left:.5g} {self.floor + edge:.5g}"
                f"H{foot_right:.5g}A{ball} {ball} 0 0 0 {right + edge:.5g} {top:.5g}",
            )
            return
        self._path(
            "glass",
            f"M{self.x(0) - edge:.5g} {top:.5g}V{self.floor + edge:.5g}"
            f"H{self._right + edge:.5g}V{top:.5g}",
        )

    def _rulers(self) -> None:
        """A tick each cm, longer at 5 and 10; on large tanks each 5 cm, so that none touch."""
        step = 1 if self.unit >= 5 else 5
        label = 10 if self.unit >= 5 else 50
        for cm in range(0, int(self.tank.rim_cm) + 1, step):
            kind, long = _tick(cm)
            y = self.y(cm)
            self._line(kind, (_LEFT - 12 - long, y), (_LEFT - 12, y))
            if cm % label == 0:
                self._text(_LEFT - 40, y + 7, str(cm), "end")
        for cm in range(0, int(self.tank.length_cm) + 1, step):
            kind, long = _tick(cm)
            x = self.x(cm)
            self._line(kind, (x, self.floor + 12), (x, self.floor + 12 + long))
            if cm % (2 * label) == 0 and self._right - x > 90:
                self._text(x, self.floor + 64, str(cm), "middle")
        self._text(self._right, self.floor + 64, in_cm(self.tank.length_cm), "middle")

    def _notes(self) -> None:
        """At the right: water line, heater line, and a bracket with letters for each band."""
        edge = self._right + 22
        water, heater = self.tank.water_depth_cm, self.tank.heater_line_cm
        if water is None:
            self._text(edge, self.y(self.tank.rim_cm) + 7, "water: not", kind="wide-only")
            self._text(edge, self.y(self.tank.rim_cm) + 31, "measured", kind="wide-only")
            return
        line = self.y(water)
        self._path("dim", f"M{edge - 12:.5g} {line:.5g}H{edge + 18:.5g}")
        label = self._text(edge + 24, line + 7, f"{water:.4g}")
        SubElement(label, "tspan", {"class": "wide-only"}).text = " water line"
        if heater is not None:
            y = self.y(heater) + 7
            if abs(y - line - 7) < 24:
                y = line + 7 + (24 if heater <= water else -24)
            self._text(edge + 24, y, f"{heater:.4g} heater line", kind="wide-only")
        self._brackets(edge, water)

    def _brackets(self, edge: float, water: float) -> None:
        sand = min(self._sand_at(self.tank.length_cm), water)
        for band in BANDS:
            letters = [letter for letter, group in lettered(self.tank) if group.band == band]
            if not letters:
                continue
            low, high = (sand + (water - sand) * share for share in _SHARES[band])
            top, bottom = self.y(high) + 4, self.y(low) - 4
            # below the labels of the water line and the heater line
            middle = (top + bottom) / 2 + 7
            if band == "surface":
                middle = max(middle, self.y(water) + 57)
            self._path("lives", f"M{edge:.5g} {top:.5g}h12V{bottom:.5g}h-12")
            self._text(edge + 24, middle, " ".join(letters))


def _tick(cm: int) -> tuple[str, float]:
    """Class and length of a ruler's tick."""
    if cm % 10 == 0:
        return "tick", 22
    return ("tick", 15) if cm % 5 == 0 else ("tick-s", 8)
