"""A table on a narrow screen: what a cell holds stays together beside its label."""

import jinja2
import pytest
from markupsafe import Markup
from playwright.sync_api import Browser

from app import resources

LABEL_PX = 128  # 8 rem of 16 px
TABLE = """{% from "macros/tables.html" import table_fold %}
{{ table_fold("Tests", ("Day", "Value"), ((cell, cell),)) }}"""
CELLS = (
    "1.5 mg/L <b>too far off</b>",
    "<i>today</i> and <b>yesterday</b>",
    "1.5 mg/L<br><b>too far off</b>",
)


@pytest.mark.parametrize("cell", CELLS)
def test_text_and_marks_of_a_cell_stand_beside_the_label(browser: Browser, cell: str) -> None:
    templates = jinja2.Environment(
        loader=jinja2.FileSystemLoader(resources.templates()), autoescape=True
    )
    table = templates.from_string(TABLE).render(cell=Markup(cell))
    sheets = (resources.static() / "css" / f"{name}.css" for name in ("values", "base", "story"))
    css = "".join(sheet.read_text(encoding="utf-8") for sheet in sheets)

    page = browser.new_page(viewport={"width": 320, "height": 600})
    page.set_content(f"<!doctype html><style>{css}</style>{table}")
    lefts = page.eval_on_selector_all(
        "tbody b, tbody i", "all => all.map(each => each.getBoundingClientRect().left)"
    )
    page.close()

    assert lefts
    assert min(lefts) >= LABEL_PX
