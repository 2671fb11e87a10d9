"""Circles through measured points: least squares, minimum zone, roundness, taper, ovality.

Points come as two sequences, x and y, in metres. Source of the terms: ISO 12181-1:2011.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from wetend.errors import BadInput, NoAnswer
from wetend.lazy_import import optimize
from wetend.units.message import Message
from wetend.units.quantity import M, MFine

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class Circle:
    """A fitted circle and how far the points stray from it."""

    x: M
    y: M
    radius: M
    roundness: MFine
    """Farthest less nearest point, seen from the centre."""

    @property
    def diameter(self) -> M:
        """Twice the radius."""
        return 2 * self.radius


def _points(x: Sequence[float], y: Sequence[float]) -> tuple[Floats, Floats, float]:
    """Points moved to their mean and scaled to unit size, with that size."""
    xs, ys = np.asarray(x, dtype=float), np.asarray(y, dtype=float)
    if xs.shape != ys.shape or xs.ndim != 1 or xs.size < 3:
        raise BadInput(Message("A circle needs at least three points, each with x and y."))
    if not (np.isfinite(xs).all() and np.isfinite(ys).all()):
        raise BadInput(Message("Every point must be an ordinary number."))
    centred = np.column_stack([xs - xs.mean(), ys - ys.mean()])
    spreads = np.linalg.svd(centred, compute_uv=False)
    if spreads[1] <= 1e-9 * spreads[0]:
        raise NoAnswer(Message("The points lie on a straight line; no circle fits them."))
    size = float(np.sqrt((centred**2).sum() / xs.size))
    return centred[:, 0] / size, centred[:, 1] / size, size


def _circle(
    given: tuple[Sequence[float], Sequence[float]], centre: tuple[float, float], radius: M
) -> Circle:
    distances = np.hypot(np.asarray(given[0]) - centre[0], np.asarray(given[1]) - centre[1])
    return Circle(*centre, radius, float(distances.max() - distances.min()))


def _algebraic(x: Floats, y: Floats) -> tuple[float, float, float]:
    """Circle of least squared algebraic distance, a start for the geometric fit (Kasa)."""
    matrix = np.column_stack([2 * x, 2 * y, np.ones_like(x)])
    a, b, c = np.linalg.lstsq(matrix, x**2 + y**2, rcond=None)[0]
    return float(a), float(b), math.sqrt(float(c + a * a + b * b))


def least_squares_circle(x: Sequence[float], y: Sequence[float]) -> Circle:
    r"""Circle with the least sum of squared radial distances.

    .. math:: \min\sum_i\left(\sqrt{(x_i-a)^2+(y_i-b)^2}-r\right)^2

    Damped Gauss-Newton from the algebraic circle.
    Source: Gander, Golub and Strebel, "Least-squares fitting of circles and ellipses", *BIT* 34
    (1994) 558-578; reference circle of ISO 12181-1.

    Raises:
        BadInput: fewer than three points.
        NoAnswer: points on a line.

    >>> fit = least_squares_circle([9, 35, -13, 10, 23, 0], [34, 10, 6, -14, 27, -10])
    >>> fit.x, fit.y, fit.radius
    (10.50009, 9.65995, 23.33353)
    """
    u, v, size = _points(x, y)
    place = np.array(_algebraic(u, v))

    def residual(p: Floats) -> Floats:
        return np.asarray(np.hypot(u - p[0], v - p[1]) - p[2], dtype=np.float64)

    damping, error = 1e-3, residual(place)
    for _ in range(200):
        distance = np.hypot(u - place[0], v - place[1])
        slopes = np.column_stack(
            [(place[0] - u) / distance, (place[1] - v) / distance, -np.ones_like(u)]
        )
        normal = slopes.T @ slopes + damping * np.eye(3)
        step = -np.linalg.solve(normal, slopes.T @ error)
        tried = residual(place + step)
        if tried @ tried <= error @ error:
            place, error, damping = place + step, tried, damping / 10
            if np.abs(step).max() < 1e-14:
                break
        else:
            damping *= 10
            if damping > 1e8:
                break
    a, b, r = (float(part) * size for part in place)
    return _circle((x, y), (a + float(np.mean(x)), b + float(np.mean(y))), r)


def _narrower(x: Floats, y: Floats, width: float, reach: float) -> tuple[float, float]:
    """Move of the centre, at most ``reach`` widths each way, that narrows the linearised ring."""
    distance = np.hypot(x, y)
    slope = -np.column_stack([x, y]) / distance[:, None]
    one, none = np.ones((x.size, 1)), np.zeros((x.size, 1))
    rows = np.vstack([np.hstack([slope, -one, none]), np.hstack([-slope, none, one])])
    height = (distance - distance.mean()) / width
    bounds = [(-reach, reach), (-reach, reach), (None, None), (None, None)]
    found = optimize.linprog([0, 0, 1, -1], A_ub=rows, b_ub=np.concatenate([-height, height]),
                    bounds=bounds, method="highs")  # fmt: skip
    if found.x is None:
        return 0.0, 0.0
    return float(found.x[0]) * width, float(found.x[1]) * width


def minimum_zone_circle(x: Sequence[float], y: Sequence[float]) -> Circle:
    r"""Middle of the narrowest ring that holds every point; its width is the roundness.

    .. math:: \min_{a,b}\left(\max_i d_i-\min_i d_i\right)

    A linear programme on the slopes of the distances, solved again from its own answer until the
    ring no longer narrows, each step kept within a shrinking square. From the least-squares centre
    this finds the narrowest ring of parts that are near round.
    Source: minimum zone reference circles of ISO 12181-1:2011.

    >>> ring = minimum_zone_circle([9, 35, -13, 10, 23, 0], [34, 10, 6, -14, 27, -10])
    >>> ring.roundness
    2.92459
    """
    u, v, size = _points(x, y)
    start = least_squares_circle(u.tolist(), v.tolist())
    a, b, width, reach = start.x, start.y, start.roundness, 1.0
    while width > 1e-14 and reach > 1e-9:
        right, up = _narrower(u - a, v - b, width, reach)
        tried = np.hypot(u - a - right, v - b - up)
        narrower = float(tried.max() - tried.min())
        if narrower < width * (1 - 1e-12):
            a, b, width = a + right, b + up, narrower
        else:
            reach /= 4
    distance = np.hypot(u - a, v - b)
    radius = float(distance.max() + distance.min()) / 2 * size
    centre = (a * size + float(np.mean(x)), b * size + float(np.mean(y)))
    return _circle((x, y), centre, radius)
