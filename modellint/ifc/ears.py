"""Ear clipping of a flat polygon with holes (Eberly, Triangulation by Ear Clipping, 2002)."""

from __future__ import annotations

from collections.abc import Sequence

Point = tuple[float, float]
Triangle = tuple[int, int, int]

MAX_CORNERS = 3000
"""Beyond this many corners a polygon is fanned: ear clipping grows with the square of their number."""


def ear_clip(loops: Sequence[Sequence[Point]]) -> list[Triangle]:
    """Triangles, as indices into the concatenated loops; the first loop is the outer one.

    The loops may run either way; triangles run counter-clockwise where the outer loop does.
    """
    points = [p for loop in loops for p in loop]
    rings, start = [], 0
    for loop in loops:
        rings.append(list(range(start, start + len(loop))))
        start += len(loop)
    outer = rings[0]
    reversed_outer = _area(points, outer) < 0
    if reversed_outer:
        outer = outer[::-1]
    holes = [ring if _area(points, ring) < 0 else ring[::-1] for ring in rings[1:] if len(ring) > 2]
    for hole in sorted(holes, key=lambda ring: (-max(points[i][0] for i in ring), ring[0])):
        outer = _bridge(points, outer, hole)
    triangles = _clip(points, outer)
    return [(a, c, b) for a, b, c in triangles] if reversed_outer else triangles


def _area(points: Sequence[Point], ring: Sequence[int]) -> float:
    return (
        sum(
            points[a][0] * points[b][1] - points[b][0] * points[a][1]
            for a, b in zip(ring, [*ring[1:], ring[0]], strict=True)
        )
        / 2.0
    )


def _cross(a: Point, b: Point, c: Point) -> float:
    return (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])


def _inside(p: Point, a: Point, b: Point, c: Point) -> bool:
    return _cross(a, b, p) >= 0 and _cross(b, c, p) >= 0 and _cross(c, a, p) >= 0


def _bridge(points: Sequence[Point], outer: list[int], hole: list[int]) -> list[int]:
    """One ring out of two, joined from the hole's rightmost point to an outer point that sees it."""
    tip = max(range(len(hole)), key=lambda k: (points[hole[k]][0], -k))
    start = points[hole[tip]]
    at = _visible(points, outer, start)
    turned = hole[tip:] + hole[: tip + 1]
    return outer[: at + 1] + turned + outer[at:]


def _visible(points: Sequence[Point], outer: list[int], start: Point) -> int:
    """Position in `outer` of a corner visible from `start` (looking in +x)."""
    best, hit = -1, float("inf")
    count = len(outer)
    for k in range(count):
        a, b = points[outer[k]], points[outer[(k + 1) % count]]
        if a[1] <= start[1] <= b[1] and b[1] > a[1]:
            x = a[0] + (start[1] - a[1]) / (b[1] - a[1]) * (b[0] - a[0])
            if start[0] - 1e-12 <= x < hit:
                hit, best = x, k if a[0] > b[0] else (k + 1) % count
    if best < 0:
        return min(range(count), key=lambda k: (_distance(points[outer[k]], start), k))
    target = points[outer[best]]
    corner = (hit, start[1])
    inside = [
        k
        for k in range(count)
        if points[outer[k]] != target
        and points[outer[k]][0] >= start[0]
        and (
            _inside(points[outer[k]], start, corner, target)
            or _inside(points[outer[k]], start, target, corner)
        )
    ]
    if not inside:
        return best
    # The corner with the least angle to the ray; of equal ones the nearest.
    return min(
        inside,
        key=lambda k: (
            abs(points[outer[k]][1] - start[1]) / (_distance(points[outer[k]], start) or 1.0),
            _distance(points[outer[k]], start),
            k,
        ),
    )


def _distance(a: Point, b: Point) -> float:
    return float(((a[0] - b[0]) ** 2 + (a[1] - b[1]) ** 2) ** 0.5)


def _clip(points: Sequence[Point], ring: list[int]) -> list[Triangle]:
    ring = list(ring)
    triangles: list[Triangle] = []
    if len(ring) > MAX_CORNERS:
        return [(ring[0], ring[k], ring[k + 1]) for k in range(1, len(ring) - 1)]
    at, idle = 0, 0
    while len(ring) > 3:
        count = len(ring)
        before, here, after = ring[at - 1], ring[at % count], ring[(at + 1) % count]
        turn = _cross(points[before], points[here], points[after])
        # After a full round without an ear (crossing outlines) any corner is cut, so that the loop ends.
        if idle > count or turn == 0.0 or (turn > 0 and _is_ear(points, ring, before, here, after)):
            if turn != 0.0:
                triangles.append((before, here, after))
            del ring[at % count]
            at, idle = (at - 1) % (count - 1), 0
        else:
            at, idle = (at + 1) % count, idle + 1
    if len(ring) == 3 and _cross(*(points[i] for i in ring)) != 0.0:
        triangles.append((ring[0], ring[1], ring[2]))
    return triangles


def _is_ear(points: Sequence[Point], ring: Sequence[int], before: int, here: int, after: int) -> bool:
    a, b, c = points[before], points[here], points[after]
    low_x, high_x = min(a[0], b[0], c[0]), max(a[0], b[0], c[0])
    low_y, high_y = min(a[1], b[1], c[1]), max(a[1], b[1], c[1])
    for index in ring:
        p = points[index]
        if low_x <= p[0] <= high_x and low_y <= p[1] <= high_y and p not in (a, b, c) and _inside(p, a, b, c):
            return False
    return True
