"""A checker that knows of a server only where it is: what it finds must be nothing.

``python -m tests.security.black_box`` fills a record, starts a server on it, and looks at it as a
stranger could: every page and form of each role by links, garbled forms and then all pages again,
headers, cookies, host names, paths, sessions, waits, and saves under 1, 8 and 40 clients. Then a
server is killed again and again in the middle of saves. A test runs the short form, also against
an application in which faults were planted.
"""

import argparse
import random
import re
import statistics
import sys
import tempfile
import time
from collections import Counter
from collections.abc import Iterable, Iterator
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, field
from itertools import islice
from pathlib import Path
from typing import Final, Protocol
from urllib.parse import urlsplit

from flask.testing import FlaskClient
from werkzeug.test import TestResponse

from tests.durability.browser import served
from tests.durability.children import fresh
from tests.durability.rounds import killed_rounds
from tests.security import headers, planted
from tests.security.far import GONE, far_client
from tests.security.fuzzing import fuzz, sendable
from tests.security.house import COOKIE, Caller
from tests.security.invented import invented
from tests.security.walking import Found, forms_on
from tests.web.crawling import crawl

SEED: Final = 20270208
OWNER: Final = "keeper"
WITHOUT_SESSION: Final = ("stranger", "family", "sitter", "calendar")
CLIENTS: Final = (1, 8, 40)
_REFUSED: Final = {400, 401, 403, 404, 405}
# numbers, days and keys of an address
_SINGLE: Final = re.compile(r"(?<=/)(?:\d[\d-]*|[\w-]{20,})(?=[/.]|$)")
_AWAY: Final = ("//elsewhere.example/", "/\\elsewhere.example", "/%0d%0aX-Planted:%201", "/%2f%2fx")
_OUTSIDE: Final = (
    "/static/../pyproject.toml", "/static/%2e%2e/pyproject.toml", "/static/..%2fpyproject.toml",
    "/static/%5c..%5cpyproject.toml", "/static//etc/passwd", "/static/css/../../app/settings.py",
)  # fmt: skip


class Site(Protocol):
    """What has to be known of a server: how to come in, to write one thing down, to list them."""

    base: str
    callers: dict[str, Caller]

    def come_back(self, caller: Caller) -> None:
        """Give a browser the session that it had."""

    def put_back(self) -> None:
        """Let the record be what it was, where that can be."""

    def ends(self, action: str) -> bool:
        """Whether a form may end what somebody can see."""

    def newcomer(self) -> FlaskClient:
        """A keeper in a session of their own, which may be ended."""

    def try_in(self, passphrase: str) -> TestResponse:
        """Try to come in as the keeper; "" for the right words."""

    def write(self, client: FlaskClient, token: str, words: str) -> TestResponse:
        """Write one thing down, by a form with this token."""

    def written(self) -> list[str]:
        """The words of everything that was written so, as often as it stands there."""

    def sign_out(self, client: FlaskClient) -> None:
        """End the session of a browser."""


@dataclass
class Seen:
    """What each caller reached: kinds of addresses with one address each, and forms."""

    pages: dict[str, dict[str, str]] = field(default_factory=dict)
    forms: list[Found] = field(default_factory=list)


def kind_of(path: str) -> str:
    """An address without its numbers, days and keys; all files are of one kind."""
    return "static" if path.startswith("/static/") else _SINGLE.sub("*", urlsplit(path).path)


def walk(site: Site, seen: Seen, *, most: int) -> Iterator[str]:
    """Look at up to `most` pages of each caller, and keep what they reached."""
    kinds: dict[tuple[str, str, frozenset[str]], Found] = {}
    for caller in site.callers.values():
        site.come_back(caller)
        reached = seen.pages.setdefault(caller.name, {})
        found = crawl(caller.client, caller.start, same=1, kind_of=kind_of)
        for url, found_on, answer in islice(found, most):
            wrong = [*planted.faults_of(answer), *headers.faults_of(answer)]
            if answer.status_code not in {200, 303}:
                wrong.append(f"answered {answer.status_code}; linked on {found_on}")
            yield from (f"{caller.name} at {url}: {fault}" for fault in wrong)
            if answer.status_code == 200:
                reached[kind_of(url)] = url
            for each in forms_on(caller, url, answer):
                where = kind_of(each.form.action)
                kinds.setdefault((caller.name, where, frozenset(each.form.names)), each)
    seen.forms = sendable(kinds.values())


