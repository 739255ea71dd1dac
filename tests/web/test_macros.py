"""The macros: each renders with strict undefined names to valid HTML and says what it was given."""

from __future__ import annotations

import re
from collections import Counter
from dataclasses import dataclass
from pathlib import Path

import jinja2
import pytest
from flask import Flask, render_template_string
from justhtml import JustHTML
from werkzeug.datastructures import MultiDict
from wtforms import (
    BooleanField,
    DateField,
    DecimalField,
    FileField,
    Form,
    PasswordField,
    RadioField,
    SelectField,
    SelectMultipleField,
    StringField,
    TextAreaField,
    TimeField,
)
from wtforms.validators import InputRequired, NumberRange
from wtforms.widgets import CheckboxInput

from app.services import words

ROOT = Path(__file__).resolve().parents[2]
TEMPLATES = ROOT / "templates"
STATES = ("steady", "watch", "act", "now", "fog")
ICONS = [
    *("feed", "look", "therm", "test", "change", "odd", "job", "leaf", "fish", "fixed", "gear"),
    *("print", "clock", "note"),
]
HOSTILE = '"><script>x</script>&'


@dataclass(frozen=True)
class Tank:
    id: int
    name: str
    where: str


@dataclass(frozen=True)
class Shell:
    site_name: str = "Alder Hill School"
    tank: Tank | None = None
    state: str | None = None
    state_word: str = ""
    state_line: str = ""
    nav: tuple[tuple[str, str, bool], ...] = ()
    more: tuple[tuple[str, str, bool], ...] = ()
    help_url: str = "/help"
    is_adult: bool = False
    only_reads: bool = False
    zone_words: str = "New York"
    signed_in: bool = False


ADULT = Shell(
    tank=Tank(1, "Room 12 Stream", "5-Heron"),
    state="watch",
    state_word="Watch",
    state_line="Nobody has tested nitrate for 17 days",
    nav=(("Today", "/t/1", True), ("Write down", "/t/1/write", False)),
    more=(("Story", "/t/1/story", False),),
    is_adult=True,
    signed_in=True,
)


class Sheet(Form):
    warmth = StringField("How warm is the water?", description="Eyes level with it.")
    unit = SelectField("Unit", choices={"c": "°C", "f": "°F"})
    liters = DecimalField("Water out", [NumberRange(0, 50)])
    name = StringField("Name", [InputRequired("Write a name.")])
    secret = PasswordField("Passphrase")
    on = DateField("Which day")
    at = TimeField("What time")
    picture = FileField("Photo")
    note = TextAreaField("What did you see?")
    kind = SelectField("Kind", choices={"a": "Sponge", "b": "Glass"})
    breathing = RadioField("Breathing", choices={"calm": "Calm", "fast": "Fast"})
    signs = SelectMultipleField(
        "Signs", choices={"hides": "Hides", "spots": "Spots"}, option_widget=CheckboxInput()
    )
    plug = BooleanField("The plug light is on")
    helper = RadioField("Who", choices={"1": "Otter", "2": "Past helper 3"})


@pytest.fixture(scope="module")
def app() -> Flask:
    app = Flask("sheets", template_folder=str(TEMPLATES), static_folder=str(ROOT / "static"))
    app.jinja_env.undefined = jinja2.StrictUndefined
    return app


def render(app: Flask, source: str, **context: object) -> str:
    with app.test_request_context():
        return render_template_string(source, **context)


def use(macros: str, call: str) -> str:
    """Template text that imports every public macro of a file and makes one call."""
    text = (TEMPLATES / "macros" / macros).read_text()
    names = re.findall(r"{%-? macro ([a-z]\w*)", text)
    return f'{{% from "macros/{macros}" import {", ".join(names)} %}}{call}'


def parsed(html: str) -> JustHTML:
    """The fragment inside a whole page, parsed strictly, free of what the policy forbids."""
    page = html
    if "<!doctype" not in html:
        page = (
            f"<!doctype html><html lang=en><head><title>x</title></head><body>{html}</body></html>"
        )
    tree = JustHTML(page, strict=True, sanitize=False)
    ids = Counter(node.attrs["id"] for node in tree.query("[id]") if node.attrs)
    assert [name for name, count in ids.items() if count > 1] == []
    assert not re.search(r"<[^>]*\s(style|on\w+)\s*=", re.sub(r'"[^"]*"', '""', html))
    for control in tree.query("[aria-describedby]"):
        attrs = control.attrs or {}
        assert set((attrs["aria-describedby"] or "").split()) <= set(ids)
    for svg in tree.query("svg"):
        attrs = svg.attrs or {}
        inside = attrs.get("x") is not None
        assert inside or attrs.get("aria-hidden") == "true" or attrs.get("role") == "img"
    return tree


