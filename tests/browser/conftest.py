"""A real chromium, a real server on a folder of its own, and pages that tell of anything that went wrong."""

import os
import shutil
import socket
import subprocess
import sys
from pathlib import Path
from urllib.request import urlopen

import pytest
from playwright.sync_api import expect, sync_playwright

from tests.browser.watch import Watch

ROOT = Path(__file__).resolve().parents[2]
CHROMIUM_NAMES = ("chromium", "chromium-browser", "google-chrome")
QUIET = (
    *("--no-sandbox", "--disable-gpu", "--no-first-run"),
    *("--disable-background-networking", "--disable-component-update", "--disable-sync"),
)
PATIENCE = 600  # tenths of a second until a server that does not answer counts as failed; the demo is filled first
LONGEST_WAIT = 20_000  # milliseconds until something on a page counts as missing
DESK = {"viewport": {"width": 1280, "height": 900}}
PHONE = {"viewport": {"width": 390, "height": 844}, "has_touch": True, "is_mobile": True}


@pytest.fixture(scope="session")
def chromium():
    """Where the browser is."""
    found = next(filter(None, map(shutil.which, CHROMIUM_NAMES)), None)
    if found is None:
        sentence = "No chromium was found for the browser tests; on Debian “apt-get install chromium” brings it."
        if os.environ.get("CI"):
            pytest.fail(sentence)
        pytest.skip(sentence)
    return found


@pytest.fixture(scope="module")
def browser(chromium):
    # A module at a time: while playwright runs, nothing else in this thread can run an event loop.
    with sync_playwright() as playwright:
        expect.set_options(timeout=LONGEST_WAIT)
        running = playwright.chromium.launch(executable_path=chromium, args=list(QUIET))
        yield running
        running.close()


@pytest.fixture(scope="module")
def empty_studio(tmp_path_factory, chromium):
    """The address of an empty studio."""
    yield from _serve(tmp_path_factory.mktemp("studio"))


@pytest.fixture(scope="module")
def demo_studio(tmp_path_factory, chromium):
    """The address of the demo studio."""
    yield from _serve(tmp_path_factory.mktemp("demo"), "--demo")


def _serve(folder, *options):
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
    command = [sys.executable, "-m", "webapp", "serve", "--port", str(port), "--data", str(folder / "data"), *options]
    log = folder / "server.log"
    with log.open("w") as out, subprocess.Popen(command, cwd=ROOT, stdout=out, stderr=out) as server:
        try:
            _wait_until_up(server, f"http://127.0.0.1:{port}", log)
            yield f"http://127.0.0.1:{port}"
        finally:
            server.terminate()


def _wait_until_up(server, address, log):
    for _ in range(PATIENCE):
        try:
            with urlopen(f"{address}/health", timeout=10):
                return
        except OSError:
            try:
                server.wait(timeout=0.1)
            except subprocess.TimeoutExpired:
                continue
            break
    pytest.fail(f"The server did not come up: {log.read_text()}")


@pytest.fixture
def open_page(browser):
    """Opens pages of one size in one studio; whatever they complain of fails the test at its end."""
    opened = []

    def open_one(address, size=DESK):
        context = browser.new_context(base_url=address, locale="en-GB", **size)
        context.set_default_timeout(LONGEST_WAIT)
        watch = Watch(context, address)
        opened.append((context, watch))
        page = context.new_page()
        page.goto("/")
        return page, watch

    yield open_one
    for context, _ in opened:
        context.close()
    assert [trouble for _, watch in opened for trouble in watch.troubles] == []


@pytest.fixture
def desk(open_page, empty_studio):
    return open_page(empty_studio, DESK)[0]


@pytest.fixture
def phone(open_page, empty_studio):
    return open_page(empty_studio, PHONE)[0]