def rights(site: Site, seen: Seen) -> Iterator[str]:
    """What the keeper reaches is closed to whoever has no session, and their forms too."""
    public = set().union(*(seen.pages[name] for name in WITHOUT_SESSION if name in seen.pages))
    mine = {k: url for k, url in seen.pages[OWNER].items() if k not in public and k != "static"}
    open_forms = {kind_of(f.form.action) for f in seen.forms if f.caller.name in WITHOUT_SESSION}
    posts = [f for f in seen.forms if not f.asks]
    hers = [f for f in posts if f.caller.name == OWNER and kind_of(f.form.action) not in open_forms]
    for caller in (site.callers[name] for name in WITHOUT_SESSION if name in site.callers):
        site.come_back(caller)
        for url in mine.values():
            if caller.client.get(url, buffered=True).status_code == 200:
                yield f"{caller.name} opens {url}"
        token = _token_for(seen, caller.name)
        for form in (found.form for found in hers):
            data = {**form.pairs().to_dict(), "csrf_token": token}
            answer = caller.client.post(form.action, data=data, buffered=True)
            sent_away = answer.status_code == 303 and answer.location in {"/", ""}
            if answer.status_code not in _REFUSED and not sent_away:
                yield f"{caller.name} sends {form.action}: {answer.status_code}"


def dead_buttons(site: Site, seen: Seen) -> Iterator[str]:
    """Nobody meets a form that they may not send: without its token, rights are asked first."""
    for found in seen.forms:
        if not found.asks and found.caller.name not in WITHOUT_SESSION:
            site.come_back(found.caller)
            if found.caller.client.post(found.form.action, buffered=True).status_code == 403:
                yield f"{found.caller.name} meets a form on {found.page} that is not for them"


def _token_for(seen: Seen, name: str) -> str:
    mine = (f.form.value("csrf_token") for f in seen.forms if f.caller.name == name)
    return next((token for token in mine if token), "")