def form(**values: str) -> Sheet:
    """The form as it looks after a post that did not pass."""
    sheet = Sheet(MultiDict(values))
    sheet.validate()
    return sheet


CALLS = [
    *[("state.html", f"{{{{ mark('{s}') }}}}{{{{ mark('{s}', 'x') }}}}") for s in STATES],
    *[
        ("state.html", f"{{{{ surface('{s}', 'a') }}}}{{{{ surface('{s}', 'b', tall=true) }}}}")
        for s in STATES
    ],
    ("state.html", "{{ surface(none) }}{{ state_scale() }}"),
    ("state.html", "{{ state_line('act', 'Act') }}{{ state_big('fog', 'Don’t know', 'x', 'y') }}"),
    *[("icons.html", f"{{{{ ico('{name}') }}}}") for name in ICONS],
    *[("icons.html", f"{{{{ feed_picture('{k}') }}}}") for k in ("not", "fed", "none", "twice")],
    ("icons.html", "{{ empty_glass() }}{{ brand_mark() }}"),
    ("readings.html", "{{ scale(20, 29, (23, 26), 24.9, (24, 25), (20, 23, 26, 29)) }}"),
    ("readings.html", "{{ scale(0, 80, (none, 40), labels=(0, 80), step=10, title='Nitrate') }}"),
    ("readings.html", "{{ shelf(3, 14) }}{{ shelf(17, 14) }}{{ shelf(0, 0) }}"),
    (
        "readings.html",
        "<ul class=readings>{{ reading('pH', '6.8', '', 'card', 'today', true) }}</ul>",
    ),
    (
        "tasks.html",
        (
            "<ol class=tasks>{{ task('Feed', state='now') }}{{ task('Trim', day=('8', 'Mon')) }}"
            "{% set card %}{% call why_card() %}{% call why_part('Limit') %}"
            "{{ given([('40 mg/L', 'plan')]) }}{% endcall %}{% endcall %}{% endset %}"
            "{% call task('Look', 'x', 'y', icon='look', done=true, more=card) %}<a href='/'>Go</a>"
            "{% endcall %}</ol>"
        ),
    ),
    (
        "working.html",
        (
            "{% call working() %}{{ sum_from('The box') }}"
            "{{ sum_line('2 × 3 =', '6 L', '= 1.6 US gal') }}{% endcall %}"
        ),
    ),
    ("cautions.html", "{{ caution('Before hands get wet', ['Unplug first.', 'Wash.']) }}"),
    (
        "feeding.html",
        (
            "{% call not_fed('Otter feeds.') %}<a href='/'>Feed now</a>{% endcall %}"
            "{{ fed('8:41') }}{{ no_food('planned') }}{{ fed_twice('8:41 and 8:44') }}"
        ),
    ),
    ("tables.html", "{{ table_fold('Kits', ['Kit', 'Step'], [['A', '5'], ['B', '10']], (1,)) }}"),
    ("doors.html", "{{ doors([('feed', 'Feed', '/f'), ('look', 'Look', '/l')], 'Feed') }}"),
    (
        "flash.html",
        (
            "{{ flash('Saved.', token='t1') }}{% call flash('Twice?', 'asks') %}"
            "{{ undo('/u', 'c') }}{% endcall %}"
        ),
    ),
    ("empty.html", "{{ empty('No test yet', 'x') }}{% call empty('a', 'b') %}c{% endcall %}"),
    (
        "entries.html",
        (
            "<ol class=entries>{{ entry('2027-02-08', ('8:41', 'am'), 'feed', 'Fed', 'x', 'y') }}"
            "{% call entry('2027-02-08', ('8:41', ''), 'test', fixed=true, id='e1') %}"
            "<h3>pH <del>8.8</del></h3>{% endcall %}</ol>"
        ),
    ),
    (
        "drawings.html",
        (
            "{% set key = [('bars', 'card'), ('series-1', 'meter'), ('range', 'in')] %}"
            "{% set more = [('kit', 'new'), ('away', 'nobody'), ('event fish', 'fish')] %}"
            "{% set last = [('event-full filter', 'filter'), ('event change', 'change')] %}"
            "{{ chart('It rises.', '', key=key + more + last) }}"
            "{{ tank_drawing('', [('A', '6 fish')], 'x') }}"
        ),
    ),
]


