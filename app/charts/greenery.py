"""Plants of the drawn tank: one path generator per growth form, the same picture per seed."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from xml.etree.ElementTree import Element, SubElement

from app.charts.seeded import numbers


@dataclass(frozen=True)
class Spot:
    """Where a plant stands, in units of the drawing, y down.

    foot: on the sand; top: where it ends, at the water line at most; unit: one cm.
    """

    x: float
    foot: float
    top: float
    unit: float

    @property
    def height(self) -> float:
        """From foot to top, in units of the drawing."""
        return self.foot - self.top


def _leaf(parent: Element, x: float, y: float, angle: float, length: float) -> None:
    """A stalked leaf that begins at x, y and points `angle` degrees clockwise from the right."""
    group = SubElement(
        parent, "g", {"transform": f"translate({x:.4g} {y:.4g}) rotate({angle:.4g})"}
    )
    SubElement(group, "path", {"class": "stem", "d": f"M0 0H{length * 0.45:.4g}"})
    half = length * 0.14
    SubElement(
        group,
        "path",
        {
            "class": "leaf-2",
            "d": f"M{length * 0.4:.4g} 0C{length * 0.55:.4g} {-half:.4g} {length * 0.85:.4g}"
            f" {-half:.4g} {length:.4g} 0C{length * 0.85:.4g} {half:.4g}"
            f" {length * 0.55:.4g} {half:.4g} {length * 0.4:.4g} 0Z",
        },
    )


def _ribbon(parent: Element, spot: Spot, draws: Iterator[float]) -> None:
    for place in range(5):
        x = spot.x + (place - 2) * 1.1 * spot.unit
        top = spot.foot - spot.height * (1 if place == 2 else 0.75 + 0.25 * next(draws))
        bend = (next(draws) - 0.5) * 0.3 * spot.height
        third = (spot.foot - top) / 3
        d = (
            f"M{x:.4g} {spot.foot:.4g}C{x + bend * 0.3:.4g} {spot.foot - third:.4g}"
            f" {x - bend * 0.5:.4g} {top + third:.4g} {x + bend:.4g} {top:.4g}"
        )
        SubElement(parent, "path", {"class": "leaf", "d": d})


def _rosette(parent: Element, spot: Spot, draws: Iterator[float]) -> None:
    for angle in (-150, -122, -90, -60, -32):
        turn = 0 if angle == -90 else (next(draws) - 0.5) * 14
        length = spot.height * (1 if angle == -90 else 0.7 + 0.25 * next(draws))
        _leaf(parent, spot.x, spot.foot, angle + turn, length)


def _stem(parent: Element, spot: Spot, draws: Iterator[float]) -> None:
    d = f"M{spot.x:.4g} {spot.foot:.4g}V{spot.top:.4g}"
    SubElement(parent, "path", {"class": "stem", "d": d})
    size = min(3 * spot.unit, spot.height * 0.5)
    steps = max(2, min(14, round(spot.height / (1.8 * spot.unit))))
    for step in range(1, steps + 1):
        y = spot.foot - (spot.height - size * 0.3) * step / steps
        lift = 12 + 12 * next(draws)
        _leaf(parent, spot.x, y, -lift, size)
        _leaf(parent, spot.x, y, 180 + lift, size)


def _rhizome(parent: Element, spot: Spot, draws: Iterator[float]) -> None:
    wide, high = 5 * spot.unit, spot.height * 0.45
    left, right = spot.x - wide, spot.x + wide
    top = spot.foot - high
    d = (
        f"M{left:.4g} {spot.foot:.4g}C{left:.4g} {top:.4g} {spot.x - wide / 3:.4g}"
        f" {top:.4g} {spot.x:.4g} {top:.4g}C{spot.x + wide / 2:.4g} {top:.4g} {right:.4g}"
        f" {top + high / 2:.4g} {right:.4g} {spot.foot:.4g}Z"
    )
    SubElement(parent, "path", {"class": "stone", "d": d})
    for angle in (-150, -115, -90, -65, -30):
        turn = 0 if angle == -90 else (next(draws) - 0.5) * 16
        _leaf(parent, spot.x, top, angle + turn, spot.height - high)


def _floating(parent: Element, spot: Spot, draws: Iterator[float]) -> None:
    for place in range(5):
        x = spot.x + (place - 2) * 1.6 * spot.unit
        root = spot.top + spot.unit * (1 + 1.5 * next(draws))
        SubElement(parent, "path", {"class": "stem", "d": f"M{x:.4g} {spot.top:.4g}V{root:.4g}"})
        oval = {"cx": f"{x:.4g}", "cy": f"{spot.top:.4g}", "ry": f"{0.3 * spot.unit:.4g}"}
        SubElement(parent, "ellipse", {"class": "leaf-2", **oval, "rx": f"{0.9 * spot.unit:.4g}"})


_FORMS: dict[str, Callable[[Element, Spot, Iterator[float]], None]] = {
    "ribbon": _ribbon,
    "rosette": _rosette,
    "stem": _stem,
    "rhizome": _rhizome,
    "floating": _floating,
}


def plant(parent: Element, kind: str, spot: Spot, seed: object) -> None:
    """Draw one plant into `parent`; a growth form that nobody drew is drawn as a rosette."""
    _FORMS.get(kind, _rosette)(parent, spot, numbers(seed))
