"""The class at the overlap bench: `python -m tests.speed.teach`, from the top of the project; ten
browsers on one machine.

One slider moved alone, then all ten at once, each timed from its key to its new section. Exit 1
when a mark is not met.
"""

from __future__ import annotations

import statistics
import sys
from typing import Any

from playwright.sync_api import sync_playwright

from tests.browser.conftest import FLAGS, browser_path
from tests.speed.page import ADDRESS, megabytes, served

SESSIONS = 10
WORDS = "Section across"


def at_the_bench(browser: Any) -> Any:
    """A visit with the overlap bench open."""
    page = browser.new_context(viewport={"width": 1280, "height": 900}).new_page()
    page.goto(f"{ADDRESS}/?job=cleans_up")
    page.wait_for_selector(".verdict .word:not(:has-text('CHECKING'))", timeout=120_000)
    page.get_by_role("radio", name="Teach it").click()
    page.wait_for_selector(f"text={WORDS}", timeout=120_000)
    page.wait_for_timeout(500)
    return page


WATCH = """w => {
  const said = () => [...document.querySelectorAll('[data-testid=stCaptionContainer]')].map(e => e.innerText).find(t => t.startsWith(w));
  const before = said(); window.answer = null; window.pressed = performance.now();
  const look = () => { const now = said(); if (now && now !== before) window.answer = performance.now() - window.pressed; else setTimeout(look, 20); };
  look();
}"""  # the page itself times its answer, so that the driver's work on the other pages is not counted


def press(page: Any, key: str) -> None:
    """Move the pitch by one step; the page times the answer."""
    page.get_by_role("slider", name="Pitch").focus()
    page.evaluate(WATCH, WORDS)
    page.keyboard.press(key)


def answered(page: Any) -> float:
    """Seconds from the key to another sentence under the section."""
    for _ in range(600):
        took = page.evaluate("() => window.answer")
        if took is not None:
            return float(took) / 1000.0
        page.wait_for_timeout(50)
    raise TimeoutError("no answer in 30 s")


def main() -> int:
    """Measure and print; 1 when a mark is not met."""
    with served() as server, sync_playwright() as play:
        browser = play.chromium.launch(executable_path=browser_path(), args=FLAGS)
        first = at_the_bench(browser)
        alone = []
        for key in ["ArrowRight"] * 8 + ["ArrowLeft"] * 8:
            press(first, key)
            alone.append(answered(first))
        print(
            f"a slider moved: median {statistics.median(alone):.2f} s, at most "
            f"{max(alone):.2f} s (0.3 s)",
            flush=True,
        )
        pages = [first, *(at_the_bench(browser) for _ in range(SESSIONS - 1))]
        spent: list[float] = []
        for k in range(6):
            for page in pages:
                press(page, "ArrowLeft" if k % 2 else "ArrowRight")
            spent += [answered(page) for page in pages]
        p95 = sorted(spent)[int(0.95 * len(spent))]
        print(
            f"ten sessions at once: p50 {statistics.median(spent):.2f}, p95 {p95:.2f} s (3 "
            f"s); {megabytes(server.pid):.0f} MB",
            flush=True,
        )
        browser.close()
    return 0 if statistics.median(alone) < 0.3 and p95 < 3.0 else 1


if __name__ == "__main__":
    sys.exit(main())
