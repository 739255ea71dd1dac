"""Units with long names on the narrowest screen: the chosen one is read whole."""

import jinja2
from playwright.sync_api import Browser
from wtforms import Form, SelectField, StringField

from app import resources
from app.domain.quantities import FACTS
from app.web.fields import unit_choices

NAMES = sorted(
    {name for facts in FACTS.values() for name in unit_choices(facts).values()}
    | {
        f"{facts.label}: {name}"
        for facts in FACTS.values()
        for name in unit_choices(facts).values()
    }
)
FORM = """{% from "macros/fields.html" import number_field, select_field %}
<main><section class="band"><h2>Test</h2><div class="form">
{{ number_field(form.number, unit_field=form.unit) }}{{ select_field(form.unit) }}
</div></section></main>"""
SHEETS = ("values", "base", "shell", "forms")
# what stands in a select, as text of the same letters in a box of the same width
CUT = """all => all.filter(select => {
  const box = document.createElement("div"), style = getComputedStyle(select);
  for (const name of ["font", "width", "padding", "border", "boxSizing", "whiteSpace"])
    box.style[name] = style[name];
  box.textContent = select.selectedOptions[0].text;
  document.body.append(box);
  return box.scrollWidth > box.clientWidth || box.offsetHeight > select.offsetHeight;
}).length"""


def test_a_chosen_name_is_read_whole(browser: Browser) -> None:
    class _Form(Form):
        number = StringField("Number")
        unit = SelectField("Unit")

    templates = jinja2.Environment(
        loader=jinja2.FileSystemLoader(resources.templates()), autoescape=True
    )
    css = "".join(
        (resources.static() / "css" / f"{name}.css").read_text(encoding="utf-8") for name in SHEETS
    )
    page = browser.new_page(viewport={"width": 320, "height": 600})
    cut = []
    for name in NAMES:
        form = _Form()
        form.unit.choices = {"": name}
        body = templates.from_string(FORM).render(form=form)
        page.set_content(f"<!doctype html><style>{css}</style>{body}")
        if page.eval_on_selector_all("select", CUT):
            cut.append(name)
    page.close()

    assert len(NAMES) > 20
    assert cut == []
