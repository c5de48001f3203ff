"""A served page and a browser that may reach nothing but this machine.

Without a browser these tests fail where CI is set; elsewhere they skip and say so.
"""

from __future__ import annotations

import os
import shutil
import socket
import subprocess
import sys
import time
import urllib.request
from contextlib import contextmanager

import pytest

from tests.conftest import ROOT

FLAGS = [
    "--headless=new",
    "--no-sandbox",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    "--disable-quic",
    "--use-gl=angle",
    "--use-angle=swiftshader",
    "--enable-unsafe-swiftshader",
]


def browser_path() -> str | None:
    """Where Debian's Chromium or another one is."""
    return next(
        (p for p in map(shutil.which, ("chromium", "chromium-browser", "google-chrome")) if p), None
    )


def _missing(why: str) -> None:
    if os.environ.get("CI"):
        pytest.fail(why)
    pytest.skip(why)


def serving(script):
    """Serve a Streamlit script for the tests; gives its address."""
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port = probe.getsockname()[1]
    server = subprocess.Popen(
        [sys.executable, "-m", "streamlit", "run", script, "--server.port", str(port)],
        cwd=ROOT, env={**os.environ, "PYTHONPATH": str(ROOT)}, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL,
    )  # fmt: skip
    address = f"http://127.0.0.1:{port}"
    for _ in range(120):
        try:
            urllib.request.urlopen(f"{address}/_stcore/health", timeout=1)
            break
        except OSError:
            time.sleep(0.5)
    yield address
    server.terminate()
    server.wait(60)


@pytest.fixture(scope="session")
def served():
    """Address of the page, served for the tests."""
    yield from serving("app.py")


@pytest.fixture(scope="session")
def browser():
    """Chromium, software-rendered."""
    api = (
        pytest.importorskip("playwright.sync_api")
        if not os.environ.get("CI")
        else __import__("playwright.sync_api").sync_api
    )
    if browser_path() is None:
        _missing("no Chromium on this machine: install the package `chromium`")
    with api.sync_playwright() as play:
        chromium = play.chromium.launch(executable_path=browser_path(), args=FLAGS)
        yield chromium
        chromium.close()


@contextmanager
def guarded(browser):
    """Gives a new page at a size; every request beyond this machine is blocked, listed, and none is
    allowed.
    """
    contexts, outside = [], []

    def guard(route):
        url = route.request.url
        if url.startswith(("http://127.0.0.1:", "data:", "blob:")):
            route.continue_()
        else:
            outside.append(url)
            route.abort()

    def new_page(width=1366, height=768, scheme="light"):
        context = browser.new_context(
            viewport={"width": width, "height": height}, color_scheme=scheme, accept_downloads=True
        )
        contexts.append(context)
        context.route("**/*", guard)
        return context.new_page()

    yield new_page
    for context in contexts:
        context.close()
    assert outside == []


@pytest.fixture
def visit(browser, served):
    """Open the page at a size."""

    def open_at(job="cleans_up", width=1366, height=768, scheme="light"):
        page = new_page(width, height, scheme)
        page.goto(f"{served}/?job={job}")
        page.wait_for_selector(".verdict:not(:has-text('CHECKING'))", timeout=90_000)
        page.wait_for_selector(
            "text=Estimates, not a welding procedure", timeout=90_000
        )  # the last line: the page is whole
        return page

    with guarded(browser) as new_page:
        yield open_at
