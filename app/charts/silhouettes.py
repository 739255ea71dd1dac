"""Outlines of animals by body shape, swimming to the left, for drawings to scale.

Each shape is a list of parts in units of its own; `Silhouette.length` is the distance from snout to
tip of the tail in these units, so that a drawing can scale it to a length in cm. Colors come from
the style sheet, by class.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from xml.etree.ElementTree import Element, SubElement

from app.knowledge.catalogue import Species


@dataclass(frozen=True)
class Silhouette:
    """Parts as (tag, attributes), with the box that they fill: x from 0 to length, y down."""

    length: float
    top: float
    bottom: float
    parts: tuple[tuple[str, Mapping[str, str]], ...]

    @property
    def height(self) -> float:
        """From the highest fin to the lowest, in the shape's own units."""
        return self.bottom - self.top

    def group(self, identity: str) -> Element:
        """An SVG group with that id, to be placed with `use`."""
        group = Element("g", {"id": identity})
        for tag, attributes in self.parts:
            SubElement(group, tag, dict(attributes))
        return group


def _path(kind: str, d: str) -> tuple[str, Mapping[str, str]]:
    return "path", {"class": kind, "d": d}


def _eye(x: float, y: float, size: float) -> tuple[tuple[str, Mapping[str, str]], ...]:
    center = {"cx": f"{x:g}", "cy": f"{y:g}"}
    return (
        ("circle", {"class": "pale", **center, "r": f"{size:g}"}),
        ("circle", {"class": "spot", **center, "r": f"{size * 0.6:g}"}),
    )


_DEEP = Silhouette(
    length=45.5,
    top=-5.5,
    bottom=23,
    parts=(
        _path(
            "fin-1",
            "M37 7C40 4 43 1 45.5 0C43.5 4 43 6 42.8 9C43 12 43.5 14.5 45.5 18.5"
            "C43 17.5 40 14.5 37 11Z"
            "M15 1.5C17-4 22-6 27-5.5C26-3 26.5 0 28 3ZM21 17C22.5 21 26 23 29.5 23"
            "C29 20 30 17 32 14Z"
            "M13.5 17C14 20 15.5 22 18 22.5C18 20.5 18 19 18.5 17Z",
        ),
        _path(
            "fish-1",
            "M0 9C3 5 9 1 17 .5C25 0 33 3 38 7V11C33 14.5 26 18.5 18 18C9 17.5 3 13.5 0 9Z",
        ),
        _path(
            "spot", "M17.5 3.5C19.5 3.5 30 6.5 38 8.8C31 11 25 14.5 21 16.5C18 13 16.5 7 17.5 3.5Z"
        ),
        *_eye(5.5, 7.6, 2.3),
    ),
)

_SLIM = Silhouette(
    length=60,
    top=-6,
    bottom=20,
    parts=(
        _path(
            "fin-1",
            "M50 6C54 3 57 0 60-1.5C58 3 57.5 5 57.4 7.2C57.5 9.5 58 12 60 15.5"
            "C57 14.5 54 11.5 50 9Z"
            "M25 1C27-3 30-5.5 34-6C33.5-3 34 0 36 2ZM33 13C36 17 40 19.5 44 20C43 16 44 13 46 11Z"
            "M18 14C19 17 21 19 24 19.5C23.5 17 24 15 25 13.5Z",
        ),
        _path(
            "fish-1",
            "M0 8C4 4 12 .8 22 .6C33 .4 43 3.6 51 6V9.2C43 11.6 33 14.6 22 14.4C12 14.2 4 12 0 8Z",
        ),
        _path("spot", "M13 6.2C24 4.6 38 5.6 51 7C38 8 24 8.2 13 7.6Z"),
        *_eye(6, 7, 2),
    ),
)

_BOTTOM = Silhouette(
    length=70,
    top=-10.5,
    bottom=29,
    parts=(
        _path(
            "fin-2",
            "M57 10.5C62 8 66 4.5 70 2.5C68 7 67.2 10 67.2 13C67.2 16 68 19.5 70 24"
            "C66 22 62 18 57 15.5Z"
            "M21 2C24-5 27-9.5 30-10.5C34-8.5 36.5-3 38 4ZM47 7C50 4 52 3 54 3.2"
            "C53.5 5 53.5 7 54.5 10Z"
            "M13 20C12 24 13 27 16 29C20 28 23 25 24.5 21ZM42 19.5C42 24 44 26.5 47 27"
            "C48 24 49 21 50.5 17Z"
            "M28.5 21C29 25 31 27 34 27C35 25 35 23 35.5 20Z",
        ),
        _path(
            "fish-2",
            "M1 17C3 10 9 3 19 1C29-.5 45 5 58 10.5V15.5C48 19 36 22 24 22.5C14 23 6 22.5 3 20.5"
            "C1.5 19.5 .6 18.4 1 17Z",
        ),
        _path(
            "plate",
            "M24 2.5C21.5 8 21.5 15 24 21M29.5 3.5C27 9 27 15 29.5 20.5M35 5"
            "C32.5 10 32.5 15 35 19.8"
            "M40.5 6.5C38.3 11 38.3 15 40.5 18.8M46 8.3C44.3 12 44.3 15 46 17.6"
            "M51.5 10C50.3 12.5 50.3 14.5 51.5 16.5",
        ),
        *_eye(10.5, 9.5, 2.4),
        _path("barb", "M2 20C0 22-2 23-3.5 23.5M4 21.4C3 23.4 1.5 24.8 0 25.2"),
    ),
)

