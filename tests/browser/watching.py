"""What a browser test may not overlook: messages in the console and requests to other hosts."""

from collections.abc import Mapping
from types import MappingProxyType
from urllib.parse import urlsplit

from axe_playwright_python.base import AXE_SCRIPT
from playwright.sync_api import BrowserContext, ConsoleMessage, Error, Page, Request

# what a page carries in itself or hands to itself, and never goes over a wire
WITHIN_THE_PAGE = {"about", "blob", "data"}

REFUSED = "the server responded with a status of 4"
# only a test that takes the connection away sees these
CUT_OFF = ("net::ERR_INTERNET_DISCONNECTED", "net::ERR_CONNECTION_RESET")


class Watch:
    """Collects the faults of everything that happens in one browser context."""

    def __init__(self, context: BrowserContext, address: str) -> None:
        """Watch `context`; only the host and port of `address` may be asked for anything.

        What is asked of others is noted here; the browser itself knows no other host, so that
        nothing has to be stopped on its way, and files are kept as every browser keeps them.
        """
        self.faults: list[str] = []
        self._home = urlsplit(address).netloc
        context.on("request", self._note_request)
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

    def _note_request(self, request: Request) -> None:
        parts = urlsplit(request.url)
        if parts.netloc != self._home and parts.scheme not in WITHIN_THE_PAGE:
            self.faults.append(f"request to another host: {request.url}")


COLOR_RULES = ("color-contrast", "link-in-text-block")
ALL_BUT_COLORS = {"rules": {rule: {"enabled": False} for rule in COLOR_RULES}}
ONLY_COLORS = {"runOnly": list(COLOR_RULES)}
_RUN_AXE = """options => typeof axe === "object"
  ? axe.run({parts}, options).then(found => found.violations) : null"""


def violations(
    page: Page, options: Mapping[str, object] = MappingProxyType({}), parts: str = "document"
) -> list[str]:
    """Run axe-core on the page as it is shown now; one sentence for each element at fault.

    All its rules unless the options say otherwise; of the whole page, or of what a script calls
    its parts.
    """
    run = _RUN_AXE.replace("{parts}", parts)
    # nothing is fetched beforehand: the page has all its sheets
    asked = {"resultTypes": ["violations"], "preload": False, **options}
    found = page.evaluate(run, asked)
    if found is None:
        page.evaluate(AXE_SCRIPT)
        found = page.evaluate(run, asked)
    return [
        f"{rule['id']} ({rule['impact']}): {rule['help']}: {' '.join(map(str, node['target']))}"
        for rule in found
        for node in rule["nodes"]
    ]
