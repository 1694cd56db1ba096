"""Opening pages in Chromium, and asking the server again for what they asked."""

import json
import time
import urllib.request
from collections.abc import Iterator
from dataclasses import dataclass
from statistics import median, quantiles

from playwright.sync_api import BrowserContext, Page, sync_playwright

from tests.browser.bench.make import NAME, PASSWORD

CHROMIUM = "/usr/bin/chromium"
CALLBACK = "/_dash-update-component"
FRAMEWORK = ("/_dash-component-suites/", "/_dash-layout", "/_dash-dependencies")
PAGES = (
    ("first page", "/", "main h1"),
    ("support", "/supports/S-01234", ".js-plotly-plot .xtick text"),
    ("register", "/register", "table.register tbody tr"),
    ("register, searched", "/register?q=linden+make", "#register-shown:not(:empty)"),
    ("record", "/record/S-01234", "main h1"),
    ("margin", "/supports/S-01234/margin", "main h1"),
    ("new", "/new", "main h1"),
    ("map", "/map", "main h1"),
    ("due", "/due", "main h1"),
    ("rounds", "/rounds", "main h1"),
    ("plan of the year", "/plan", "main h1"),
    ("events", "/events", "main h1"),
    ("policy", "/policy", "main h1"),
    ("fleet", "/fleet", "main h1"),
    ("imports", "/imports", "main h1"),
)
VISITS = 3
REPEATING_S = 4.0
"""A callback is not asked again for longer than this: slow ones are slow each time."""


@dataclass(frozen=True, slots=True)
class Measured:
    """One page, or one callback of it.

    Attributes
    ----------
    usable_s : median from asking for the address until its content is there [s]
    weight_mb : bytes received after the framework's own files [MB]
    median_ms, p95_ms : of the server's answer to the page's slowest callback [ms]
    """

    name: str
    usable_s: float | None
    weight_mb: float | None
    median_ms: float
    p95_ms: float


@dataclass(frozen=True, slots=True)
class Asked:
    """A callback as the browser asked for it."""

    url: str
    body: str

    @property
    def output(self) -> str:
        """Where its answer goes."""
        return str(json.loads(self.body)["output"])


def measure(home: str, repeats: int) -> Iterator[Measured]:
    """Visit every page a few times, then replay its callbacks."""
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(
            executable_path=CHROMIUM,
            args=["--no-sandbox", "--disable-gpu", "--disable-background-networking"],
        )
        context = browser.new_context(viewport={"width": 1440, "height": 900})
        page = context.new_page()
        _sign_in(page, home)
        for where in PAGES:
            yield _measure(page, home, *where, repeats)
        yield from _typing(page, home, repeats)
        browser.close()


def _sign_in(page: Page, home: str) -> None:
    page.goto(f"{home}/")
    page.get_by_label("Name").fill(NAME)
    page.get_by_label("Password").fill(PASSWORD)
    page.get_by_role("button", name="Sign in").click()
    page.locator(".leave").wait_for()


def _measure(
    page: Page, home: str, name: str, path: str, shown: str, repeats: int
) -> Measured:
    asked: dict[str, Asked] = {}
    times, weights = [], []
    for _ in range(VISITS):
        weight = _Weight(page)
        page.on("request", note := _noting(asked))
        start = time.perf_counter()
        page.goto(f"{home}{path}", wait_until="commit")
        page.locator(shown).first.wait_for(timeout=60_000)
        times.append(time.perf_counter() - start)
        page.wait_for_load_state("networkidle")
        page.remove_listener("request", note)
        weights.append(weight.total_mb())
    ms = _slowest(page.context, asked, repeats)
    return Measured(name, median(times), median(weights), *ms)


def _typing(page: Page, home: str, repeats: int) -> list[Measured]:
    """Searching as one types: the callback of each of a few words."""
    found = []
    page.goto(f"{home}/register")
    page.locator("table.register tbody tr").first.wait_for()
    for words in ("make safe", "platanus harbour", "zzz", "S-019"):
        asked: dict[str, Asked] = {}
        page.on("request", note := _noting(asked))
        start = time.perf_counter()
        with page.expect_response(lambda answer: CALLBACK in answer.url):
            page.get_by_label("Search").fill(words)
        took = time.perf_counter() - start
        page.wait_for_load_state("networkidle")
        page.remove_listener("request", note)
        ms = _slowest(page.context, asked, repeats)
        found.append(Measured(f"typing “{words}”", took, None, *ms))
    return found


def _noting(asked: dict[str, Asked]):
    def note(request) -> None:
        if CALLBACK in request.url and request.post_data:
            one = Asked(request.url, request.post_data)
            asked[one.output] = one

    return note


def _slowest(
    context: BrowserContext, asked: dict[str, Asked], repeats: int
) -> tuple[float, float]:
    """Median and 95 % of the page's slowest callback, as the server answers it."""
    cookies = "; ".join(f"{c['name']}={c['value']}" for c in context.cookies())
    timed = [_timed(one, cookies, repeats) for one in asked.values()]
    return max(timed, key=lambda ms: ms[1])


def _timed(asked: Asked, cookies: str, repeats: int) -> tuple[float, float]:
    took: list[float] = []
    while len(took) < 3 or (len(took) < repeats and sum(took) < 1000 * REPEATING_S):
        request = urllib.request.Request(
            asked.url,
            data=asked.body.encode(),
            headers={
                "Content-Type": "application/json",
                "Cookie": cookies,
                "Sec-Fetch-Site": "same-origin",
            },
        )
        start = time.perf_counter()
        with urllib.request.urlopen(request) as answer:
            answer.read()
        took.append(1000 * (time.perf_counter() - start))
    return median(took), quantiles(took, n=20)[-1]


class _Weight:
    """Bytes that a page brings, the framework's own files left out."""

    def __init__(self, page: Page) -> None:
        self._page = page
        self._sizes: list[int] = []
        page.on("requestfinished", self._note)

    def _note(self, request) -> None:
        if any(part in request.url for part in FRAMEWORK):
            return
        self._sizes.append(request.sizes()["responseBodySize"])

    def total_mb(self) -> float:
        self._page.remove_listener("requestfinished", self._note)
        return sum(self._sizes) / 1e6
