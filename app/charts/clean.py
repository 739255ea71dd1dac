"""From matplotlib's SVG to one that may stand in a page that forbids inline styles.

Only elements and attributes named here come through: every `style` becomes attributes (which
the style sheet outranks), every id gets the chart's id in front, a gid becomes a class, and a
title and a description say in words what the picture shows.
"""

import io
import re
import unicodedata
import xml.etree.ElementTree as ET
from collections.abc import Mapping
from typing import TYPE_CHECKING, Final

if TYPE_CHECKING:
    from app.charts.style import Sheet

_SVG: Final = "{http://www.w3.org/2000/svg}"
_HREF: Final = "{http://www.w3.org/1999/xlink}href"

ELEMENTS: Final = frozenset({"svg", "g", "defs", "path", "use", "text", "title", "desc"})
ATTRIBUTES: Final = frozenset({
    "class", "d", "fill", "fill-opacity", "href", "id", "stroke", "stroke-dasharray",
    "stroke-dashoffset", "stroke-linecap", "stroke-linejoin", "stroke-opacity", "stroke-width",
    "text-anchor", "viewBox", "x", "y",
})  # fmt: skip

_NUMBER: Final = re.compile(r"-?\d+\.\d+")
_CHART_ID: Final = re.compile(r"[a-z][a-z0-9-]*")
# where matplotlib found no gid it writes names of its own
_OWN_NAME: Final = re.compile(
    r"figure_|axes_|patch_|text_|line2d_|m[0-9a-f]{10}$|matplotlib|words$"
)
# Control signs, halves of surrogate pairs and what turns the direction of the line
_UNWANTED: Final = {"Cc", "Cs", "Cn", "Co"}
_TURNING: Final = frozenset("\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069\u200e\u200f")


def plain(words: str, longest: int | None = None) -> str:
    """Words fit for XML and for one line: no control signs, runs of space made one.

    Args:
        words: Anything a person may have typed.
        longest: Number of letters after which the rest becomes "…"; None keeps all.
    """
    kept = "".join(
        " " if sign.isspace() and sign != "\u00a0" else sign
        for sign in words
        if sign.isspace() or (sign not in _TURNING and unicodedata.category(sign) not in _UNWANTED)
    )
    line = re.sub(" +", " ", kept).strip()
    if longest is not None and len(line) > longest:
        return line[: longest - 1].rstrip() + "…"
    return line


def svg(sheet: "Sheet", chart_id: str, title: str, desc: str) -> str:
    """The finished picture of a sheet. Call while holding `style.DRAWING`."""
    drawn = io.StringIO()
    sheet.figure.savefig(drawn, format="svg", metadata={"Date": None}, transparent=True)
    return clean(drawn.getvalue(), chart_id, title, desc, sheet.texts)


def clean(drawn: str, chart_id: str, title: str, desc: str, texts: Mapping[str, str]) -> str:
    """Clean one SVG as matplotlib writes it.

    Args:
        drawn: The SVG document.
        chart_id: Lower-case letters, digits and "-", unlike any other id in the page.
        title: Names the picture.
        desc: Says what it shows.
        texts: What stands in place of each text that was drawn.

    Raises:
        ValueError: If `chart_id` is not fit for an id.
    """
    if not _CHART_ID.fullmatch(chart_id):
        raise ValueError(f"not fit for an id: {chart_id!r}")
    root = ET.fromstring(drawn)  # noqa: S314 - our own drawing; no outside words are in it yet
    _prune(root)
    for element in root.iter():
        _rewrite(element, f"{chart_id}-", texts)
    return _serialize(root, chart_id, plain(title), plain(desc))


def _prune(parent: ET.Element) -> None:
    """Drop unknown elements, comments, the paper itself and groups that hold nothing."""
    for child in list(parent):
        name = child.tag.removeprefix(_SVG) if isinstance(child.tag, str) else ""
        if name not in ELEMENTS - {"title", "desc"} or child.get("id", "").startswith("patch_"):
            parent.remove(child)
            continue
        _prune(child)
        if name in {"g", "defs"} and len(child) == 0:
            parent.remove(child)


def _rewrite(element: ET.Element, prefix: str, texts: Mapping[str, str]) -> None:
    element.tag = element.tag.removeprefix(_SVG)
    found = dict(element.attrib)
    element.attrib.clear()
    if element.tag != "path" or "id" not in found:  # a mark takes the color of its `use`
        found |= _declarations(found.pop("style", ""))
    if _HREF in found:
        found["href"] = found[_HREF]
    for name, value in found.items():
        if name == "id":
            element.attrib.update(_identity(element.tag, value, prefix))
        elif name == "href":
            element.set(name, "#" + prefix + value.removeprefix("#"))
        elif name in ATTRIBUTES:
            element.set(name, _NUMBER.sub(_short, " ".join(value.split())))
    if element.tag == "text":
        element.text = plain(texts[element.text or ""])
    element.tail = None
    if element.tag != "text":
        element.text = None


def _declarations(style: str) -> dict[str, str]:
    pairs = (part.split(":", 1) for part in style.split(";") if ":" in part)
    return {name.strip(): value.strip() for name, value in pairs}


def _identity(tag: str, value: str, prefix: str) -> dict[str, str]:
    """A gid becomes classes; only what a `use` points at keeps an id."""
    if tag == "path":
        return {"id": prefix + value}
    base = re.sub(r"__\d+$", "", value)
    return {} if _OWN_NAME.match(base) else {"class": base}


def _short(number: re.Match[str]) -> str:
    """A tenth of a unit is finer than any screen shows."""
    text = f"{float(number.group()):.1f}"
    return "0" if text == "-0.0" else text.removesuffix(".0")


def _serialize(root: ET.Element, chart_id: str, title: str, desc: str) -> str:
    names = f"{chart_id}-t {chart_id}-d"
    attributes = {
        "viewBox": root.get("viewBox", ""),
        "stroke-linejoin": "round",
        "role": "img",
        "aria-labelledby": names,
    }
    page = ET.Element("svg", attributes)
    for tag, key, words in (("title", "t", title), ("desc", "d", desc)):
        ET.SubElement(page, tag, {"id": f"{chart_id}-{key}"}).text = words
    page.extend(_unwrapped(root))
    return ET.tostring(page, encoding="unicode")


def _unwrapped(parent: ET.Element) -> list[ET.Element]:
    """The children, without groups that carry nothing."""
    children: list[ET.Element] = []
    for child in list(parent):
        inner = _unwrapped(child)
        if child.tag == "g" and not child.attrib:
            children += inner
            continue
        child[:] = inner
        children.append(child)
    return children
