"""BCF (BIM Collaboration Format) 3.0 and 2.1: findings as topics that open at their place in a model viewer.

Two runs over the same model give the same bytes: ids are made from the findings' ids, members are sorted and
stored without compression (which differs between machines), and dates are the day of the report, or the
first of January 2000 where the report has none.
"""

from __future__ import annotations

import io
import re
import zipfile
from collections.abc import Mapping
from typing import Any
from uuid import UUID, uuid5

from modellint.reports import bcf_xml
from modellint.reports.bcf_comments import people
from modellint.reports.bcf_picture import picture
from modellint.reports.bcf_snapshot import Snapshots
from modellint.reports.bcf_topics import SPACE, Topic, topics
from modellint.reports.bcf_view import Vector, camera, points_of
from modellint.reports.chains import Chains
from modellint.text import storable

NO_DATE = "2000-01-01"
_ZIP_DATE = (1980, 1, 1, 0, 0, 0)
_DAY = re.compile(r"\d{4}-\d{2}-\d{2}")

Report = Mapping[str, Any]


def render(report: Report, *, version: str = "3.0") -> bytes:
    """The report as a BCF archive.

    Args:
        report: the JSON form of a report; with `shapes` the snapshots are painted from them.
        version: `3.0` or `2.1`.

    Raises:
        ValueError: there is no such version.
    """
    if version not in ("3.0", "2.1"):
        raise ValueError(f"version must be 3.0 or 2.1, not {version!r}")
    made = topics(report)
    labels, users = sorted({label for topic in made for label in topic.labels()}), people(made)
    members = {"project.bcfp": bcf_xml.project(version, _project_id(report), _project_name(report))}
    if version == "3.0":
        members["extensions.xml"] = bcf_xml.extensions(labels, users)
    else:
        members["extensions.xsd"] = bcf_xml.extension_schema(labels, users)
    whole, chains, shots = points_of(report["findings"]), Chains(report), Snapshots(report)
    day = str(report["today"] or "")
    date = f"{day if _DAY.fullmatch(day) else NO_DATE}T00:00:00Z"
    for index, topic in enumerate(made):
        members.update(_topic(version, topic, report, date=date, index=index, whole=whole, chains=chains,
                              shots=shots))
    return _archive(bcf_xml.version(version), members)


def render_2_1(report: Report) -> bytes:
    """The report as a BCF 2.1 archive, for tools that do not read 3.0."""
    return render(report, version="2.1")


def _topic(
    version: str,
    topic: Topic,
    report: Report,
    *,
    date: str,
    index: int,
    whole: list[Vector],
    chains: Chains,
    shots: Snapshots,
) -> dict[str, bytes]:
    """Members of one topic; parts without a place are seen from where the whole house is seen."""
    own = points_of(topic.findings)
    seen = camera(own) or (camera(whole) if topic.components() else None)
    view = uuid5(SPACE, f"viewpoint:{topic.guid}") if seen is not None else None
    members = {
        f"{topic.guid}/markup.bcf": bcf_xml.markup(
            version, topic, report["model"]["files"], date=date, index=index, view=view
        )
    }
    if seen is not None and view is not None:
        members[f"{topic.guid}/{view}.png"] = shots.picture(topic, seen, own) or picture(topic, chains)
        members[f"{topic.guid}/{view}.bcfv"] = bcf_xml.viewpoint(version, view, topic, seen)
    return members


def _project_id(report: Report) -> UUID:
    """The same from one revision of a house to the next if its buildings keep their GlobalIds."""
    keys = [str(building.get("key", "")) for building in report["model"]["buildings"]]
    names = [file["name"] for file in report["model"]["files"]]
    words = ("project", *(key for key in keys if key)) if any(keys) else ("files", *names)
    return uuid5(SPACE, storable("|".join(words)))


def _project_name(report: Report) -> str:
    names = [str(building.get("name", "")) for building in report["model"]["buildings"]]
    return "; ".join(name for name in names if name)


def _archive(first: bytes, members: Mapping[str, bytes]) -> bytes:
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_STORED) as archive:
        for name, data in (("bcf.version", first), *sorted(members.items())):
            entry = zipfile.ZipInfo(name, _ZIP_DATE)
            entry.create_system = 3
            entry.external_attr = 0o644 << 16
            archive.writestr(entry, data)
    return out.getvalue()
