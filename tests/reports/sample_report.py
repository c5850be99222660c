"""Reports built in code for the tests of the writers: an invented house with invented numbers."""

from __future__ import annotations

import numpy as np

from modellint.findings.finding import Basis, Finding, Limit
from modellint.findings.report import Path, PathLink, PathSlot, Report, RoleCoverage, RuleCount
from modellint.ifc.model import Note, SourceFile
from modellint.measures.quantity import Evidence, Missing, Place
from modellint.roles.part import Rung

ORIGIN = (5000.0, 2000.0, 100.0)
WALL_S1, WALL_S4, ROD, PIPE = (
    "1Xa7Q0000000000000000S1",
    "1Xa7Q0000000000000000S4",
    "1Xa7Q0000000000000000R1",
    "1Xa7Q0000000000000000P3",
)
PRACTICE = Basis("practice")
HOSTILE = "\x1b[2J\x1b]0;owned\x07 \u202egnp.exe\u202c <script>alert(1)</script> =1+1 \ud83d\n::error::x"


def place(
    text: str,
    storey: str,
    host: str,
    end: str = "",
    x: float = 1.0,
    z: float = 0.5,
    along: float | None = None,
) -> Place:
    return Place(text, np.array([x, 2.0, z]), storey, host, end, along)


def finding(
    number: int, rule: str, title: str, outcome: str, where: Place, message: str, **more: object
) -> Finding:
    given: dict[str, object] = {
        "group": "lateral",
        "level": "error",
        "stage": "pour",
        "decides": "engineer of record",
        "subject_role": "wall_end",
        "subject_key": f"{where.host}@{where.end or 'start'}",
        "subject_name": where.text.rsplit(",", 1)[0],
        "item_key": "",
        "elements": (where.host,),
    }
    given.update(more)
    return Finding(
        id=f"{number:016x}",
        state=f"{number:064x}",
        rule=rule,
        title=title,
        outcome=outcome,
        place=where,
        message=message,
        **given,
    )  # type: ignore[arg-type]


def rod_gap() -> Finding:
    where = place("wall S1, Level 1, east end, 0.12 m from the end", "Level 1", WALL_S1, "east", along=3.54)
    return finding(
        1,
        "tie-reaches-foundation",
        "The tie reaches the foundation without a break",
        "fail",
        where,
        "Wall S1, Level 1, east end: the rod stops 150 mm above the footing.",
        effect="Wind or earthquake can lift this end of the wall; nothing ties it down.",
        remedy="Lengthen the rod into the footing, or correct the drawing if it is only drawn short.",
        elements=(WALL_S1, ROD),
        limits=(
            Limit(
                "link_gap", "150 mm", "at most", "20 mm", "-130 mm", "length", 0.15, 0.15, 0.02, PRACTICE
            ),
        ),
        evidence=(
            Evidence(
                "rod's lower end above the footing's top", 0.15000000000000002, "length", Rung.DECLARED, ROD
            ),
        ),
        extra={"lines": {ROD: 1204}},
    )


def lean() -> Finding:
    where = place("wall S1, Level 2, east end, 0.12 m from the end", "Level 2", WALL_S1, "east", z=3.4)
    return finding(
        2,
        "rod-leans",
        "The rod stands plumb",
        "fail",
        where,
        "If this is a hold-down rod, it leans 7.25° at wall S1, Level 2, east end.",
        effect="A leaning rod pulls sideways on the plate.",
        remedy="Move the tie above or below into line.",
        conditional=True,
        level="warning",
        stage="cover",
        decides="superintendent",
        elements=(WALL_S1, ROD),
        limits=(
            Limit(
                "rod_lean",
                "7.25°",
                "at most",
                "5°",
                "-2.25°",
                "angle",
                0.126536,
                0.126536,
                0.0872665,
                PRACTICE,
            ),
        ),
    )


def fall_back() -> Finding:
    where = place(
        "vent pipe P3, Crawl space, 1.20 m from the suction point", "Crawl space", PIPE, z=-0.4, along=1.2
    )
    return finding(
        3,
        "vent-falls-back",
        "The vent pipe falls back toward the gravel",
        "fail",
        where,
        "Vent pipe P3 falls 6 mm away from the gravel over 1.80 m.",
        group="soil-gas",
        effect="Water from the soil gas stands in the pipe and closes it.",
        remedy="Lift the far end by at least 6 mm; more, to keep a fall after the house settles.",
        decides="soil-gas professional",
        stage="cover",
        subject_role="vent_pipe",
        subject_key=PIPE,
        subject_name="vent pipe P3",
        elements=(PIPE,),
        limits=(
            Limit(
                "fall_to_suction",
                "-0.33 %",
                "more than",
                "0 %",
                "-0.33 %",
                "slope",
                -0.003333,
                -0.003333,
                0.0,
                Basis("code", "IRC 2018", "AF103.7"),
            ),
        ),
    )


