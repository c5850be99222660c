"""Pipe pieces and fittings with their ports, for the soil-gas system and the plumbing."""

from __future__ import annotations

from .pieces import House, Measure, Piece, PipeJoint
from .shapes import Tube, Vec, add, sub, times, unit

PVC = "PVC pipe"


class PipeLine:
    """Adds pipes and fittings of one system to a house and joins their ports."""

    def __init__(
        self, house: House, prefix: str, system: str, kinds: tuple[str, str], sizes: tuple[float, float]
    ) -> None:
        """`kinds`: role of pipes and of fittings; `sizes`: outside diameter and bore, metres."""
        self.house, self.prefix, self.system = house, prefix, system
        self.pipe_kind, self.fitting_kind = kinds
        self.outside, self.bore = sizes

    @property
    def side(self) -> float:
        """From a tee's axis to its outer face, where the branch is joined, metres."""
        return self.outside / 2 + 0.006

    def pipe(self, name: str, storey: int, start: Vec, end: Vec, label: str, **more: object) -> Piece:
        """A straight pipe between two points."""
        props = {
            "outside_diameter": Measure(self.outside),
            "inside_diameter": Measure(self.bore),
            "length": Measure(round(_distance(start, end), 6)),
            **more.pop("props", {}),
        }  # type: ignore[dict-item]
        return self.house.add(
            Piece(
                f"{self.prefix}/{name}",
                self.pipe_kind,
                label,
                storey,
                Tube((start, end), self.outside / 2, self.bore / 2),
                material=PVC,
                system=self.system,
                ports=(start, end),
                props=props,
                type_name=f"{PVC} {self.outside * 1000:.1f}",
                **more,
            )
        )  # type: ignore[arg-type]

    def fitting(self, name: str, storey: int, points: tuple[Vec, ...], label: str, variant: str) -> Piece:
        """A bend or coupling along a line of points; ports at both ends (a cap has one)."""
        ports = (points[0],) if variant == "cap" else (points[0], points[-1])
        return self.house.add(
            Piece(
                f"{self.prefix}/{name}",
                self.fitting_kind,
                label,
                storey,
                Tube(points, self.outside / 2 + 0.006, None if variant == "cap" else self.bore / 2),
                material=PVC,
                system=self.system,
                ports=ports,
                variant=variant,
                type_name=label,
                props={"outside_diameter": Measure(self.outside), "inside_diameter": Measure(self.bore)},
            )
        )

    def tee(
        self, name: str, storey: int, run: tuple[Vec, Vec], branch: Vec, label: str, **more: object
    ) -> Piece:
        """A tee: run from port 0 to port 1, branch port 2."""
        middle = times(add(run[0], run[1]), 0.5)
        outer, inner = self.outside / 2 + 0.006, self.bore / 2
        return self.house.add(
            Piece(
                f"{self.prefix}/{name}",
                str(more.get("kind", self.fitting_kind)),
                label,
                storey,
                Tube(run, outer, inner),
                material=PVC,
                system=self.system,
                ports=(*run, branch),
                variant="tee",
                type_name=label,
                more_shapes=(Tube((middle, branch), outer, inner),),
                props={"outside_diameter": Measure(self.outside), "inside_diameter": Measure(self.bore)},
            )
        )

    def join(self, first: str, first_port: int, second: str, second_port: int) -> None:
        """State that two ports are joined."""
        self.house.pipe_joints.append(
            PipeJoint(f"{self.prefix}/{first}", first_port, f"{self.prefix}/{second}", second_port)
        )

    def bend(self, name: str, storey: int, corner: Vec, towards: tuple[Vec, Vec], leg: float = 0.10) -> Piece:
        """A bend with legs along two directions from its corner."""
        points = (
            add(corner, times(unit(towards[0]), leg)),
            corner,
            add(corner, times(unit(towards[1]), leg)),
        )
        return self.fitting(name, storey, points, "Bend 90", "bend")


def _distance(a: Vec, b: Vec) -> float:
    d = sub(a, b)
    return (d[0] ** 2 + d[1] ** 2 + d[2] ** 2) ** 0.5
