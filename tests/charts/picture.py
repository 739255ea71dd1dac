"""Reading a finished picture back, with the standard library's parser."""

import re
import xml.etree.ElementTree as ET


def parse(svg: str) -> ET.Element:
    """The picture as a tree; fails where it is not well-formed."""
    return ET.fromstring(svg)


def of_class(root: ET.Element, name: str, tag: str) -> list[ET.Element]:
    """Elements of a tag in or under groups of a class."""
    groups = [g for g in root.iter("g") if name in g.get("class", "").split()]
    return [e for g in groups for e in g.iter(tag)]


def strokes(root: ET.Element, name: str) -> list[list[tuple[float, float]]]:
    """The unbroken strokes of a class's lines, each as its places."""
    found = []
    for path in of_class(root, name, "path"):
        if path.get("id"):
            continue
        for part in path.get("d", "").split("M")[1:]:
            numbers = [float(n) for n in re.findall(r"-?\d+(?:\.\d+)?", part)]
            found.append(list(zip(numbers[::2], numbers[1::2], strict=True)))
    return found


def words(root: ET.Element) -> list[str]:
    """All words written in the picture."""
    return [e.text or "" for e in root.iter("text")]
