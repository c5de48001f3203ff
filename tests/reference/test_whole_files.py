"""Files are there whole or not at all, and nobody else's work is written over."""

import os
import signal
import stat
import subprocess
import sys
import time
from pathlib import Path

import pytest

from sim.reference.errors import SceneError
from sim.reference.whole_files import LISTED, write_folder, write_whole
from tests.conftest import ROOT

posix = pytest.mark.skipif(os.name != "posix", reason="links, modes and devices as POSIX has them")


def writer(data):
    return lambda out: out.write(data)


def checked(folder):
    """What coreutils' sha256sum says of the folder."""
    told = subprocess.run(
        ["sha256sum", "--check", "--strict", LISTED], cwd=folder, capture_output=True, text=True
    )
    return told.returncode == 0


@posix
def test_a_link_is_followed_and_permissions_stay(tmp_path):
    real, link = tmp_path / "real.toml", tmp_path / "link.toml"
    real.write_bytes(b"old")
    real.chmod(0o600)
    link.symlink_to(real)
    write_whole(link, b"new")
    assert link.is_symlink() and real.read_bytes() == b"new"
    assert stat.S_IMODE(real.stat().st_mode) == 0o600


@posix
def test_a_new_file_gets_what_the_umask_leaves(tmp_path):
    before = os.umask(0o027)
    try:
        write_whole(tmp_path / "new.toml", b"new")
    finally:
        os.umask(before)
    assert stat.S_IMODE((tmp_path / "new.toml").stat().st_mode) == 0o640


@posix
def test_a_device_stays_a_device():
    write_whole(Path("/dev/null"), b"gone")
    assert stat.S_ISCHR(os.stat("/dev/null").st_mode)


def test_a_file_changed_meanwhile_is_left_alone(tmp_path):
    path = tmp_path / "job.toml"
    path.write_bytes(b"somebody else's")
    with pytest.raises(SceneError, match="was changed by somebody else since it was read"):
        write_whole(path, b"mine", was=b"as read")
    assert path.read_bytes() == b"somebody else's" and list(tmp_path.iterdir()) == [path]


def test_a_folder_lists_what_belongs_and_drops_what_no_longer_does(tmp_path):
    (tmp_path / "mine.txt").write_text("not the tool's")
    write_folder(tmp_path, {name: writer(b"1") for name in ("layer_1.stl", "layer_2.stl")})
    write_folder(tmp_path, {"layer_1.stl": writer(b"2")})
    assert {p.name for p in tmp_path.iterdir()} == {"mine.txt", "layer_1.stl", LISTED}
    assert checked(tmp_path)
    (tmp_path / "layer_1.stl").write_bytes(b"torn")
    assert not checked(tmp_path)


def test_a_writer_that_fails_leaves_the_folder_as_it_was(tmp_path):
    write_folder(tmp_path, {"a.csv": writer(b"1")})

    def fails(out):
        out.write(b"half")
        raise OSError(28, "No space left on device")

    with pytest.raises(SceneError, match="No space left on device"):
        write_folder(tmp_path, {"a.csv": writer(b"2"), "b.csv": fails})
    assert (tmp_path / "a.csv").read_bytes() == b"1" and checked(tmp_path)
    assert {p.name for p in tmp_path.iterdir()} == {"a.csv", LISTED}


KILLED = """
import itertools, pathlib, sys
from sim.reference.whole_files import write_folder, write_whole
for n in itertools.count():
    data = str(n).encode() * 20000
    write_whole(pathlib.Path(sys.argv[1], "one"), data)
    files = {f"f{k}": lambda out: out.write(data) for k in range(1 + n % 3)}
    write_folder(pathlib.Path(sys.argv[1], "some"), files)
    print("once", flush=True)
"""


@posix
@pytest.mark.parametrize("after", [0.02, 0.035, 0.05, 0.08])
def test_killed_at_any_moment_nothing_is_torn_and_a_mix_says_so(tmp_path, after):
    running = subprocess.Popen(
        [sys.executable, "-c", KILLED, str(tmp_path)], stdout=subprocess.PIPE, cwd=ROOT
    )
    running.stdout.readline()
    time.sleep(after)
    running.send_signal(signal.SIGKILL)
    running.wait()
    whole = tmp_path / "one"
    text = whole.read_text()
    assert text == text[: len(text) // 20000] * 20000
    some = tmp_path / "some"
    if (some / LISTED).exists():
        assert checked(some)
    write_whole(whole, b"again")  # no lock is left held, parts are cleared away
    write_folder(some, {"f0": writer(b"again")})
    assert not list(tmp_path.glob(".*.part")) and checked(some)
