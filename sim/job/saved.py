"""A job saved: read back before it takes the place of anything."""

from __future__ import annotations

import os
from pathlib import Path

from sim.job.read import parse
from sim.job.scene import Scene
from sim.job.write import files_of, to_text
from sim.reference.whole_files import write_whole


def text_that_reads_back(scene: Scene, *, whole: bool = False) -> str:
    """The text of a scene file (see `to_text`), tried: read again it is the same text.

    One that is not would be our own fault: raises RuntimeError rather than hand it out.
    """
    text = to_text(scene, whole=whole)
    again = parse(text, name="the scene as saved", beside=files_of(scene))
    if to_text(again, whole=whole) != text:
        raise RuntimeError("the scene as saved reads back as another; nothing was written")
    return text


def save(scene: Scene, path: str | os.PathLike[str], *, was: bytes | None = None) -> None:
    """Write the scene, read back first; the file is there whole or not at all. Readings from a file
    that does not lie beside it are written into it.

    was: what the file held when the job was read from it; where it holds something else now it is
    left alone. Raises SceneError when it cannot be written.
    """
    path = Path(path)
    alone = any(not (path.parent / name).is_file() for name in files_of(scene))
    write_whole(path, text_that_reads_back(scene, whole=alone).encode("utf-8"), was=was)
