"""The shop's own values, in a file that jobs refer to: what a job does not give itself is filled in.

The file holds sections of a scene: [shop_values] says whose they are, [bead], [pad], and of
[process] and [spread] what test pieces tell. Once filled in they stand in the job, with whose they
are; the file is not looked at again.
"""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Any

from sim.job.files import Beside, bytes_beside, decoded, toml_of
from sim.job.values import as_written
from sim.reference.errors import SceneError

WHOLE = ("bead", "pad")  # filled in as a section where the job has none
KEY_BY_KEY = {"process": ("gravity",), "spread": ("gravity",)}
OWN = "shop_values"


def filled_in(raw: Mapping[str, Any], name: str, beside: Beside | None) -> Mapping[str, Any]:
    """A job's sections with the shop's own values in them, where it refers to a file of them and
    has not taken them in yet. Raises SceneError.
    """
    asked = raw.get(OWN)
    if not isinstance(asked, Mapping) or not asked.get("file") or asked.get("whose"):
        return raw
    file, where = asked["file"], f"{name}: [{OWN}]"
    if not isinstance(file, str) or Path(file).name != file:
        raise SceneError(
            f"{where} file = {as_written(file)}: a plain file name; put the values beside the scene."
        )
    data = bytes_beside(file, beside, where, "put the shop's values there")
    held = checked(toml_of(decoded(data, name=file), file), file)
    out = dict(raw)
    for section in WHOLE:
        if section in held and section not in raw:
            out[section] = held[section]
    for section in KEY_BY_KEY:
        if section in held:
            out[section] = {**held[section], **raw.get(section, {})}
    out[OWN] = {**held[OWN], **asked}
    return out


def checked(held: Mapping[str, Any], file: str) -> Mapping[str, Any]:
    """The sections of a file of values. Raises SceneError where it holds what is none."""
    for section, keys in held.items():
        if section == "schema":
            continue
        if section not in (OWN, *WHOLE, *KEY_BY_KEY) or not isinstance(keys, Mapping):
            raise SceneError(
                f"{file}: {section}: a file of the shop's own values holds [{OWN}], [bead], [pad] "
                "and gravity in [process] and [spread] only; take it out."
            )
        for key in keys if section in KEY_BY_KEY else ():
            if key not in KEY_BY_KEY[section]:
                raise SceneError(
                    f"{file}: [{section}] {key}: of [{section}] a file of the shop's own values "
                    "holds gravity only; take it out."
                )
    if not isinstance(held.get(OWN), Mapping) or not held[OWN].get("whose"):
        raise SceneError(
            f"{file}: [{OWN}] whose is missing; say whose values they are: shop, wire, gas."
        )
    return held