@pytest.mark.parametrize(("macros", "call"), CALLS)
def test_macro_is_valid_html(app: Flask, macros: str, call: str) -> None:
    parsed(render(app, use(macros, call)))


FIELDS = """
{{ errors_summary(f) }}
{% call number_field(f.warmth, '°C') %}{% call offers() %}{{ offer('as', 'f', 'It is 77 °F') }}
{% endcall %}{% endcall %}
{{ keypad(f.warmth.id) }}{{ number_field(f.liters, unit_field=f.unit) }}
{{ text_field(f.name, hint='As on the label') }}{{ text_field(f.secret, autocomplete='off') }}
{{ date_field(f.on) }}{{ time_field(f.at) }}{{ file_field(f.picture, accept='image/*') }}
{{ textarea_field(f.note) }}{{ select_field(f.kind) }}{{ choices(f.breathing) }}
{{ choices(f.signs, legend='What else', legend_hidden=true) }}{{ checkbox_field(f.plug) }}
{% call pick('', '1 flat scoop') %}x{% endcall %}{{ save_bar('/today') }}
"""


@pytest.mark.parametrize("posted", [{}, {"warmth": "77", "liters": "99", "kind": HOSTILE}])
def test_every_field_has_its_label_and_no_forgotten_id(app: Flask, posted: dict[str, str]) -> None:
    tree = parsed(render(app, use("fields.html", FIELDS), f=form(**posted)))
    labeled = {(label.attrs or {}).get("for") for label in tree.query("label")}
    for control in tree.query("input, select, textarea"):
        attrs = control.attrs or {}
        inside = control.parent is not None and control.parent.name == "label"
        assert inside or attrs["id"] in labeled or attrs.get("aria-label"), attrs


def test_a_field_that_did_not_pass_names_its_error(app: Flask) -> None:
    html = render(app, use("fields.html", FIELDS), f=form(liters="99"))
    tree = parsed(html)
    wrong = tree.query("#liters")[0].attrs or {}
    assert wrong["aria-invalid"] == "true"
    assert wrong["aria-describedby"] == "liters-error"
    assert tree.query('.errors a[href="#name"]')
    right = tree.query("#warmth")[0].attrs or {}
    assert "aria-invalid" not in right
    assert right["aria-describedby"] == "warmth-hint warmth-unit"


def test_a_form_without_errors_has_no_summary(app: Flask) -> None:
    html = render(app, use("fields.html", "{{ errors_summary(f) }}"), f=Sheet())
    assert html.strip() == ""


def test_a_number_is_typed_as_text_so_that_a_comma_passes(app: Flask) -> None:
    html = render(app, use("fields.html", "{{ number_field(f.liters, 'L') }}"), f=Sheet())
    field = parsed(html).query("#liters")[0].attrs or {}
    assert field["type"] == "text"
    assert field["inputmode"] == "decimal"
    assert not {"min", "max", "step", "value"} & {k for k, v in field.items() if v}


def test_keypad_hides_until_a_script_shows_it(app: Flask) -> None:
    tree = parsed(render(app, use("fields.html", "<form>{{ keypad('warmth') }}</form>")))
    assert "hidden" in (tree.query(".keypad")[0].attrs or {})
    keys = [button.attrs or {} for button in tree.query("button")]
    assert [key["data-key"] for key in keys] == [*"123456789", ".", "0", "back"]
    assert {key["type"] for key in keys} == {"button"}


def test_tiles_are_radios_and_an_unknown_nickname_gets_a_picture_too(app: Flask) -> None:
    html = render(app, use("tiles.html", "{{ tile_choices(f.helper) }}"), f=Sheet())
    tree = parsed(html)
    assert [label.to_text().strip() for label in tree.query("label")] == ["Otter", "Past helper 3"]
    assert len(tree.query("label > svg")) == 2
    assert "tile-stone" in html
    assert "tile-water" in html


def test_all_pictures_of_nicknames_can_be_drawn(app: Flask) -> None:
    source = use(
        "tiles.html",
        '{% from "drawings/tiles.html" import TILES %}'
        '<ul class="tiles">{% for n in TILES %}'
        '<li>{{ tile(n, "/") }}{{ mini(n) }}</li>{% endfor %}</ul>',
    )
    tree = parsed(render(app, source))
    assert len(tree.query("a.tile")) == len(words.nicknames())
    drawings = {node.to_html() for node in tree.query("a.tile > svg")}
    assert len(drawings) == len(words.nicknames()), "two look alike"


