"""The 3-D worker killed, hung, broken or without graphics libraries: one sentence, in time, and the
next call works.
"""

import os
import signal
import subprocess
import sys
import threading
import time

import pytest

from sim.job.read import parse
from sim.pictures.bore_3d.from_result import picture
from sim.pictures.bore_3d.page import Look
from sim.pictures.process import keeper as module
from sim.pictures.process.keeper import MISSING, Shown, Viewer, WorkerFault
from sim.pictures.process.keeper import page as keeper_page
from sim.shop.run import simulate
from tests.conftest import ROOT, SMALL

TEST = {"BORE_VIEW_TEST": "1"}
NO_GL = {
    "__EGL_VENDOR_LIBRARY_FILENAMES": "/nonexistent",
    "DISPLAY": "",
    "VTK_DEFAULT_OPENGL_WINDOW": "vtkEGLRenderWindow",
}
LATE = 90.0
"""Ample for a loaded machine: these tests are about what comes back, not how soon."""


@pytest.fixture(scope="module")
def seen():
    return picture(simulate(parse(SMALL)))


@pytest.fixture
def start():
    made = []

    def starting(**options):
        made.append(Viewer(**({"wait": LATE, "environment": TEST} | options)))
        return made[-1]

    yield starting
    for one in made:
        one.close()


def ask(viewer, name, *arguments, wait=LATE):
    """A request of the tests, past the cache."""
    with viewer._lock:
        return viewer._asked(name, arguments, time.monotonic() + wait)


def png_size(data):
    """Width and height as the PNG standard (ISO/IEC 15948) places them: after signature, length and
    IHDR.
    """
    assert data[:8] == b"\x89PNG\r\n\x1a\n" and data[12:16] == b"IHDR"
    return int.from_bytes(data[16:20], "big"), int.from_bytes(data[20:24], "big")


def test_page_is_made_once_and_looks_are_filled_in(start, seen):
    viewer = start()
    first = viewer.page(seen, Look())
    pid = viewer._worker.process.pid
    second = viewer.page(seen, Look(colour_by="ripple", theme="dark", keep="other"))
    assert first.html and second.html and first.reason == second.reason == ""
    assert '"colour_by":"ripple"' in second.html and '"colour_by":"stock"' in first.html
    assert viewer._worker.process.pid == pid and viewer._worker.served == 1 and viewer.starts == 1


def test_worker_killed_in_the_middle(start, seen):
    viewer = start()
    ask(viewer, "sleep", 0.0)
    worker = viewer._worker
    threading.Timer(0.5, worker.process.send_signal, [signal.SIGKILL]).start()
    with pytest.raises(
        WorkerFault, match=r"^The 3-D worker ended in the middle of the picture \(signal 9\)\.$"
    ):
        ask(viewer, "sleep", 60.0)
    assert viewer._worker is None and worker.process.poll() == -signal.SIGKILL
    assert viewer.page(seen, Look()).html and viewer.starts == 2


def test_worker_killed_between_calls(start, seen):
    viewer = start()
    ask(viewer, "sleep", 0.0)
    viewer._worker.process.kill()
    viewer._worker.process.wait()
    assert viewer.page(seen, Look()).html


def test_worker_hung(start, seen):
    viewer = start()
    ask(viewer, "sleep", 0.0)
    worker = viewer._worker
    with pytest.raises(WorkerFault, match="did not answer in time"):
        ask(viewer, "sleep", 600.0, wait=0.3)
    assert worker.process.poll() is not None and viewer._worker is None
    assert viewer.page(seen, Look()).html


def test_a_call_ends_in_time_while_another_hangs(start, seen):
    viewer = start()
    ask(viewer, "sleep", 0.0)

    def hang():
        with pytest.raises(WorkerFault):
            ask(viewer, "sleep", 600.0, wait=4.0)

    hung = threading.Thread(target=hang)
    hung.start()
    while not viewer._lock.locked():
        time.sleep(0.01)
    shown = viewer.page(seen, Look(), wait=0.5)
    assert shown == Shown(reason="The 3-D worker is busy with other pictures; try again.")
    hung.join()
    assert viewer.page(seen, Look()).html


def test_page_fails_and_a_still_stands_in(start, seen, tmp_path):
    """A worker that cannot make pages but draws: the still comes with the reason the page did not."""
    broken = tmp_path / "broken.py"
    broken.write_text(
        "from sim.pictures.process import worker as w\n"
        "def fails(picture): raise ArithmeticError('no page today')\n"
        "w.WORK['page'] = fails\n"
        "w.main()\n"
    )
    shown = start(command=(sys.executable, str(broken))).page(seen, Look())
    assert (
        shown.html is None
        and shown.reason
        == "The 3-D worker could not draw the picture (ArithmeticError: no page today)."
    )
    assert png_size(shown.still_png) == (1200, 760)


