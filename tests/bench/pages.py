"""What pages and saves cost beside their floors, and how they grow with years and tanks."""

from collections.abc import Iterator
from pathlib import Path

import jinja2
from sqlalchemy import select

from app.storage.engine import Database
from app.storage.models.entry import Entry
from app.storage.models.evaluation import Evaluation
from app.storage.models.site import Site
from app.storage.models.tank import Tank
from tests.bench.measure import Bar, Call, beside, exponent, median_s
from tests.bench.served import FLOOR, Meals, Served, served
from tests.bench.years import filled
from tests.statements import asked_of

_BARE = jinja2.Environment(autoescape=True).from_string(
    "<!doctype html><title>x</title><ul>{% for row in rows %}<li>{{ row.name }} {{ row.word }}"
    " {{ row.line }}</li>{% endfor %}</ul>"
)
_LIST = "/tanks?show=all"
_TODAY, _TO_DO, _STORY = "/tank/1/", "/tank/1/to-do", "/tank/1/story"
_PAGES = (_TODAY, _TO_DO, _STORY, "/tank/1/charts/temperature?days=365", _LIST, "/numbers",
          "/tank/1/write-down", "/words", "/settings", "/tank/1/share", "/people")  # fmt: skip
MOST_KB = 60.0


def bare_board(database: Database) -> None:
    """The floor of a board: three statements and a bare template."""
    with database.reading() as session:
        names = dict(session.execute(select(Tank.id, Tank.name)).tuples().all())
        session.execute(select(Site.name)).all()
        kept = session.execute(
            select(Evaluation.tank_id, Evaluation.state, Evaluation.state_line)
        ).all()
        rows = [{"name": names[i], "word": word, "line": line} for i, word, line in kept]
        _BARE.render(rows=rows)


def bare_story(database: Database) -> None:
    """The floor of a story: the last 50 entries by their index, and a bare template."""
    with database.reading() as session:
        found = session.execute(
            select(Entry.id, Entry.kind, Entry.happened_at)
            .where(Entry.tank_id == 1)
            .order_by(Entry.happened_at.desc(), Entry.id.desc())
            .limit(50)
        ).all()
        _BARE.render(rows=[{"name": k, "word": at, "line": i} for i, k, at in found])


def of_saves(browser: Served, rounds: int) -> Iterator[Bar]:
    """What a meal costs, in units of a trivial page, and in statements."""
    meals = Meals(browser)
    units = beside(lambda: browser.get(FLOOR), meals.save, rounds=rounds, before=meals.open)
    yield Bar(name="log a feeding, CPU, in trivial pages", value=units, bar=45, unit="U")
    meals.open()
    with asked_of(browser.database) as asked:
        meals.save()
    yield Bar(name="SQL statements per Save", value=float(len(asked)), bar=15, unit="")


def of_boards(folder: Path, years: float, sizes: tuple[int, ...], rounds: int) -> Iterator[Bar]:
    """Boards of few and many tanks, and how their cost grows."""
    limits = {1: 4.0, 30: 3.0, 300: 2.5}
    taken, asked_for = [], []
    for size in sizes:
        database = filled(folder / f"board-{size}", tank_count=size, years=years)
        browser = served(database, folder / f"board-{size}")
        browser.get(_LIST)  # works out what nobody has looked at yet, and keeps it
        ratio = beside(
            lambda: bare_board(database),  # noqa: B023  # called at once
            lambda: browser.get(_LIST),  # noqa: B023
            rounds=rounds,
        )
        if size in limits:
            name = f"board, {size} tanks of {years:g} years"
            yield Bar(name=name, value=ratio, bar=limits[size])
        taken.append(median_s(lambda: browser.get(_LIST), 9))  # noqa: B023
        with asked_of(database) as asked:
            browser.get(_LIST)
        asked_for.append(len(asked))
        database.close()
    same = "constant" if len(set(asked_for)) == 1 else f"{asked_for}"
    yield Bar(
        name="SQL statements of the board", value=float(max(asked_for)), bar=12, unit="",
        note=same,
    )  # fmt: skip
    bigger = [(size, s) for size, s in zip(sizes, taken, strict=True) if size >= 10]
    if len(bigger) > 1:
        slope = exponent([size for size, _ in bigger], [s for _, s in bigger])
        yield Bar(name="board: growth in tanks", value=slope, bar=1.15, unit="")


def of_years(folder: Path, tank_count: int, years: tuple[float, ...], rounds: int) -> Iterator[Bar]:
    """How pages and saves grow with the years of a record."""
    taken: dict[str, list[float]] = {}
    for span in years:
        database = filled(folder / f"years-{span}", tank_count=tank_count, years=span)
        browser = served(database, folder / f"years-{span}")
        meals = Meals(browser)
        calls: dict[str, tuple[Call, Call | None]] = {
            "board": (lambda: browser.get(_LIST), None),  # noqa: B023
            "list of tasks": (lambda: browser.get(_TO_DO), None),  # noqa: B023
            "Today": (lambda: browser.get(_TODAY), None),  # noqa: B023
            "Save": (meals.save, meals.open),
        }
        browser.get(_LIST)
        for name, (call, before) in calls.items():
            median_s(call, 1, before=before)
            taken.setdefault(name, []).append(median_s(call, 3 * rounds, before=before))
        database.close()
    for name, found in taken.items():
        yield Bar(name=f"{name}: growth in years", value=exponent(years, found), bar=0.05, unit="")


def of_one_tank(browser: Served, rounds: int) -> Iterator[Bar]:
    """The story beside its floor, and the size of pages."""
    ratio = beside(lambda: bare_story(browser.database), lambda: browser.get(_STORY), rounds=rounds)
    yield Bar(name="story with its last entries", value=ratio, bar=3)
    largest, where = 0, ""
    for path in _PAGES:
        browser.get(path)
        if len(browser.body) > largest:
            largest, where = len(browser.body), path
    yield Bar(name="largest page", value=largest / 1000, bar=MOST_KB, unit="KB", note=where)
