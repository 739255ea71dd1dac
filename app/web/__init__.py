"""Pages: blueprints, filters, error pages, headers and rights, hung on one application."""

from flask import Flask

from app.web import errors, filters, navigation, request, rights, security
from app.web.access import bp as access
from app.web.ahead import bp as ahead
from app.web.charts import bp as charts
from app.web.course import bp as course
from app.web.exchange import bp as exchange
from app.web.ideas import bp as ideas
from app.web.livestock import bp as livestock
from app.web.numbers import bp as numbers
from app.web.plants import bp as plants
from app.web.settings import bp as settings
from app.web.story import bp as story
from app.web.tank import bp as tank
from app.web.today import bp as today
from app.web.todo import bp as todo
from app.web.trouble import bp as trouble
from app.web.words import bp as words
from app.web.workings import bp as workings
from app.web.writing import bp as writing

BLUEPRINTS = (
    access, today, writing, todo, trouble, story, charts, ahead, words, numbers, livestock, ideas,
    plants, tank, course, workings, settings, exchange,
)  # fmt: skip


def register(app: Flask) -> None:
    """Hang all pages on the application."""
    for each in (request, security, rights, errors, filters, navigation):
        each.register(app)
    for blueprint in BLUEPRINTS:
        app.register_blueprint(blueprint)
