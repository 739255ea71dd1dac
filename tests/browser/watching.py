"""What a browser test may not overlook: messages in the console and requests to other hosts."""

from collections.abc import Sequence
from urllib.parse import urlsplit

from axe_playwright_python.base import AXE_SCRIPT
from playwright.sync_api import BrowserContext, ConsoleMessage, Error, Page, Route

# what a page carries in itself or hands to itself, and never goes over a wire
WITHIN_THE_PAGE = {"about", "blob", "data"}

REFUSED = "the server responded with a status of 4"
# only a test that takes the connection away sees these
CUT_OFF = ("net::ERR_INTERNET_DISCONNECTED", "net::ERR_CONNECTION_RESET")


class Watch:
    """Collects the faults of everything that happens in one browser context."""

    def __init__(self, context: BrowserContext, address: str) -> None:
        """Watch `context`; only the host and port of `address` may be asked for anything."""
        self.faults: list[str] = []
        self._home = urlsplit(address).netloc
        context.route("**/*", self._let_through_or_stop)
        context.on("page", self._listen)

    def _listen(self, page: Page) -> None:
        page.on("console", self._note_message)
        page.on("pageerror", self._note_error)

    def _note_message(self, message: ConsoleMessage) -> None:
        # Chromium says so of the page itself when a form is asked about: 422 is the answer
        if REFUSED in message.text and message.page and message.location["url"] == message.page.url:
            return
        if any(words in message.text for words in CUT_OFF):
            return
        self.faults.append(f"console {message.type}: {message.text}")

    def _note_error(self, error: Error) -> None:
        self.faults.append(f"script error: {error.message}")

    def _let_through_or_stop(self, route: Route) -> None:
        parts = urlsplit(route.request.url)
        if parts.netloc == self._home or parts.scheme in WITHIN_THE_PAGE:
            route.continue_()
        else:
            self.faults.append(f"request to another host: {route.request.url}")
            route.abort()


COLOR_RULES = ("color-contrast", "link-in-text-block")
_HAS_AXE = "typeof window.axe === 'object'"
_RUN_AXE = "options => axe.run(options).then(found => found.violations)"


def violations(page: Page, rules: Sequence[str] = ()) -> list[str]:
    """Run axe-core on the page as it is shown now; one sentence for each element at fault.

    All its rules, or only those that are named.
    """
    if not page.evaluate(_HAS_AXE):
        page.evaluate(AXE_SCRIPT)
    options: dict[str, object] = {"resultTypes": ["violations"]}
    if rules:
        options["runOnly"] = list(rules)
    return [
        f"{rule['id']} ({rule['impact']}): {rule['help']}: {' '.join(map(str, node['target']))}"
        for rule in page.evaluate(_RUN_AXE, options)
        for node in rule["nodes"]
    ]