def test_without_graphics_libraries_the_page_comes_and_the_still_says_why(start, seen):
    viewer = start(environment=TEST | NO_GL)
    assert viewer.page(seen, Look()).html
    assert viewer.still(seen, Look()) == Shown(reason=MISSING)
    starts = viewer.starts
    assert viewer.still(seen, Look()).reason == MISSING and viewer.starts == starts
    assert viewer.page(seen, Look(theme="dark")).html


@pytest.mark.parametrize(
    ("command", "sentence"),
    [
        (
            (sys.executable, "-c", "import no_such_library"),
            "The 3-D worker could not start (code 1).",
        ),
        (("/nonexistent/python",), "The 3-D worker could not start (No such file or directory)."),
        (
            (sys.executable, "-c", "print('noise on the line')"),
            "The 3-D worker could not start (code 0).",
        ),
    ],
)
def test_worker_that_cannot_start(start, seen, command, sentence):
    viewer = start(command=command)
    shown = viewer.page(seen, Look())
    assert shown == Shown(reason=sentence)
    assert viewer.page(seen, Look()).reason == sentence


def test_still_in_each_colouring_shows_the_bore(start, seen):
    from io import BytesIO

    import numpy as np
    from PIL import Image

    viewer = start()
    found = set()
    for colour_by in ("stock", "thickness", "ripple", "layer"):
        shown = viewer.still(seen, Look(colour_by=colour_by))
        if shown.reason == MISSING and not os.environ.get("CI"):
            pytest.skip(MISSING)
        image = np.asarray(Image.open(BytesIO(shown.still_png)).convert("RGB"))
        middle = image[150:700, 200:1000].reshape(-1, 3)
        assert len(np.unique(middle // 8, axis=0)) > 60
        found.add(hash(image.tobytes()))
    assert len(found) == 4
    assert viewer._worker is None


def test_recycled_after_so_many_exports(start, seen):
    viewer = start(recycle=2)
    for _ in range(5):
        ask(viewer, "sleep", 0.0)
    assert viewer.starts == 3


def test_many_threads_get_the_same_page(start, seen):
    viewer = start()
    got = []
    threads = [
        threading.Thread(target=lambda: got.append(viewer.page(seen, Look()).html))
        for _ in range(12)
    ]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert len(got) == 12 and len(set(got)) == 1 and got[0] and viewer._worker.served == 1


def test_only_so_many_pages_are_kept(start, seen, monkeypatch):
    monkeypatch.setattr(module, "KEPT", 2)
    viewer = start()
    monkeypatch.setattr(viewer, "_asked", lambda name, arguments, deadline: "page")
    for k in range(9):
        viewer._get(("page", k), "page", (), time.monotonic() + 1)
    assert list(viewer._kept) == [("page", k) for k in range(5, 9)]


def test_worker_ends_with_its_keeper(tmp_path):
    """A server that is killed leaves no worker behind."""
    code = (
        "from sim.pictures.process.keeper import Viewer; v = Viewer(environment={'BORE_VIEW_TEST': '1'}); "
        "v.warm(); print(v._worker.process.pid, flush=True); import time; time.sleep(60)"
    )
    keeper = subprocess.Popen(
        [sys.executable, "-c", code], cwd=ROOT, stdout=subprocess.PIPE, text=True
    )
    pid = int(keeper.stdout.readline())
    keeper.kill()
    keeper.wait()
    for _ in range(600):
        try:
            os.kill(pid, 0)
            with open(f"/proc/{pid}/stat") as told:
                if told.read().rsplit(")", 1)[1].split()[0] == "Z":
                    break
        except (ProcessLookupError, FileNotFoundError):
            break
        time.sleep(0.1)
    else:
        pytest.fail("the worker outlived its keeper")


def test_the_graphics_toolkit_stays_out_of_the_server():
    code = (
        "import sys, sim.pictures.process.keeper; print([m for m in sys.modules if m.split('.')[0] in ('vtk', "
        "'vtkmodules', 'pyvista')])"
    )
    done = subprocess.run(
        [sys.executable, "-c", code], cwd=ROOT, capture_output=True, text=True, check=True
    )
    assert done.stdout.strip() == "[]"


def test_layers_are_counted_from_before_welding(seen, monkeypatch):
    asked = []

    class Listener:
        def page(self, picture, look, wait):
            asked.append(look)
            return Shown(html="page")

    monkeypatch.setattr(module, "viewer", Listener)
    for layer in (None, 0, 2):
        keeper_page(seen, layer=layer, tops={"stock": 3.0})
    assert [look.stage for look in asked] == [None, 1, 3] and asked[0].tops == (("stock", 3.0),)
    with pytest.raises(ValueError, match="layer = 3: must be from 0 to 2"):
        keeper_page(seen, layer=3)
