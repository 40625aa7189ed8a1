"""Takes the README's pictures from a running demo studio: python scripts/make_screenshots.py [--port 4950]."""

from __future__ import annotations

import argparse
import io
import shutil
from pathlib import Path

from PIL import Image
from playwright.sync_api import sync_playwright

PICTURES = Path(__file__).resolve().parent.parent / "static" / "readme"
CHROMIUM_ARGUMENTS = [
    "--no-sandbox",
    "--disable-gpu",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    "--no-first-run",
]
WIDTH, HEIGHT = 1280, 1000


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--port", type=int, default=4950)
    base = f"http://127.0.0.1:{parser.parse_args().port}"
    PICTURES.mkdir(parents=True, exist_ok=True)
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=shutil.which("chromium"), args=CHROMIUM_ARGUMENTS)
        page = browser.new_page(viewport={"width": WIDTH, "height": HEIGHT})
        page.goto(base)
        work = page.locator(".works h3 a").first.get_attribute("href") or "/"
        page.goto(base + work)
        follow_up = page.locator(".photos a").last.get_attribute("href") or "/"
        for name, path in (
            ("start", "/"),
            ("work", work),
            ("follow-up", follow_up),
            ("marks", f"{follow_up}/marks"),
            ("families", "/families"),
        ):
            page.goto(base + path)
            page.wait_for_load_state("networkidle")
            shot = Image.open(io.BytesIO(page.screenshot(full_page=name == "work")))
            shot.crop((0, 0, WIDTH, min(shot.height, 1900))).convert("RGB").save(
                PICTURES / f"{name}.jpg", quality=80, optimize=True
            )
        browser.close()


if __name__ == "__main__":
    main()