def embedment_unknown(number: int, storey: str, end: str, wall: str, host: str) -> Finding:
    where = place(f"wall {wall}, {storey}, {end} end, 0.12 m from the end", storey, host, end)
    return finding(
        number,
        "anchor-embedded",
        "The anchor is embedded deep enough",
        "open",
        where,
        f"Wall {wall}, {storey}, {end} end: how deep the anchor sits in the concrete cannot be told.",
        question="How deep are the anchors embedded? Give the embedment in the hold-down schedule, or ask "
        "the engineer of record.",
        missing=(Missing("embedment", "anchor_bolt", "draw the footings or give the hold-down schedule"),),
        share="anchor_bolt:embedment",
    )


def soil_gas_level() -> Finding:
    where = Place("the building", storey="")
    return finding(
        8,
        "soil-gas-vent-present",
        "A soil-gas vent is there where one is asked for",
        "open",
        where,
        "Whether this house needs a soil-gas vent is not stated.",
        group="soil-gas",
        level="warning",
        stage="permit",
        decides="building official",
        subject_role="building",
        subject_key="building",
        subject_name="the building",
        elements=(),
        question="Which level of soil-gas control does the permit ask for: none, stub, passive or fan?",
        missing=(Missing("soil_gas_level", "building", "say it in the project file"),),
    )


def sample() -> Report:
    """A house with a broken chain, a wet vent, shared and single questions, an accepted finding."""
    accepted = finding(
        9,
        "tie-far-from-end",
        "The tie stands near the wall end",
        "fail",
        place("wall S4, Level 1, west end, 0.70 m from the end", "Level 1", WALL_S4, "west"),
        "Wall S4, Level 1, west end: the tie stands 700 mm from the end.",
        level="warning",
        accepted={"reason": "Agreed with the engineer, sketch 4.", "by": "R. Okafor", "until": "2027-03-01"},
        limits=(
            Limit("inset", "700 mm", "at most", "300 mm", "-400 mm", "length", 0.7, 0.7, 0.3, PRACTICE),
        ),
    )
    label = finding(
        10,
        "vent-label-missing",
        "The vent is labelled on every storey",
        "fail",
        place("vent run, Level 2", "Level 2", PIPE, z=3.0),
        "The vent has no label on Level 2.",
        group="soil-gas",
        level="note",
        stage="close",
        decides="superintendent",
        subject_role="vent_run",
        subject_key=PIPE,
        subject_name="soil-gas vent",
        remedy="Put a label where the pipe can be seen.",
        limits=(
            Limit(
                "label_count",
                "0",
                "at least",
                "1",
                "-1",
                "count",
                0,
                0,
                1,
                Basis("code", "IRC 2018", "AF103.10", memory=True, origin="project file", changed_from="2"),
            ),
        ),
    )
    findings = [
        rod_gap(),
        lean(),
        fall_back(),
        embedment_unknown(4, "Level 1", "west", "S1", WALL_S1),
        embedment_unknown(5, "Level 1", "east", "S4", WALL_S4),
        embedment_unknown(6, "Level 1", "west", "S4", WALL_S4),
        soil_gas_level(),
        accepted,
        label,
    ]
    return Report(
        files=(SourceFile("heron-lane-12.ifc", "ab" * 32, "IFC4", "millimetre", 0.001, 2_345_678, 18_204),),
        origin=ORIGIN,
        notes=[
            Note(
                "duplicate-global-id",
                "Two elements share one GlobalId; the second is called ~2.",
                "heron-lane-12.ifc",
                812,
                WALL_S4,
            )
        ],
        coverage=[
            RoleCoverage(
                "shear_wall",
                "H",
                {"declared": 4, "inferred": 2},
                0,
                0,
                True,
                "",
                {"Level 1": 4, "Level 2": 2},
            ),
            RoleCoverage(
                "hold_down",
                "H",
                {"declared": 9, "guessed": 1},
                10,
                12,
                True,
                "drawn elsewhere",
                {"Level 1": 6, "Level 2": 4},
            ),
            RoleCoverage("rod", "H", {"inferred": 8}, 8, 8, True, "drawn elsewhere", {"Level 1": 8}),
            RoleCoverage("anchor_bolt", "H", {}, 0, 8, False, "", {}),
            RoleCoverage(
                "vent_pipe",
                "H",
                {"declared": 5},
                0,
                0,
                True,
                "network drawn with fittings",
                {"Crawl space": 3, "Level 1": 2},
            ),
            RoleCoverage("membrane", "H", {}, 0, 0, False, "", {}),
        ],
        rules=[
            RuleCount(
                "tie-reaches-foundation",
                "lateral",
                "The tie reaches the foundation without a break",
                "pour",
                11,
                1,
                0,
                0,
            ),
            RuleCount("rod-leans", "lateral", "The rod stands plumb", "cover", 7, 1, 0, 0),
            RuleCount("anchor-embedded", "lateral", "The anchor is embedded deep enough", "pour", 0, 0, 3, 9),
            RuleCount("tie-far-from-end", "lateral", "The tie stands near the wall end", "pour", 9, 1, 0, 2),
            RuleCount(
                "vent-falls-back", "soil-gas", "The vent pipe falls back toward the gravel", "cover", 4, 1
            ),
            RuleCount(
                "soil-gas-vent-present",
                "soil-gas",
                "A soil-gas vent is there where one is asked for",
                "permit",
                0,
                0,
                1,
                0,
            ),
            RuleCount(
                "vent-label-missing", "soil-gas", "The vent is labelled on every storey", "close", 1, 1
            ),
            RuleCount(
                "hole-in-stud", "coordination", "Holes in studs leave enough wood", "cover", 0, 0, 0, 0
            ),
        ],
        findings=findings,
        paths=[broken_path(), whole_path(), vent_path()],
        estimates=[
            {
                "name": "vent pipe left to buy",
                "low": 4.2,
                "high": 6.0,
                "unit": "m",
                "assumptions": ["pipes with unknown fittings counted once and twice"],
            }
        ],
        buildings=[{"key": "H", "name": "Heron Lane 12", "storeys": ["Crawl space", "Level 1", "Level 2"]}],
        settings=[{"name": "labels_per_storey", "value": "1", "shipped": "2", "origin": "project file"}],
    )