@pytest.mark.parametrize(
    ("macros", "call"),
    [
        ("tiles.html", "{{ tile(x) }}{{ mini(x) }}"),
        ("state.html", "{{ state_line('watch', x, x) }}"),
        ("feeding.html", "{{ fed(x, x) }}"),
        ("tasks.html", "<ol>{{ task(x, x, x) }}</ol>"),
        ("tables.html", "{{ table_fold(x, [x, 'b'], [[x, x]]) }}"),
        ("flash.html", "{{ flash(x, token=x) }}"),
        ("entries.html", "<ol>{{ entry('2027', ('8', ''), 'feed', x, x, x) }}</ol>"),
        ("drawings.html", "{{ tank_drawing('', [('A', x)], x) }}"),
        ("readings.html", "<ul>{{ reading(x, x, x, x, x) }}{{ scale(0, 1, title=x) }}</ul>"),
    ],
)
def test_what_people_wrote_stays_text(app: Flask, macros: str, call: str) -> None:
    tree = parsed(render(app, use(macros, call), x=HOSTILE))
    assert tree.query("script") == []


def test_the_scale_puts_values_where_they_belong(app: Flask) -> None:
    call = "{{ scale(0, 80, (0, 40), 20, (10, 100), (0, 80), 10) }}"
    tree = parsed(render(app, use("readings.html", call)))
    ours = tree.query("rect.range")[0].attrs or {}
    maybe = tree.query("rect.maybe")[0].attrs or {}
    pointer = tree.query("svg > svg")[0].attrs or {}
    assert (ours["x"], ours["width"]) == ("0%", "50%")
    assert (maybe["x"], maybe["width"]) == ("12.5%", "87.5%")  # cut at the end of the scale
    assert pointer["x"] == "25%"
    assert len(tree.query("line.tick")) == 9 + 2 + 1


def test_the_strip_ends_where_the_reading_does(app: Flask) -> None:
    def left(age: int) -> list[str | None]:
        html = render(app, use("readings.html", f"{{{{ shelf({age}, 14) }}}}"))
        return [(r.attrs or {})["width"] for r in parsed(html).query("rect.left")]

    assert left(7) == ["50%"]
    assert left(14) == ["0%"]
    assert left(15) == []  # past its end: fog, no water left


PAGE = '{% extends "layout.html" %}{% block page_title %}To <b>do</b>{% endblock %}'


def test_the_layout_for_an_adult(app: Flask) -> None:
    tree = parsed(render(app, PAGE, shell=ADULT))
    assert tree.query("title")[0].to_text() == "To do – Sillpond"
    assert len(tree.query("h1")) == 1
    assert [a.to_text() for a in tree.query(".nav a[aria-current]")] == ["Today"]
    assert tree.query(".nav-more a")
    assert tree.query(".head .state-word")[0].to_text() == "Watch"
    assert tree.query(".surface-watch")


def test_the_layout_for_somebody_who_has_not_come_in(app: Flask) -> None:
    tree = parsed(render(app, PAGE, shell=Shell()))
    assert tree.query("nav") == []
    assert tree.query(".state") == []
    assert tree.query(".surface-plain")


def test_a_page_may_do_without_head_and_navigation(app: Flask) -> None:
    page = (
        '{% extends "layout.html" %}{% block title %}Door view{% endblock %}'
        "{% block body_class %}door-view{% endblock %}{% block sill %}{% endblock %}"
        "{% block head_wrap %}{% endblock %}{% block foot %}{% endblock %}"
        "{% block content %}<h1>Room 12</h1>{% endblock %}"
    )
    tree = parsed(render(app, page, shell=ADULT))
    assert tree.query("title")[0].to_text() == "Door view – Sillpond"
    assert tree.query("header, footer, nav") == []


def test_every_sheet_is_linked_by_the_layout_or_by_the_pages_that_need_it(app: Flask) -> None:
    tree = parsed(render(app, PAGE, shell=Shell()))
    linked = [Path((a.attrs or {})["href"] or "").name for a in tree.query("link[rel=stylesheet]")]
    assert len(linked) == len(set(linked))
    there = {sheet.name for sheet in (ROOT / "static" / "css").glob("*.css")}
    pages = "".join(page.read_text("utf-8") for page in (ROOT / "templates").rglob("*.html"))
    of_pages = {name for name in there if f"css/{name}" in pages}
    assert set(linked) | of_pages == there
