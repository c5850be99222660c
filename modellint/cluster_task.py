"""One check on a worker of a cluster: what it needs is compared with what the worker has, or comes with the order.

A worker that sees the same files under the same paths (a shared folder) reads them there. Any other gets them in a
parcel and reads its copy, in a folder of its own that is removed afterwards; texts that name that folder name the
original again. Either way the check runs in a guarded child process with the limits of the order.
"""

from __future__ import annotations

import hashlib
import io
import json
import os
import tempfile
import zipfile
from collections.abc import Mapping, Sequence
from dataclasses import asdict
from importlib.metadata import PackageNotFoundError, version
from pathlib import Path
from typing import Any

import modellint
from modellint.cache import digest, named_by_project, project_of, rules_digest
from modellint.errors import ModellintError
from modellint.limits import Limits
from modellint.worker import run

READERS = ("ifcopenshell", "numpy", "shapely")
_STOP = ".git"  # the search for a project file ends at a folder that holds one


def tools() -> dict[str, str]:
    """What an answer depends on besides the files of an order: versions, and hashes of the program and its rules."""
    found = {"modellint": modellint.__version__, "program": _program(), "rules": rules_digest()}
    for name in READERS:
        try:
            found[name] = version(name)
        except PackageNotFoundError:
            found[name] = "none"
    return found


def _program() -> str:
    package = Path(__file__).resolve().parent
    whole = hashlib.sha256()
    for path in sorted(package.rglob("*.py")):
        whole.update(f"{path.relative_to(package).as_posix()}\0{digest(path)}\n".encode())
    return whole.hexdigest()


def order_for(path: Path, request: Mapping[str, Any], limits: Limits) -> dict[str, Any]:
    """Everything a worker needs to check one model, or to find out that it lacks it; plain data.

    Raises:
        OSError: the model or a file of its project cannot be read.
        ModellintError: the project file cannot be read.
    """
    asked = {**request, "models": [path]}
    project = project_of(asked)
    needed = {os.path.abspath(path): digest(path)}  # noqa: PTH100  # a link keeps its name
    if project is not None:
        needed[os.path.abspath(project)] = digest(project)  # noqa: PTH100
        needed.update(dict(named_by_project(asked)))
    plain = json.loads(json.dumps({**asked, "project": project}, default=os.path.abspath))
    return {"request": plain, "limits": asdict(limits), "needed": sorted(needed.items())}


def parcel_of(order: Mapping[str, Any]) -> bytes:
    """The files of an order, packed; their names count from the folder that holds them all.

    Raises:
        OSError: a file cannot be read.
    """
    packed = io.BytesIO()
    base = _base(order)
    with zipfile.ZipFile(packed, "w", zipfile.ZIP_DEFLATED, compresslevel=3) as archive:
        for name in _files([Path(path) for path, _ in order["needed"]]):
            info = zipfile.ZipInfo(os.path.relpath(name, base))
            info.compress_type = zipfile.ZIP_DEFLATED
            archive.writestr(info, name.read_bytes(), compresslevel=3)
    return packed.getvalue()


def _base(order: Mapping[str, Any]) -> str:
    folders: list[str] = [os.path.dirname(path) for path, _ in order["needed"]]  # noqa: PTH120
    return os.path.commonpath(folders)


def _files(paths: Sequence[Path]) -> list[Path]:
    found: dict[Path, None] = {}
    for path in paths:
        rows = [path] if not path.is_dir() else sorted(one for one in path.rglob("*") if one.is_file())
        found.update(dict.fromkeys(rows))
    return list(found)


def check_there(order: Mapping[str, Any], parcel: bytes | None, wanted: Mapping[str, str]) -> dict[str, Any]:
    """Check one model on this machine.

    Returns:
        One of `other` (tools of this worker, where they are not the wanted ones), `send` (a parcel is needed),
        `report` (JSON text) or `problem` with `status`.
    """
    own = tools()
    if own != dict(wanted):
        return {"other": own}
    if parcel is None:
        return _answer(order["request"], order["limits"]) if _has(order) else {"send": True}
    with tempfile.TemporaryDirectory(prefix="modellint-") as folder:
        home = str(Path(folder).resolve())
        Path(home, _STOP).mkdir()
        _unpack(parcel, Path(home))
        base = _base(order)
        request = dict(order["request"])
        request["models"] = [_moved(path, base, home) for path in request["models"]]
        if request["project"] is not None:
            request["project"] = _moved(request["project"], base, home)
        answer = _answer(request, order["limits"])
        return {key: _named_again(value, home, base, json_text=key == "report") if isinstance(value, str) else value
                for key, value in answer.items()}


def _has(order: Mapping[str, Any]) -> bool:
    """Whether this machine has the same files under the same paths, and would find the same project file."""
    try:
        found = project_of({**order["request"], "project": None}) if order["request"]["project"] is None else None
        return found is None and all(digest(Path(path)) == wanted for path, wanted in order["needed"])
    except (OSError, ValueError):
        return False


def _answer(request: Mapping[str, Any], limits: Mapping[str, Any]) -> dict[str, Any]:
    try:
        report = run(request, Limits(**limits))
    except ModellintError as error:
        return {"problem": str(error), "status": error.exit_status}
    return {"report": json.dumps(report, ensure_ascii=False, separators=(",", ":"))}


def _unpack(parcel: bytes, home: Path) -> None:
    with zipfile.ZipFile(io.BytesIO(parcel)) as archive:
        for name in archive.namelist():
            path = (home / name).resolve()
            if not path.is_relative_to(home):
                raise ValueError("a file of the order lies outside its folder")
            path.parent.mkdir(parents=True, exist_ok=True)
            path.write_bytes(archive.read(name))


def _moved(path: str, base: str, home: str) -> str:
    return str(Path(home, os.path.relpath(path, base)))


def _named_again(text: str, home: str, base: str, *, json_text: bool) -> str:
    before, after = (json.dumps(f"{name}{os.sep}", ensure_ascii=False)[1:-1] if json_text else f"{name}{os.sep}"
                     for name in (home, base.rstrip(os.sep)))
    return text.replace(before, after)