def broken_path() -> Path:
    return Path(
        "uplift",
        f"{WALL_S1}@end",
        "wall S1, Level 1, east end",
        "Level 1",
        "broken",
        slots=(
            PathSlot("post", "Level 1", "joined", (("Post 6x6", "1Xa7Q000000000000000PO1"),), "declared", ""),
            PathSlot(
                "base tie",
                "Level 1",
                "joined",
                (("Tie-down TD-3", "1Xa7Q000000000000000TD3"),),
                "declared",
                "",
            ),
            PathSlot("rod", "Level 1", "broken", (("Rod 16", ROD),), "inferred", ""),
            PathSlot(
                "foundation", "", "joined", (("Footing F2", "1Xa7Q000000000000000FO2"),), "declared", ""
            ),
        ),
        links=(
            PathLink(
                "fastened_to",
                ("Post 6x6", "1Xa7Q000000000000000PO1"),
                ("Tie-down TD-3", "1Xa7Q000000000000000TD3"),
                "stated",
                "joined",
                0.0,
                0.005,
                "declared",
                "",
            ),
            PathLink(
                "threaded_into",
                ("Tie-down TD-3", "1Xa7Q000000000000000TD3"),
                ("Rod 16", ROD),
                "inferred",
                "joined",
                0.0024,
                0.02,
                "inferred",
                "",
            ),
            PathLink(
                "embedded_in",
                ("Rod 16", ROD),
                ("Footing F2", "1Xa7Q000000000000000FO2"),
                "stated",
                "broken",
                0.15,
                0.02,
                "inferred",
                "the model says joined, the drawing leaves 150 mm",
            ),
        ),
        text="broken between rod and foundation",
    )


def whole_path() -> Path:
    return Path(
        "uplift",
        f"{WALL_S1}@start",
        "wall S1, Level 1, west end",
        "Level 1",
        "unknown",
        slots=(
            PathSlot("post", "Level 1", "unknown", (), "guessed", "no post is drawn inside this wall"),
            PathSlot(
                "base tie",
                "Level 1",
                "joined",
                (("Tie-down TD-3", "1Xa7Q000000000000000TD4"),),
                "declared",
                "",
            ),
        ),
        text="post not drawn",
    )


