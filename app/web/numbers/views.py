"""Numbers, lists and sources: the very files that the app itself works with."""

from flask import render_template, request, url_for
from flask.typing import ResponseReturnValue

from app.domain.errors import NotFound
from app.services import words as knowledge
from app.services.livestock import catalogue
from app.web.numbers import bp
from app.web.numbers.catalogue import animals_page, kits_page, one_page, plants_page
from app.web.numbers.pages import file_page, numbers_page, sources_page
from app.web.request import database
from app.web.where import place_of_page


@bp.get("/numbers")
def numbers() -> ResponseReturnValue:
    """The files with how much each holds, and what was held against the outside."""
    page = numbers_page(knowledge.numbers(), catalogue.checks())
    return render_template("numbers/numbers.html", page=page)


@bp.get("/numbers/of/<file>")
def of_file(file: str) -> ResponseReturnValue:
    """Every number of one file with its unit, how sure it is, and where it comes from."""
    found = [(n, knowledge.source_of(n)) for n in knowledge.numbers() if n.file == file]
    if not found:
        raise NotFound("There are no numbers of that name.")
    page = file_page(file, found, fahrenheit=_reads_fahrenheit())
    return render_template("numbers/file.html", page=page)


@bp.get("/numbers/sources")
def sources() -> ResponseReturnValue:
    """Every publication with the numbers that come from it."""
    page = sources_page(catalogue.sources(), knowledge.numbers(), fahrenheit=_reads_fahrenheit())
    return render_template("numbers/sources.html", page=page)


@bp.get("/numbers/kits")
def kits() -> ResponseReturnValue:
    """The kinds of test kits with their steps and waits."""
    return render_template("numbers/kits.html", page=kits_page(catalogue.kits()))


@bp.get("/numbers/animals")
def animals() -> ResponseReturnValue:
    """The animals whose name fits what was typed, or all of them."""
    text, start = _asked()
    page = animals_page(
        catalogue.animals(text),
        text,
        start,
        catalogue.list_sources(),
        fahrenheit=_reads_fahrenheit(),
    )
    return render_template("numbers/list.html", page=page)


@bp.get("/numbers/animals/<slug>")
def animal(slug: str) -> ResponseReturnValue:
    """Everything the list holds of one animal, each value with where it comes from."""
    found = catalogue.animal(slug)
    page = one_page(found, catalogue.facts_of(found), url_for(".animals"), "All animals")
    return render_template("numbers/one.html", page=page)


@bp.get("/numbers/plants")
def plants() -> ResponseReturnValue:
    """The plants whose name fits what was typed, or all of them."""
    text, start = _asked()
    page = plants_page(catalogue.plants(text), text, start, fahrenheit=_reads_fahrenheit())
    return render_template("numbers/list.html", page=page)


@bp.get("/numbers/plants/<slug>")
def plant(slug: str) -> ResponseReturnValue:
    """Everything the list holds of one plant, each value with where it comes from."""
    found = catalogue.plant(slug)
    page = one_page(found, catalogue.facts_of(found), url_for(".plants"), "All plants")
    return render_template("numbers/one.html", page=page)


def _reads_fahrenheit() -> bool:
    with database().reading() as session:
        return place_of_page(session).fahrenheit


def _asked() -> tuple[str, int]:
    """What was typed, and the place in the list from which to show."""
    start = request.args.get("start", "")
    known = start.isascii() and start.isdigit() and len(start) < 5
    return request.args.get("name", "").strip()[:80], int(start) if known else 0