_EEL = Silhouette(
    length=90,
    top=0,
    bottom=14.5,
    parts=(
        _path(
            "fin-2",
            "M58 3.6C62 .8 66 0 69 .6C69 2 69 3 70 4ZM13 9C13.5 12 16 14 19 14.5C20 13 20 11 19.5 9"
            "ZM62 9C63 12.5 66 13.6 69 13.2C69.5 12 69 10.5 69 8.6Z",
        ),
        _path(
            "fish-2",
            "M0 7C1.5 4.4 5 2.6 10 2.4C22 2 32 4.4 44 4.2C58 4 68 1.8 80 2.6C84 2.8 87 3.2 88.6 4"
            "C90.4 5.4 90.4 8 88.6 9.4C87 9.6 84 9.2 80 8.8C68 8.4 58 10.6 44 11"
            "C32 11.2 22 9.2 11 9.8C5.5 10 1.2 9.2 0 7Z",
        ),
        _path(
            "spot",
            "M17 2.5L23 2.9 22 7.4H19ZM30 3.6L36 4 35 8.6H32ZM43 4.2L49 4.1 48 8.8H45Z"
            "M56 3.5L62 3 61 8H58ZM69 2.4L75 2.4 74 6.8H71Z",
        ),
        *_eye(5.5, 5.2, 1.1),
        _path("barb", "M1 8C.4 10 1 11.4 2.2 12M3 9.2C3.2 11 4 12 5.2 12.4"),
    ),
)

_SHRIMP = Silhouette(
    length=60,
    top=-6,
    bottom=25,
    parts=(
        _path("barb", "M3 7C10-3 22-7 34-5M3 8C-1 10-2 14 0 18M3 8C3 12 2 16 4 19"),
        _path(
            "barb",
            "M12 14L9 23M16 15L14 24M20 15L19 24.5M24 14.5L24 24M29 15L28 20M34 16.5L33 21.5"
            "M39 18L38 22.5M44 18L44 23",
        ),
        _path("fin-2", "M49 14C53 12.5 57 12.5 60 14C58 16 58 18 60 21.5C56 22 52 21 48.5 19Z"),
        _path(
            "fish-2",
            "M0 6.5L9 6C14 2.5 22 2 27 4.5C36 4 46 8 50.5 14.5C51 16.5 50.5 18.5 49.5 19.5"
            "C43 19 37 17 31 15.5C24 16 16 16 11 14C6 12.5 2.5 10.5 0 6.5Z",
        ),
        _path(
            "plate",
            "M27 4.5C28.5 8 28.5 12 26.5 15.5M33 5.5C34.5 9 34.5 13 33 16M38.5 7.5"
            "C40 11 40 14.5 38.5 17.5M44 10.5C45.5 13 45.5 16 44 18.8",
        ),
        *_eye(7, 7.4, 1.3),
    ),
)

_SNAIL = Silhouette(
    length=50,
    top=-2,
    bottom=30,
    parts=(
        _path("barb", "M4 22C2 19 1.5 17 2 14.5M8 21.5C8 18.5 8.5 16.5 10 14.5"),
        _path(
            "fish-2",
            "M0 25.5C1 22 5 20.5 10 21.5L42 24C46 25.5 49 28 50 30H6C2.5 30 0 28.5 0 25.5Z",
        ),
        _path(
            "fish-1",
            "M12 25C8.5 15 13 4 23 0C33-4 44 3 45 13C45.6 19 43 24 38 26.5C29 28 19 27.5 12 25Z",
        ),
        _path(
            "plate",
            "M38 26.5C41 21 40 13 34.5 10C29 7 22.5 10 22 15.5C21.6 20 25 23 29 22"
            "C32 21 33 17.5 31 15.5C29.5 14 27 14.6 26.8 16.6",
        ),
        _path("spot", "M4.6 24A.9 .9 0 1 1 2.8 24A.9 .9 0 1 1 4.6 24Z"),
    ),
)

SILHOUETTES: Mapping[str, Silhouette] = {
    "deep": _DEEP,
    "slim": _SLIM,
    "bottom": _BOTTOM,
    "eel": _EEL,
    "shrimp": _SHRIMP,
    "snail": _SNAIL,
}
PLAIN_SHAPE = "slim"
_GROUPS = {"shrimp": "shrimp", "crayfish": "shrimp", "snail": "snail"}


def shape_of(species: Species | None, band: str) -> str:
    """The outline that stands for an animal: by its kind and build, else by where it lives."""
    if species is not None:
        if species.group in _GROUPS:
            return _GROUPS[species.group]
        if species.build == "eel-like":
            return "eel"
    if band == "bottom":
        return "bottom"
    return "deep" if species is not None and species.build == "short/deep" else PLAIN_SHAPE


def silhouette(shape: str) -> Silhouette:
    """The outline of that body shape; a shape that nobody drew gets the plain one."""
    return SILHOUETTES.get(shape, SILHOUETTES[PLAIN_SHAPE])
