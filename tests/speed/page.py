"""The page in a real browser: how long a change takes, the size of a view, memory over many
changes, ten sessions.
"""

from __future__ import annotations

import os
import statistics
import subprocess
import sys
import time
import urllib.request
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from tests.browser.conftest import FLAGS, browser_path

ROOT = Path(__file__).resolve().parents[2]
PORT = 8597
ADDRESS = f"http://127.0.0.1:{PORT}"


@contextmanager
def served() -> Iterator[subprocess.Popen[bytes]]:
    """The page, served; a warm engine."""
    server = subprocess.Popen(
        [sys.executable, "-m", "streamlit", "run", "app.py", "--server.port", str(PORT)],
        cwd=ROOT,
        stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
        env={**os.environ, "MALLOC_ARENA_MAX": "2"},
    )
    for _ in range(200):
        try:
            urllib.request.urlopen(f"{ADDRESS}/_stcore/health", timeout=1)
            break
        except OSError:
            time.sleep(0.05)
    try:
        yield server
    finally:
        server.terminate()
        server.wait(10)


def megabytes(root: int) -> float:
    """Resident memory [MB] of a process and all below it (shared pages counted once each)."""
    kids: dict[int, list[int]] = {}
    for path in Path("/proc").glob("[0-9]*/stat"):
        try:
            text = path.read_text()
        except OSError:
            continue
        fields = text.rsplit(")", 1)[1].split()
        kids.setdefault(int(fields[1]), []).append(int(path.parent.name))
    total, todo = 0.0, [root]
    while todo:
        one = todo.pop()
        todo += kids.get(one, [])
        try:
            rows = Path(f"/proc/{one}/smaps_rollup").read_text().splitlines()
        except OSError:
            continue
        total += next((int(row.split()[1]) / 1024.0 for row in rows if row.startswith("Pss:")), 0.0)
    return total


def opened(browser: Any, job: str = "cleans_up") -> Any:
    """A visit, first verdict on the page."""
    page = browser.new_context(viewport={"width": 1366, "height": 768}).new_page()
    page.goto(f"{ADDRESS}/?job={job}")
    page.wait_for_selector(".verdict .word:not(:has-text('CHECKING'))", timeout=60_000)
    return page


def tab(page: Any, name: str) -> None:
    page.get_by_role("radio", name="Look closer").click()
    page.get_by_role("tab", name=name).click()
    page.wait_for_timeout(400)


def least(page: Any) -> str:
    """The verdict's sentence as it stands on the page."""
    return str(page.locator(".verdict").first.inner_text())


def switched(page: Any, units: str, before: str) -> float:
    """Seconds from a click on the other unit to the changed verdict."""
    began = time.perf_counter()
    page.locator(".st-key-top label", has_text=units).first.click()
    page.wait_for_function("b => document.querySelector('.verdict')?.innerText !== b", arg=before)
    return time.perf_counter() - began


def retyped(page: Any, label: str, value: str) -> float:
    """Seconds from leaving a field to the changed verdict."""
    before = least(page)
    field = page.get_by_label(label).last
    field.fill(value)
    began = time.perf_counter()
    field.press("Enter")
    page.wait_for_function(
        "b => document.querySelector('.verdict')?.innerText !== b",
        arg=before,
        timeout=60_000,
    )
    return time.perf_counter() - began


def frame_of(page: Any) -> Any:
    """The frame of the 3-D view, drawn."""
    for _ in range(400):
        for frame in page.frames[1:]:
            try:
                if frame.evaluate("() => document.documentElement.hasAttribute('data-ready')"):
                    return frame
            except Exception:
                continue
        page.wait_for_timeout(25)
    raise TimeoutError("no 3-D view")