def vent_path() -> Path:
    return Path(
        "vent",
        PIPE,
        "soil-gas vent",
        "Crawl space",
        "joined",
        slots=(
            PathSlot(
                "collector",
                "Crawl space",
                "joined",
                (("Pipe C1", "1Xa7Q000000000000000PC1"),),
                "declared",
                "",
            ),
            PathSlot("piece", "Crawl space", "joined", (("Pipe P3", PIPE),), "declared", ""),
            PathSlot("outlet", "Roof", "joined", (("Pipe P9", "1Xa7Q000000000000000PP9"),), "declared", ""),
        ),
        links=(
            PathLink(
                "joined_to",
                ("Pipe C1", "1Xa7Q000000000000000PC1"),
                ("Pipe P3", PIPE),
                "stated",
                "joined",
                0.0,
                0.02,
                "declared",
                "",
            ),
            PathLink(
                "joined_to",
                ("Pipe P3", PIPE),
                ("Pipe P9", "1Xa7Q000000000000000PP9"),
                "stated",
                "joined",
                None,
                0.02,
                "declared",
                "",
            ),
        ),
    )


def hostile() -> Report:
    """Every string that can come from a model is an attack."""
    report = sample()
    report.files = (SourceFile(HOSTILE, "00" * 32, HOSTILE, HOSTILE, float("nan"), 1, 1),)
    report.notes = [Note("odd-name", HOSTILE, HOSTILE, 3, HOSTILE, serious=True)]
    report.incomplete = [HOSTILE]
    report.buildings = [{"key": HOSTILE, "name": HOSTILE, "storeys": [HOSTILE]}]
    report.coverage = [RoleCoverage("rod", HOSTILE, {"declared": 1}, 0, 1, False, HOSTILE, {HOSTILE: 1})]
    report.settings = [{"name": HOSTILE, "value": HOSTILE, "shipped": HOSTILE, "origin": HOSTILE}]
    report.estimates = [
        {"name": HOSTILE, "low": float("-inf"), "high": -0.0, "unit": HOSTILE, "assumptions": [HOSTILE]}
    ]
    bad = Place(HOSTILE, np.array([np.nan, np.inf, -0.0]), HOSTILE, HOSTILE, HOSTILE, float("inf"))
    for outcome in ("fail", "open"):
        for share in ("", HOSTILE):
            report.findings.append(
                finding(
                    99,
                    HOSTILE,
                    HOSTILE,
                    outcome,
                    bad,
                    HOSTILE,
                    effect=HOSTILE,
                    remedy=HOSTILE,
                    question=HOSTILE,
                    subject_name=HOSTILE,
                    elements=(HOSTILE,),
                    share=share,
                    missing=(Missing(HOSTILE, HOSTILE, HOSTILE),),
                    limits=(
                        Limit(
                            HOSTILE,
                            HOSTILE,
                            HOSTILE,
                            HOSTILE,
                            HOSTILE,
                            "length",
                            float("nan"),
                            float("inf"),
                            -0.0,
                            Basis("code", HOSTILE, HOSTILE, changed_from=HOSTILE, origin=HOSTILE),
                        ),
                    ),
                    evidence=(Evidence(HOSTILE, float("nan"), "length"), Evidence(HOSTILE, HOSTILE)),
                    extra={
                        "set": frozenset({"b", "a"}),
                        "number": np.float64("nan"),
                        HOSTILE: np.array([1, 2]),
                    },
                )
            )
    report.findings.append(
        finding(
            98,
            HOSTILE,
            HOSTILE,
            "fail",
            bad,
            HOSTILE,
            accepted={"reason": HOSTILE, "by": HOSTILE, "until": HOSTILE},
        )
    )
    report.paths = [
        Path(
            "uplift",
            HOSTILE,
            HOSTILE,
            HOSTILE,
            "broken",
            (PathSlot(HOSTILE, HOSTILE, "broken", ((HOSTILE, HOSTILE),), HOSTILE, HOSTILE),),
            (
                PathLink(
                    HOSTILE,
                    (HOSTILE, HOSTILE),
                    (HOSTILE, HOSTILE),
                    HOSTILE,
                    "broken",
                    float("inf"),
                    -0.0,
                    HOSTILE,
                    HOSTILE,
                ),
            ),
            HOSTILE,
        )
    ]
    return report
