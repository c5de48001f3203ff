"""Solids to files: STL, PLY, OBJ, 3MF."""

from __future__ import annotations

import os
import re
import zipfile
from collections.abc import Callable, Iterator, Mapping
from functools import cache, partial
from pathlib import Path as File
from typing import IO, Any

import numpy as np
from numpy.typing import NDArray
from trimesh import Trimesh

from sim.bore.solid_skin import Indices
from sim.reference.arrays import Array
from sim.reference.whole_files import Writer as FolderWriter
from sim.reference.whole_files import write_folder

Bytes = NDArray[np.uint8]


CHUNK = 1 << 13


LARGEST = 1e4


Writer = Callable[[IO[bytes], Array, Indices], None]


def export(
    meshes: Mapping[str, Trimesh], folder: str | os.PathLike[str], format: str
) -> list[File]:
    """Write each mesh to `folder`/name.format, and give the files; formats stl (binary), ply
    (binary), obj, 3mf.

    Numbers are mm: 32-bit in stl and ply, to 1e-6 mm in obj and 3mf; only 3mf says so itself.
    They belong together and are written so (see `sim.reference.whole_files`): solids of an older
    job that the new one has not are taken away; the folder is made when there is none. Raises
    ValueError with one sentence for another format, a name that is no file name, an empty mesh, or
    a folder that cannot be written to.

    >>> export({}, ".", "dwg")
    Traceback (most recent call last):
        ...
    ValueError: export: format = 'dwg': must be one of stl, ply, obj, 3mf; choose one of them
    """
    folder = File(folder)
    _check_export(meshes, format)
    files: dict[str, FolderWriter] = {}
    for name, mesh in meshes.items():
        files[f"{name}.{format}"] = partial(_written, mesh=mesh, writer=WRITERS[format])
    return write_folder(folder, files)


def _check_export(meshes: Mapping[str, Trimesh], format: str) -> None:
    if format not in WRITERS:
        raise ValueError(
            f"export: format = {format!r}: must be one of {', '.join(WRITERS)}; choose one of them"
        )
    for name, mesh in meshes.items():
        if not re.fullmatch(r"[A-Za-z0-9_-][A-Za-z0-9_. -]{0,99}", name):
            raise ValueError(
                f"export: name = {name!r}: must be letters, digits, '_', '-', '.' or ' '; "
                "rename the mesh"
            )
        if not len(mesh.faces):
            raise ValueError(f"export: {name}: has no facets; leave it out")
        if not float(np.abs(mesh.bounds).max()) < LARGEST:
            raise ValueError(
                f"export: {name}: must lie within {LARGEST:g} mm of the origin; check its sizes"
            )


def _written(out: IO[bytes], mesh: Trimesh, writer: Writer) -> None:
    writer(out, np.asarray(mesh.vertices, dtype=float), np.asarray(mesh.faces))


def _chunks(count: int) -> Iterator[slice]:
    """Slices of at most CHUNK rows: what is written at once."""
    for begin in range(0, count, CHUNK):
        yield slice(begin, min(begin + CHUNK, count))


def _write_stl(out: IO[bytes], points: Array, faces: Indices) -> None:
    """Binary: 80 bytes, number of facets, then of each its normal, corners and two spare bytes."""
    axes = np.ascontiguousarray(points.T, dtype="<f4")
    out.write(b"binary, mm".ljust(80) + np.array(len(faces), dtype="<u4").tobytes())
    for part in _chunks(len(faces)):
        cells = np.empty(
            (4, 3, part.stop - part.start), dtype="<f4"
        )  # normal and three corners; x, y, z; facets
        for corner in range(3):
            for axis in range(3):
                np.take(axes[axis], faces[part, corner], out=cells[corner + 1, axis], mode="clip")
        (ux, uy, uz), (vx, vy, vz) = cells[2] - cells[1], cells[3] - cells[1]
        normal = cells[0]
        normal[:] = uy * vz - uz * vy, uz * vx - ux * vz, ux * vy - uy * vx
        size = np.sqrt((normal * normal).sum(axis=0))
        normal /= np.where(size > 0.0, size, np.float32(1.0))
        rows = np.zeros((cells.shape[2], 25), dtype="<u2")
        rows[:, :24] = np.ascontiguousarray(cells.reshape(12, -1).T).view("<u2")
        out.write(rows.data)


def _write_ply(out: IO[bytes], points: Array, faces: Indices) -> None:
    """Binary, little-endian."""
    axes = "".join(f"property float {axis}\n" for axis in "xyz")
    out.write(
        f"ply\nformat binary_little_endian 1.0\ncomment mm\nelement vertex {len(points)}\n{axes}"
        f"element face {len(faces)}\nproperty list uchar int vertex_indices\nend_header\n".encode()
    )
    out.write(points.astype("<f4").tobytes())
    kind = np.dtype([("count", "u1"), ("index", "<i4", (3,))])
    for part in _chunks(len(faces)):
        rows = np.full(part.stop - part.start, 3, dtype=kind)
        rows["index"] = faces[part]
        out.write(rows.tobytes())


def _write_obj(out: IO[bytes], points: Array, faces: Indices) -> None:
    """Text; vertices are numbered from 1."""
    out.write(b"# mm\n")
    for text in _point_lines(points, b"v ", (b" ", b" "), b"\n"):
        out.write(text)
    for text in _facet_lines(faces + 1, b"f ", (b" ", b" "), b"\n"):
        out.write(text)


