"""One animal against a ruler, so that several drawings on a page share one scale."""

import math
from collections.abc import Iterable
from xml.etree.ElementTree import Element, SubElement, tostring

from app.charts.silhouettes import PLAIN_SHAPE, SILHOUETTES, silhouette

_WIDE, _LEFT, _TICK, _HALF, _WORD = 320.0, 8.0, 12.0, 6.0, 24.0
_MARGIN = 10.0
_IDENTITY = "outline-"
_SHORTEST_CM = 5
# up to so many cm a mark each cm, then each 5 cm, then each 10 cm
_STEPS = ((12, 1), (40, 5), (400, 10))


def ruler_cm(longest_cm: float) -> int:
    """The length of a ruler on which the longest of several animals fits, in whole cm."""
    needed = max(_SHORTEST_CM, math.ceil(longest_cm) + 1)
    step = _step(needed)
    return math.ceil(needed / step) * step


def life_size(shape: str, adult_cm: float, ruler: int, words: str) -> str:
    """An outline over a ruler, as SVG; the page has to hold `outlines` of its shape once.

    Args:
        shape: A body shape; one that nobody drew gets the plain one.
        adult_cm: From snout to tip of the tail.
        ruler: How long the ruler is; the outline is to its scale.
        words: What the picture shows, for those who do not see it.
    """
    form = silhouette(shape)
    unit = _WIDE / ruler
    size = adult_cm * unit / form.length
    line = form.height * size + _MARGIN
    svg = Element(
        "svg",
        {
            "class": "life-size",
            "viewBox": f"{-_MARGIN:g} 0 {_WIDE + 3 * _MARGIN:g} {line + _WORD + _MARGIN:.4g}",
            "role": "img",
            "aria-label": words,
        },
    )
    place = f"translate({_LEFT:g} {-form.top * size + 2:.4g}) scale({size:.4g})"
    SubElement(svg, "use", {"href": f"#{_IDENTITY}{_drawn(shape)}", "transform": place})
    _ruler(svg, ruler, unit, line)
    return tostring(svg, encoding="unicode")


def outlines(shapes: Iterable[str]) -> str:
    """The outlines that the drawings of a page use, as one SVG that is not seen itself."""
    svg = Element("svg", {"class": "hidden", "aria-hidden": "true", "focusable": "false"})
    for shape in sorted({_drawn(s) for s in shapes}):
        svg.append(silhouette(shape).group(f"{_IDENTITY}{shape}"))
    return tostring(svg, encoding="unicode")


def _drawn(shape: str) -> str:
    return shape if shape in SILHOUETTES else PLAIN_SHAPE


def _ruler(svg: Element, ruler: int, unit: float, line: float) -> None:
    step = _step(ruler)
    middles = (_LEFT + (at + step / 2) * unit for at in range(0, ruler, step))
    wholes = [(at, _LEFT + at * unit) for at in range(0, ruler + 1, step)]
    halves = "".join(f"M{x:.4g} {line:.4g}v{_HALF:g}" for x in middles)
    marks = "".join(f"M{x:.4g} {line:.4g}v{_TICK:g}" for _, x in wholes)
    SubElement(svg, "path", {"class": "tick-s", "d": halves})
    SubElement(svg, "path", {"class": "tick", "d": f"{marks}M{_LEFT:g} {line:.4g}h{_WIDE:g}"})
    for at, x in wholes:
        SubElement(svg, "text", {"x": f"{x:.4g}", "y": f"{line + _WORD:.4g}"}).text = str(at)


def _step(ruler: int) -> int:
    return next(step for most, step in _STEPS if ruler <= most)
