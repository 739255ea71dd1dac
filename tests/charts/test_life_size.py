"""An animal against a ruler: drawn to the ruler's scale, readable without seeing it."""

import re
from xml.etree import ElementTree as ET

import pytest

from app.charts.life_size import life_size, outlines, ruler_cm
from app.charts.silhouettes import SILHOUETTES, shape_of, silhouette
from app.knowledge.load import load


@pytest.mark.parametrize(
    ("longest", "ruler"), [(0.0, 5), (4.0, 5), (4.1, 6), (11.0, 12), (11.5, 15), (39.5, 50)]
)
def test_a_ruler_is_a_little_longer_than_the_longest(longest: float, ruler: int) -> None:
    assert ruler_cm(longest) == ruler


@pytest.mark.parametrize("shape", ["slim", "eel", "snail", "a shape that nobody drew"])
@pytest.mark.parametrize("adult_cm", [2.0, 4.5, 9.0])
def test_the_outline_is_as_long_as_the_ruler_says(shape: str, adult_cm: float) -> None:
    drawing = ET.fromstring(life_size(shape, adult_cm, 10, "words"))
    place = next(drawing.iter("use")).attrib["transform"]
    scale = float(re.findall(r"scale\(([\d.]+)\)", place)[0])
    marks = [float(text.attrib["x"]) for text in drawing.iter("text")]
    per_cm = (marks[-1] - marks[0]) / 10
    assert scale * silhouette(shape).length / per_cm == pytest.approx(adult_cm, rel=0.002)


def test_marks_carry_whole_centimeters() -> None:
    drawing = ET.fromstring(life_size("slim", 3.0, 5, "words"))
    assert [t.text for t in drawing.iter("text")] == ["0", "1", "2", "3", "4", "5"]


def test_words_stand_for_the_picture_and_are_escaped() -> None:
    svg = life_size("slim", 3.0, 5, 'A <grown> "fish"')
    assert ET.fromstring(svg).attrib["aria-label"] == 'A <grown> "fish"'
    assert "style=" not in svg


def test_every_drawing_finds_its_outline_once_on_the_page() -> None:
    shapes = ["slim", "bottom", "slim", "a shape that nobody drew"]
    there = [g.attrib["id"] for g in ET.fromstring(outlines(shapes)).iter("g")]
    used = {
        use.attrib["href"].removeprefix("#")
        for shape in shapes
        for use in ET.fromstring(life_size(shape, 4.0, 5, "words")).iter("use")
    }
    assert sorted(used) == there


@pytest.mark.parametrize(
    ("name", "band", "shape"),
    [
        ("Kuhli loach", "bottom", "eel"),
        ("Peppered corydoras", "bottom", "bottom"),
        ("Harlequin rasbora", "middle", "deep"),
        ("Neon tetra", "middle", "slim"),
        ("Amano shrimp", "bottom", "shrimp"),
        ("Nobody said what it is", "bottom", "bottom"),
        ("Nobody said what it is", "surface", "slim"),
    ],
)
def test_the_outline_goes_with_the_build_of_the_animal(name: str, band: str, shape: str) -> None:
    species = next((s for s in load().species.values() if s.common_name == name), None)
    assert shape_of(species, band) == shape


def test_every_animal_of_the_list_gets_one_of_the_drawn_shapes() -> None:
    builds = {s.build for s in load().species.values() if s.group == "fish"}
    assert {"eel-like", "elongated", "fusiform", "short/deep"} <= builds
    assert {shape_of(s, "middle") for s in load().species.values()} <= set(SILHOUETTES)
