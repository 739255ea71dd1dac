"""The demo's photos: an invented tank, drawn here, with a ruler on its glass to measure by."""

import io
from typing import Final

from PIL import Image, ImageDraw

Box = tuple[float, float, float, float]

_SIZE: Final = (960, 640)
# drawn larger and made smaller, so that edges are smooth
_FINE: Final = 2
_WALL: Final = "#e9e2d3"
_SILL: Final = "#b9a98c"
_WATER: Final = "#a9d3d6"
_LIGHT: Final = "#c4e3e3"
_SAND: Final = "#d8c39a"
_GLASS: Final = "#41545c"
_LEAVES: Final = ("#3f7d4a", "#5b9c55", "#2f6b52")
_INK: Final = "#20303a"
_GLASS_BOX: Final[Box] = (70.0, 70.0, 890.0, 560.0)
_SURFACE: Final = 120.0
_BED: Final = 495.0
# where a stem stands, how high it is when grown, and how it leans
Stem = tuple[float, float, float]
_STEMS: Final[tuple[Stem, ...]] = (
    (130, 300, -14), (165, 250, 10), (200, 330, 18), (235, 210, -8), (690, 240, 12),
    (730, 320, -16), (765, 280, 8), (800, 340, 20), (835, 230, -10),
)  # fmt: skip
# middle of each fish, its length and color; the last one swims level above the ruler
_FISH: Final = (
    (360, 210, 70, "#d9793b"), (450, 250, 66, "#d9793b"), (410, 300, 72, "#cf6b30"),
    (560, 220, 68, "#d9793b"), (610, 290, 70, "#cf6b30"), (470, 420, 135, "#7b5b43"),
)  # fmt: skip
_CM: Final = 30.0
_RULER_CM: Final = 15
_RULER_LEFT: Final = 265.0
_RULER_TOP: Final = 505.0


def drawn(grown: float) -> bytes:
    """A JPEG of the tank; `grown` is how high its plants are, 0 to 1."""
    image = Image.new("RGB", (_SIZE[0] * _FINE, _SIZE[1] * _FINE), _WALL)
    pen = ImageDraw.Draw(image)
    _room(pen)
    for number, stem in enumerate(_STEMS):
        _plant(pen, stem, grown, _LEAVES[number % len(_LEAVES)])
    for across, down, length, color in _FISH:
        _fish(pen, across, down, length, color)
    _ruler(pen)
    pen.rectangle(_fine(_GLASS_BOX), outline=_GLASS, width=6 * _FINE)
    file = io.BytesIO()
    image.resize(_SIZE, Image.Resampling.LANCZOS).save(file, "JPEG", quality=86)
    return file.getvalue()


def _fine(box: Box) -> Box:
    left, top, right, bottom = (each * _FINE for each in box)
    return left, top, right, bottom


def _room(pen: ImageDraw.ImageDraw) -> None:
    left, _, right, bottom = _GLASS_BOX
    pen.rectangle(_fine((0, bottom, _SIZE[0], _SIZE[1])), fill=_SILL)
    pen.rectangle(_fine((left, _SURFACE, right, bottom)), fill=_WATER)
    pen.rectangle(_fine((left, _SURFACE, right, _SURFACE + 26)), fill=_LIGHT)
    pen.rectangle(_fine((left, _BED, right, bottom)), fill=_SAND)


def _plant(pen: ImageDraw.ImageDraw, stem: Stem, grown: float, color: str) -> None:
    """A stem with leaves to both sides, as high as it is grown."""
    foot, tall, lean = stem
    steps = max(2, round(tall * (0.35 + 0.6 * grown) / 26))
    for step in range(steps):
        share = step / steps
        x, y = foot + lean * share * share * 2, _BED - step * 26
        reach = 26 - 10 * share
        for side in (-1, 1):
            leaf = ((x, y), (x + side * reach, y - 20), (x + side * reach * 0.3, y - 24))
            pen.polygon([(px * _FINE, py * _FINE) for px, py in leaf], fill=color)
        pen.line(
            [(x * _FINE, y * _FINE), ((x + lean / steps) * _FINE, (y - 26) * _FINE)],
            fill=color, width=5 * _FINE,
        )  # fmt: skip


def _fish(pen: ImageDraw.ImageDraw, across: float, down: float, length: float, color: str) -> None:
    """A fish that swims to the left: body, tail, eye."""
    nose, end, half = across - length / 2, across + length / 2, length * 0.17
    body_end = nose + length * 0.8
    pen.ellipse(_fine((nose, down - half, body_end, down + half)), fill=color)
    tail = ((body_end - length * 0.08, down), (end, down - half), (end, down + half))
    pen.polygon([(x * _FINE, y * _FINE) for x, y in tail], fill=color)
    eye = nose + length * 0.12
    pen.ellipse(_fine((eye - 3, down - 6, eye + 3, down)), fill=_INK)


def _ruler(pen: ImageDraw.ImageDraw) -> None:
    """A clear ruler on the glass: a tick each cm, longer at 5 and 10."""
    width = _RULER_CM * _CM
    pen.rectangle(
        _fine((_RULER_LEFT, _RULER_TOP, _RULER_LEFT + width, _RULER_TOP + 40)),
        fill="#f6f1df", outline=_INK, width=_FINE,
    )  # fmt: skip
    for cm in range(_RULER_CM + 1):
        x, tall = _RULER_LEFT + cm * _CM, 24 if cm % 5 == 0 else 14
        pen.line(_fine((x, _RULER_TOP, x, _RULER_TOP + tall)), fill=_INK, width=2 * _FINE)
