"""Forced colors and less motion: the states, what is chosen and the focus are still seen."""

import pytest
from playwright.sync_api import Page

from tests.browser.hands import FOCUS_FAULT
from tests.browser.school import School

# the colors in which the parts of a mark are painted
PAINTED = """mark => [...mark.querySelectorAll("*")].flatMap(part => {
  const style = getComputedStyle(part);
  return [style.stroke, style.fill];
})"""
PAPER = "getComputedStyle(document.body).backgroundColor"
CLEAR = {"none", "rgba(0, 0, 0, 0)"}
# edge and outline of a choice
DRAWN = """label => {
  const { borderTopWidth, borderTopColor, outlineStyle } =
    getComputedStyle(label.querySelector("input + span") ?? label);
  return [`${borderTopWidth} ${borderTopColor}`, outlineStyle];
}"""
MOVES = """[...document.querySelectorAll("html, .btn, .key")].some(each => {
  const style = getComputedStyle(each);
  return style.scrollBehavior === "smooth" || /[1-9]/.test(style.transitionDuration)
    || style.animationName !== "none";
})"""


@pytest.fixture
def forced(school: School) -> Page:
    """Today in the colors of a reader who needs their own."""
    page = school.adult(forced_colors="active", reduced_motion="reduce")
    assert page.evaluate("matchMedia('(forced-colors: active)').matches")
    return page


def test_the_marks_of_states_are_seen_in_forced_colors(forced: Page) -> None:
    marks = forced.locator(".state-big .mark, .task-mark .mark").all()
    assert marks
    for mark in marks:
        assert set(mark.evaluate(PAINTED)) - CLEAR - {forced.evaluate(PAPER)}


def test_focus_and_choice_are_told_apart_in_forced_colors(forced: Page, school: School) -> None:
    forced.goto(f"{school.today}look")
    forced.locator(".pick").evaluate_all("all => all.forEach(each => { each.open = true; })")
    for kind in (".choice", ".tile"):
        name = forced.locator(f"{kind} input:not(:checked)").first.get_attribute("id")
        choice = forced.locator(f"{kind}:has(#{name})")
        plain_edge, no_outline = choice.evaluate(DRAWN)
        forced.locator(f"#{name}").focus()
        forced.keyboard.press("Space")
        chosen_edge, outline = choice.evaluate(DRAWN)
        assert (kind, no_outline, outline) == (kind, "none", "solid")
        assert chosen_edge != plain_edge
        assert forced.evaluate(FOCUS_FAULT) == ""
        forced.locator("#main").focus()
        assert choice.evaluate(DRAWN) == [chosen_edge, "none"]


def test_nothing_moves_for_who_asked_for_that(school: School) -> None:
    page = school.adult(reduced_motion="no-preference")
    page.goto(f"{school.today}feed")
    assert page.evaluate(MOVES) is True
    page.emulate_media(reduced_motion="reduce")
    assert page.evaluate(MOVES) is False