def view_after(page: Any, act: Any) -> float:
    """Seconds from an act to the next 3-D view drawn."""
    old = frame_of(page)
    old.evaluate("() => { window.__old = true }")
    began = time.perf_counter()
    act()
    while time.perf_counter() - began < 60:
        for frame in page.frames[1:]:
            try:
                if frame.evaluate(
                    "() => document.documentElement.hasAttribute('data-ready') && !window.__old"
                ):
                    return time.perf_counter() - began
            except Exception:
                continue
        page.wait_for_timeout(20)
    raise TimeoutError("no new 3-D view")


def measured(say: Any, *, quick: bool = False) -> list[tuple[str, str, str, bool]]:
    """Rows: what, figure, allowed, ok; quick leaves out the 300 changes."""
    from playwright.sync_api import sync_playwright

    rows: list[tuple[str, str, str, bool]] = []
    with sync_playwright() as play:
        browser = play.chromium.launch(executable_path=browser_path(), args=FLAGS)
        began = time.perf_counter()
        with served() as server:
            page = opened(browser)
            rows.append(_row("first page after start", time.perf_counter() - began, 5.0))
            say(rows[-1][1])
            rows += _changes(page, say)
            rows += _views(browser, say)
            page.context.close()
            rows += [] if quick else _memory(opened(browser), server.pid, say)
            rows += _handle(browser, say)
            rows += _ten(browser, server.pid, say)
        browser.close()
    return rows


def _row(what: str, seconds: float, allowed: float) -> tuple[str, str, str, bool]:
    return what, f"{seconds:.2f} s", f"{allowed} s", seconds <= allowed


def _changes(page: Any, say: Any) -> list[tuple[str, str, str, bool]]:
    tab(page, "All fields")
    page.get_by_text("Layers (1)").click()
    spent = [retyped(page, "pitch [mm]", f"{3.0 + 0.05 * k:.2f}") for k in range(8)]
    say(f"change to new verdict: {', '.join(f'{s:.2f}' for s in spent)} s")
    tab(page, "Maps and sections")
    page.wait_for_timeout(4000)
    maps = []
    for k in range(5):
        before = page.locator("[data-testid=stCaptionContainer]").all_inner_texts()
        began = time.perf_counter()
        page.locator(".st-key-top label", has_text="in" if k % 2 == 0 else "mm").first.click()
        page.wait_for_function(
            "b => [...document.querySelectorAll('[data-testid=stCaptionContainer]')].map(e "
            "=> e.innerText).join() !== b",
            arg=",".join(before),
        )
        maps.append(time.perf_counter() - began)
        page.wait_for_timeout(2500)
    say(f"new 2-D views: {', '.join(f'{s:.2f}' for s in maps)} s")
    return [
        _row("changed value to new verdict, median", statistics.median(spent), 0.7),
        _row("all 2-D views anew, median", statistics.median(maps), 0.7),
    ]


LINKED = """() => { for (const e of document.querySelectorAll('*')) {
  const made = e.shadowRoot && e.shadowRoot.querySelector('.linked'); if (made) return Number(made.dataset.drawn); } }"""


def _handle(browser: Any, say: Any) -> list[tuple[str, str, str, bool]]:
    """The pitch dragged on the job screen: from a move to the section drawn; from letting go to the verdict."""
    page = opened(browser, "not_sure_yet")
    page.wait_for_selector("iframe[data-stamp]", timeout=60_000)
    box = page.get_by_label("Pitch and bead overlap").bounding_box()
    y, spent = box["y"] + box["height"] / 2, []
    page.mouse.move(box["x"] + 0.4 * box["width"], y)
    page.mouse.down()
    for k in range(15):
        before, began = page.evaluate(LINKED), time.perf_counter()
        page.mouse.move(box["x"] + (0.42 + 0.02 * k) * box["width"], y)
        while page.evaluate(LINKED) == before and time.perf_counter() - began < 10:
            page.wait_for_timeout(5)
        spent.append(time.perf_counter() - began)
        page.wait_for_timeout(200)
    began = time.perf_counter()
    page.mouse.up()
    page.wait_for_selector(".verdict .word:not(:has-text('CHECKING'))", timeout=60_000)
    told = time.perf_counter() - began
    say(
        f"pitch moved to section drawn: {', '.join(f'{s:.2f}' for s in spent)} s; let go: {told:.2f} s"
    )
    page.context.close()
    return [
        _row("pitch moved to section drawn, median", statistics.median(spent), 0.3),
        _row("pitch let go to the verdict", told, 1.5),
    ]


