"""The colors: text and edges stand out enough on every ground, in light and in dark."""

import re
from pathlib import Path

import pytest

SHEETS = Path(__file__).resolve().parents[2] / "static" / "css"
VALUES = (SHEETS / "values.css").read_text("utf-8")
COLOR = re.compile(r"--([\w-]+):\s*(#[0-9a-f]{3,6})\b")


def colors(block: str) -> dict[str, str]:
    """The color values of one rule, as six hexadecimal digits."""
    found = dict(COLOR.findall(block))
    return {k: v if len(v) == 7 else "#" + "".join(2 * c for c in v[1:]) for k, v in found.items()}


def rule(selector: str) -> str:
    start = VALUES.index(selector)
    return VALUES[start : VALUES.index("}", start)]


LIGHT = colors(rule(":root {"))
DARK = colors(rule(":root.dark {"))


def luminance(color: str) -> float:
    """Relative luminance as WCAG 2.2 defines it (https://www.w3.org/TR/WCAG22/)."""
    shares = [int(color[i : i + 2], 16) / 255 for i in (1, 3, 5)]
    red, green, blue = (c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in shares)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(one: str, other: str) -> float:
    """Contrast ratio by the same definition."""
    low, high = sorted((luminance(one), luminance(other)))
    return (high + 0.05) / (low + 0.05)


def test_the_formula_gives_the_published_ratios() -> None:
    # black on white is 21 by definition; #767676 is the standard's well-known gray just over 4.5
    # (W3C, Understanding SC 1.4.3; from memory)
    assert contrast("#000000", "#ffffff") == pytest.approx(21)
    assert contrast("#767676", "#ffffff") == pytest.approx(4.54, abs=0.01)


GROUNDS = ("paper", "slip", "water")
TEXTS = ("ink", "soft", "glass", "act", "watch", "now", "fog", "steady")
ON = [("glass-ink", "glass"), ("deep-ink", "deep"), ("now-ink", "now")]
ON += [("ink", t) for t in ("glass-tint", "watch-tint", "act-tint", "now-tint", "fog-tint")]
SERIES = [(f"series-{n}", "slip") for n in (1, 2, 3, 4)]
SHAPES = [(shape, ground) for shape in ("edge", "water-line") for ground in GROUNDS]


@pytest.mark.parametrize("theme", [LIGHT, DARK], ids=["light", "dark"])
@pytest.mark.parametrize(
    ("text", "ground"), [*((t, g) for t in TEXTS for g in GROUNDS), *ON, *SERIES]
)
def test_text_can_be_read(theme: dict[str, str], text: str, ground: str) -> None:
    assert contrast(theme[text], theme[ground]) >= 4.5  # WCAG 2.2, SC 1.4.3


@pytest.mark.parametrize("theme", [LIGHT, DARK], ids=["light", "dark"])
@pytest.mark.parametrize(("shape", "ground"), SHAPES)
def test_edges_and_shapes_can_be_seen(theme: dict[str, str], shape: str, ground: str) -> None:
    assert contrast(theme[shape], theme[ground]) >= 3  # WCAG 2.2, SC 1.4.11


def test_both_copies_of_the_dark_values_agree() -> None:
    assert colors(rule(":root:not(.light) {")) == DARK
    assert set(DARK) == set(LIGHT)


def test_no_sheet_uses_a_value_that_nobody_set() -> None:
    text = "\n".join(sheet.read_text("utf-8") for sheet in SHEETS.glob("*.css"))
    used = set(re.findall(r"var\(--([\w-]+)\)", text))
    assert used - set(re.findall(r"--([\w-]+)\s*:", text)) == set()


def test_nothing_is_loaded_from_elsewhere() -> None:
    text = "\n".join(sheet.read_text("utf-8") for sheet in SHEETS.glob("*.css"))
    assert not re.search(r"url\(|@import|https?:", text)