def _write_3mf(out: IO[bytes], points: Array, faces: Indices) -> None:
    """One object in a package, after the 3MF core specification."""
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED, compresslevel=2) as package:
        package.writestr("[Content_Types].xml", CONTENT_TYPES)
        package.writestr("_rels/.rels", RELATIONS)
        with package.open("3D/3dmodel.model", "w", force_zip64=True) as model:
            model.write(MODEL_HEAD)
            for text in _point_lines(points, b'<vertex x="', (b'" y="', b'" z="'), b'"/>\n'):
                model.write(text)
            model.write(b"</vertices><triangles>\n")
            for text in _facet_lines(faces, b'<triangle v1="', (b'" v2="', b'" v3="'), b'"/>\n'):
                model.write(text)
            model.write(MODEL_TAIL)


XML = '<?xml version="1.0" encoding="UTF-8"?>\n'


PACKAGE = "http://schemas.openxmlformats.org/package/2006"


CONTENT_TYPES = (
    f'{XML}<Types xmlns="{PACKAGE}/content-types">'
    '<Default Extension="rels" '
    'ContentType="application/vnd.openxmlformats-package.relationships+xml"/>'
    '<Default Extension="model" '
    'ContentType="application/vnd.ms-package.3dmanufacturing-3dmodel+xml"/></Types>'
)


RELATIONS = (
    f'{XML}<Relationships xmlns="{PACKAGE}/relationships"><Relationship Id="rel0" '
    'Target="/3D/3dmodel.model" '
    'Type="http://schemas.microsoft.com/3dmanufacturing/2013/01/3dmodel"/></Relationships>'
)


MODEL_HEAD = (
    f'{XML}<model unit="millimeter" xml:lang="en-US" '
    'xmlns="http://schemas.microsoft.com/3dmanufacturing/core/2015/02">'
    '<resources><object id="1" type="model"><mesh><vertices>\n'
).encode()


MODEL_TAIL = (
    b'</triangles></mesh></object></resources><build><item objectid="1"/></build></model>\n'
)


def _point_lines(
    points: Array, head: bytes, between: tuple[bytes, bytes], tail: bytes
) -> Iterator[bytes]:
    """Lines of text with three coordinates to 1e-6 mm, CHUNK lines at once."""
    blank = bytes(12)
    sample = head + blank + between[0] + blank + between[1] + blank + tail
    at = [
        len(head),
        len(head + blank + between[0]),
        len(head + blank + between[0] + blank + between[1]),
    ]
    whole, short, _ = _digits()
    for part in _chunks(len(points)):
        rows = _rows(sample, part)
        for axis, place in enumerate(at):
            value = np.rint(points[part, axis] * 1e6).astype(np.int64)
            millimetres, rest = np.divmod(np.abs(value), 1_000_000)
            thousands, last = np.divmod(rest, 100)
            _column(rows, place, "u1")[:] = np.where(value < 0, ord("-"), 0)
            _column(rows, place + 1, "u4")[:] = short[millimetres]
            _column(rows, place + 5, "u1")[:] = ord(".")
            _column(rows, place + 6, "u4")[:] = whole[thousands]
            _column(rows, place + 10, "u2")[:] = (whole[last].view("u2"))[1::2]
        yield rows.tobytes().translate(None, b"\0")


def _facet_lines(
    faces: Indices, head: bytes, between: tuple[bytes, bytes], tail: bytes
) -> Iterator[bytes]:
    """Lines of text with three whole numbers below 1e8, CHUNK lines at once."""
    blank = bytes(8)
    sample = head + blank + between[0] + blank + between[1] + blank + tail
    at = [
        len(head),
        len(head + blank + between[0]),
        len(head + blank + between[0] + blank + between[1]),
    ]
    whole, short, none = _digits()
    for part in _chunks(len(faces)):
        rows = _rows(sample, part)
        for corner, place in enumerate(at):
            high, low = np.divmod(faces[part, corner], 10_000)
            _column(rows, place, "u4")[:] = none[high]
            _column(rows, place + 4, "u4")[:] = np.where(high > 0, whole[low], short[low])
        yield rows.tobytes().translate(None, b"\0")


def _rows(sample: bytes, part: slice) -> Bytes:
    """The sample line as bytes, once for each row of the part."""
    return np.tile(np.frombuffer(sample, dtype=np.uint8), (part.stop - part.start, 1))


def _column(rows: Bytes, at: int, kind: str) -> NDArray[Any]:
    """A view of `rows` from byte `at` of each line, as numbers of this kind."""
    return np.ndarray((len(rows),), kind, rows.data, at, (rows.shape[1],))


@cache
def _digits() -> tuple[NDArray[np.uint32], NDArray[np.uint32], NDArray[np.uint32]]:
    """Numbers 0..9999 as four letters: with leading zeros, with NUL for them, and with 0 all NUL."""
    plain = np.array([f"{k:04d}".encode() for k in range(10_000)]).view(np.uint8).reshape(-1, 4)
    void = np.where(np.cumsum(plain != ord("0"), axis=1) == 0, 0, plain).astype(np.uint8)
    short = void.copy()
    short[0, 3] = ord("0")
    whole, least, none = (
        np.ascontiguousarray(table).view(np.uint32).ravel() for table in (plain, short, void)
    )
    return whole, least, none


WRITERS: dict[str, Writer] = {
    "stl": _write_stl,
    "ply": _write_ply,
    "obj": _write_obj,
    "3mf": _write_3mf,
}