def sessions(site: Site) -> Iterator[str]:
    """A session that ended, or a cookie that was changed, opens nothing."""
    inside = site.callers[OWNER].start
    client = site.newcomer()
    if client.get(inside).status_code != 200:
        yield "a keeper who came in anew sees nothing"
    cookie = client.get_cookie(COOKIE)
    value = cookie.value if cookie else ""
    for place in (3, len(value) // 2, len(value) - 4):
        other = "A" if value[place] != "A" else "B"
        forged = far_client(site.base, (COOKIE, value[:place] + other + value[place + 1 :]))
        if forged.get(inside).status_code == 200:
            yield f"a cookie that was changed at {place} opens {inside}"
    site.sign_out(client)
    if far_client(site.base, (COOKIE, value)).get(inside).status_code == 200:
        yield "a cookie opens pages after its session was ended"


def requests(site: Site) -> Iterator[str]:
    """Foreign names, addresses that lead away, and paths that lead out of the folder of files."""
    keeper = site.callers[OWNER]
    site.come_back(keeper)
    answer = keeper.client.get(keeper.start, headers={"Host": "elsewhere.example"})
    if answer.status_code != 400:
        yield f"a foreign name is answered with {answer.status_code}"
    for address in _AWAY:
        answer = keeper.client.get(address)
        if urlsplit(answer.headers.get("Location", "")).netloc not in {"", "localhost"}:
            yield f"{address} leads away to {answer.location}"
        if "X-Planted" in answer.headers:
            yield f"{address} makes a header"
    for address in _OUTSIDE:
        answer = keeper.client.get(address, buffered=True)
        if answer.status_code == 200 or "[project]" in answer.text:
            yield f"{address} is answered with {answer.status_code}"


def waits(site: Site) -> Iterator[str]:
    """Whoever tries passphrases has to wait, with the right one too."""
    answers = [site.try_in(f"wrong words number {number}") for number in range(6)]
    if any(answer.status_code == 303 for answer in answers):
        yield "wrong words let somebody in"
    if site.try_in("").status_code == 303:
        yield "nobody has to wait after six wrong tries"


def saves(site: Site, clients: int, each: int, times: list[float]) -> Iterator[str]:
    """Everybody reads and writes at once; what was answered with success is there once."""
    keeper = site.callers[OWNER]
    saved: list[str] = []
    faults: list[str] = []

    def visit(number: int) -> None:
        client = far_client(site.base, (COOKIE, keeper.cookie))
        for step in range(each):
            words = f"black-box-{clients}-{number}-{step}"
            try:
                begun = time.perf_counter()
                answers = [client.get(keeper.start), site.write(client, f"{words}-token", words)]
                # as an impatient finger does
                answers += [site.write(client, f"{words}-token", words)] if step % 2 else []
                times.append((time.perf_counter() - begun) / len(answers))
            except GONE as gone:
                faults.append(f"no answer under {clients} clients: {gone!r}")
                continue
            faults.extend(f"answered {a.status_code}" for a in answers if a.status_code >= 400)
            if answers[1].status_code == 303:
                saved.append(words)

    with ThreadPoolExecutor(clients) as crowd:
        list(crowd.map(visit, range(clients)))
    yield from faults
    there = Counter(w for w in site.written() if w.startswith(f"black-box-{clients}-"))
    yield from (f"{words} was saved and stands there {there[words]} times" for words in saved
                if there[words] != 1)  # fmt: skip
    yield from (f"{words} stands there and nobody was told" for words in there.keys() - set(saved))


@dataclass
class Report:
    """What was looked at, in lines, and what was found."""

    lines: list[str] = field(default_factory=list)
    faults: list[str] = field(default_factory=list)

    def take(self, what: str, faults: Iterable[str]) -> None:
        """Keep what a check found."""
        found = list(faults)
        self.faults += [f"{what}: {fault}" for fault in found]
        self.lines.append(f"{what}: {len(found)} faults")


def look(
    site: Site, *, most: int, posts: int, clients: Iterable[int] = CLIENTS, each: int = 10
) -> Report:
    """Run all checks that a server outlives."""
    report, seen = Report(), Seen()
    report.take("pages of each role", walk(site, seen, most=most))
    reached = ", ".join(f"{name} {len(pages)}" for name, pages in seen.pages.items())
    report.lines.append(f"  kinds of pages: {reached}; {len(seen.forms)} kinds of forms")
    report.take("rights", rights(site, seen))
    report.take("buttons", dead_buttons(site, seen))
    report.take("sessions", sessions(site))
    report.take("requests", requests(site))
    for number in clients:
        times: list[float] = []
        report.take(f"saves under {number} clients", saves(site, number, each, times))
        report.lines.append(f"  a request took {1000 * statistics.median(times):.0f} ms, p50")
    if posts:
        outcome = fuzz(site, [f for f in seen.forms if not site.ends(f.form.action)], posts)
        report.take(f"{posts} garbled forms", outcome.faults)
        report.lines.append(f"  {outcome.report().splitlines()[0]}")
        again = Seen()
        report.take("pages after them", walk(site, again, most=most))
        report.take("who still sees pages", _lost(seen, again))
    report.take("waits", waits(site))
    return report


def _lost(before: Seen, after: Seen) -> Iterator[str]:
    """A look at pages proves nothing for somebody who sees them no more."""
    for name, pages in before.pages.items():
        if len(after.pages[name]) < len(pages) // 2:
            yield f"{name} sees {len(after.pages[name])} kinds of pages, and saw {len(pages)}"


def main() -> int:
    """The long form: a server of its own, and one that is killed; prints what was found."""
    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("--pages", type=int, default=400)
    asked.add_argument("--posts", type=int, default=10_000)
    asked.add_argument("--rounds", type=int, default=50)
    given = asked.parse_args()
    with tempfile.TemporaryDirectory(prefix="black-box-") as name:
        folder = Path(name)
        with invented(folder) as site:
            report = look(site, most=given.pages, posts=given.posts)
        house = served(folder / "killed", fresh)
        try:
            found = killed_rounds(house, given.rounds, random.Random(SEED))
        finally:
            house.down()
    report.lines.append(
        f"killed {found.rounds} times: {found.answered} entries answered, {found.sent_again} sent "
        "again, none lost, doubled or changed"
    )
    sys.stdout.write("\n".join([*report.lines, *report.faults, ""]))
    sys.stdout.write(f"{len(report.faults)} faults\n")
    return 1 if report.faults else 0


if __name__ == "__main__":
    sys.exit(main())
