"""The 3-D view: `python -m tests.speed.view [scene]`, from the top of the project; prints, judges
nothing.

Picture and export in this process's worker, weight of the page, then a real browser under software
rendering: time to the first picture, and from a step of the layer slider or another colouring to
drawn pixels (median and worst of several).
"""

from __future__ import annotations

import statistics
import sys
import tempfile
import time
from pathlib import Path

from sim.job.change import changed
from sim.job.read import load
from sim.pictures.bore_3d.from_result import picture
from sim.pictures.bore_3d.page import Look
from sim.pictures.process.keeper import Viewer
from sim.shop.run import simulate
from tests.browser.conftest import FLAGS, browser_path

STEPS = """async ([id, values]) => {
  const out = [], e = document.getElementById(id), frame = () => new Promise(requestAnimationFrame);
  for (const v of values) { // a frame ends only when its pixels are drawn
    const t = performance.now(); e.value = v; e.dispatchEvent(new Event("input")); await frame();
    out.push(performance.now() - t); await new Promise((r) => setTimeout(r, 400));
  }
  return out;
}"""


def memory(pid: int) -> float:
    """Resident memory of a process [MB]."""
    pages = int(Path(f"/proc/{pid}/statm").read_text().split()[1])
    return pages * 4096 / 1e6


def exported(scene_path: str) -> str:
    """Time picture and export; the page."""
    scene = load(scene_path)
    result, viewer = simulate(scene), Viewer()
    begun = time.perf_counter()
    seen = picture(result)
    print(f"picture {1e3 * (time.perf_counter() - begun):.0f} ms, maps {seen.stock.shape}")
    begun = time.perf_counter()
    html = viewer.page(seen, Look()).html or ""
    print(
        f"first export, with the worker's start {1e3 * (time.perf_counter() - begun):.0f} "
        f"ms, page {len(html) / 1e6:.3f} MB"
    )
    times = []
    for k in range(5):
        other = picture(simulate(changed(scene, {"layer.travel_mm_per_min": 401.0 + k})))
        begun = time.perf_counter()
        viewer.page(other, Look())
        times.append(1e3 * (time.perf_counter() - begun))
    print(
        f"next exports {statistics.median(times):.0f} ms, worst {max(times):.0f}; worker "
        f"{memory(viewer._worker.process.pid):.0f} MB"
    )
    begun = time.perf_counter()
    still = viewer.still(seen, Look())
    print(f"still {1e3 * (time.perf_counter() - begun):.0f} ms {still.reason}")
    viewer.close()
    return html


def browsed(html: str) -> None:
    """Time the page in a browser."""
    from playwright.sync_api import sync_playwright

    with tempfile.TemporaryDirectory() as folder, sync_playwright() as play:
        path = Path(folder) / "view.html"
        path.write_text(html)
        chromium = play.chromium.launch(executable_path=browser_path(), args=FLAGS)
        page = chromium.new_page(viewport={"width": 1000, "height": 620})
        for name in ("first picture", "again"):
            begun = time.perf_counter()
            page.goto(path.as_uri())
            page.wait_for_selector("html[data-ready]")
            print(
                f"{name} {1e3 * (time.perf_counter() - begun):.0f} ms, of it in the page "
                f"{page.evaluate('boreView.readyMs'):.0f}"
            )
        last = page.evaluate("Number(document.getElementById('stage').max)")
        for name, values in (
            ("stage", [*range(last, -1, -1), *range(last + 1)]),
            ("colour", ["thickness", "ripple", "layer", "stock"]),
        ):
            times = page.evaluate(STEPS, [name, values])
            print(f"{name} changed {statistics.median(times):.0f} ms, worst {max(times):.0f}")
        chromium.close()


if __name__ == "__main__":
    browsed(exported(sys.argv[1] if len(sys.argv) > 1 else "scenes/cleans_up.toml"))
