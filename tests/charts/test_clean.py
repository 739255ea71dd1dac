"""What comes through the cleaning, and what does not."""

import pytest

from app.charts import clean, style
from app.charts.style import Sheet

from .picture import of_class, parse, words


def drawn(*texts: str) -> str:
    with style.DRAWING:
        sheet = Sheet(100.0)
        sheet.line([0.0, 10.04], [0.0, 10.06], "series-1 extra")
        sheet.marks([5.0], [5.0], "event", "o", 7.0)
        sheet.boxes([(0.0, 0.0, 5.0, 5.0)], "range")
        for text in texts:
            sheet.text(10.0, 10.0, text, "strong")
        return clean.svg(sheet, "c1", "A title", "What it shows")


def test_only_known_elements_and_attributes_and_no_style() -> None:
    root = parse(drawn("words"))
    for element in root.iter():
        assert element.tag in clean.ELEMENTS
        assert set(element.attrib) <= clean.ATTRIBUTES | {"role", "aria-labelledby"}
        assert not any(name == "style" or name.startswith("on") for name in element.attrib)


def test_a_gid_becomes_classes_and_marks_point_at_their_shape() -> None:
    root = parse(drawn())
    assert of_class(root, "series-1", "path")
    assert of_class(root, "extra", "path")
    (use,) = of_class(root, "event", "use")
    shapes = {p.get("id"): p for p in root.iter("path") if p.get("id")}
    shape = shapes[use.get("href", "").removeprefix("#")]
    assert shape.get("id", "").startswith("c1-")
    assert "fill" not in shape.attrib  # else the style sheet could not color the `use`
    assert "stroke" not in shape.attrib


def test_places_are_written_to_a_tenth() -> None:
    (path,) = of_class(parse(drawn()), "series-1", "path")
    assert path.get("d") == "M 0 0 L 10 10.1"


def test_title_and_description_name_the_picture() -> None:
    root = parse(drawn())
    assert root.get("role") == "img"
    assert root.get("aria-labelledby") == "c1-t c1-d"
    assert [(e.tag, e.get("id"), e.text) for e in root][:2] == [
        ("title", "c1-t", "A title"),
        ("desc", "c1-d", "What it shows"),
    ]
    assert root.get("viewBox") == "0 0 760 100"
    assert "width" not in root.attrib


@pytest.mark.parametrize(
    ("typed", "shown"),
    [
        ("<script>x</script>", "<script>x</script>"),
        ("$\\frac{$", "$\\frac{$"),
        ("a\x00b\ud800c\x1b", "abc"),
        ("turn\u202egnp", "turngnp"),
        ("two\n\tlines", "two lines"),
        ("水槽 \U0001f420", "水槽 \U0001f420"),
        ("7.2\u00a0mg/L", "7.2\u00a0mg/L"),
        ('" onload="x', '" onload="x'),
    ],
)
def test_any_words_come_out_as_words(typed: str, shown: str) -> None:
    assert words(parse(drawn(typed))) == [shown]


def test_long_words_are_cut() -> None:
    assert clean.plain("abcdef", 4) == "abc…"
    assert clean.plain("abcd", 4) == "abcd"


@pytest.mark.parametrize("chart_id", ["", "1a", 'a"b', "a b", "A"])
def test_an_unfit_id_is_refused(chart_id: str) -> None:
    with pytest.raises(ValueError, match="not fit"):
        clean.clean("<svg/>", chart_id, "", "", {})