def _views(browser: Any, say: Any) -> list[tuple[str, str, str, bool]]:
    page = opened(browser)
    began = time.perf_counter()
    frame = frame_of(page)
    first = time.perf_counter() - began
    size = frame.evaluate("() => document.documentElement.outerHTML.length") / 1e6
    page.set_default_timeout(60_000)
    spent = []
    for k in range(4):
        name = ("coarse pitch", "low side", "end wedge", "cleans up")[k]

        def act(name: str = name) -> None:
            page.get_by_role("button", name="Open a job").click()
            page.get_by_label("Shipped scenes (invented)").click()
            page.get_by_role("option", name=name, exact=True).click()
            page.get_by_role("button", name="Open this scene").click()

        spent.append(view_after(page, act))
        page.wait_for_timeout(1000)
    say(
        f"3-D view: first {first:.2f}, then {', '.join(f'{s:.2f}' for s in spent)} s; page "
        f"{size:.2f} MB"
    )
    page.context.close()
    return [
        _row("another job to its new 3-D view, median", statistics.median(spent), 2.5),
        ("3-D page of the default job", f"{size:.2f} MB", "3 MB", size < 3.0),
    ]


def _memory(page: Any, root: int, say: Any) -> list[tuple[str, str, str, bool]]:
    tab(page, "All fields")
    page.get_by_text("Layers (1)").click()
    seen: dict[int, float] = {}
    for k in range(300):
        value = (
            3.0 if k % 2 else 4.0
        ) + 0.0005 * k  # to and fro, so that the sentence changes each time
        retyped(page, "pitch [mm]", f"{value:.4f}")
        if k % 15 == 14:  # every so often a 3-D view as well
            tab(page, "In the round")
            frame_of(page)
            tab(page, "All fields")
            if not page.get_by_label("pitch [mm]").last.is_visible():
                page.get_by_text("Layers (1)").click()
        if k + 1 in (50, 100, 200, 300):
            seen[k + 1] = megabytes(root)
            say(f"{k + 1} changes: {seen[k + 1]:.0f} MB")
    growth = seen[300] / seen[50] - 1.0
    return [("memory from change 50 to 300", f"{100 * growth:+.1f} %", "10 %", growth < 0.10)]


def _ten(browser: Any, root: int, say: Any) -> list[tuple[str, str, str, bool]]:
    names = ("coarse_pitch", "low_side", "end_wedge", "cleans_up", "small_bore")
    pages = [opened(browser, names[k % 5]) for k in range(10)]
    for page in pages:
        frame_of(page)
    spent = []
    for k in range(20):
        page, name = pages[k % 10], names[(k + k // 10 + 1) % 5].replace("_", " ")

        def act(page: Any = page, name: str = name) -> None:
            page.get_by_role("button", name="Open a job").click()
            page.get_by_label("Shipped scenes (invented)").click()
            page.get_by_role("option", name=name, exact=True).click()
            page.get_by_role("button", name="Open this scene").click()

        spent.append(view_after(page, act))
    memory = megabytes(root)
    worst = sorted(spent)[int(0.95 * len(spent))]
    say(f"ten sessions: p50 {statistics.median(spent):.2f}, p95 {worst:.2f} s, {memory:.0f} MB")
    return [
        _row("ten sessions, p95 to a verdict and its 3-D view", worst, 3.0),
        (
            "ten sessions, memory of server and worker",
            f"{memory:.0f} MB",
            "1000 MB",
            memory < 1000.0,
        ),
    ]
