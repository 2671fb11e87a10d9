r"""Grooves of any profile under a flat cover: the duct equation solved by finite elements.

.. math:: \nabla^2u=-1,\;u=0\text{ on the edge},\qquad
          f\,Re=\frac{2D_h^2A}{\int u\,dA},\qquad
          \frac{u_{max}}{\bar u}=\frac{u_{max}A}{\int u\,dA}

Quadratic finite elements: within 1e-4 on smooth profiles, 2e-3 on flat ones with steep flanks.
Laminar, fully developed. Source: the duct equation, any textbook of viscous flow; checked against
the closed forms of :mod:`wetend.physics.channels`.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from wetend.errors import BadInput
from wetend.keeping import MB, kept
from wetend.lazy_import import sparse, sparse_linalg
from wetend.physics.channels import Channel
from wetend.units.message import Message
from wetend.units.quantity import M, MFine

Array = NDArray[np.float64]
Ints = NDArray[np.intp]

_ALONG, _DEEP = 32, 12
_GAUSS = np.polynomial.legendre.leggauss(4)


def _quadratics(s: Array) -> tuple[Array, Array]:
    """The three quadratic shape functions on -1..1, and their slopes."""
    return (
        np.array([s * (s - 1) / 2, 1 - s**2, s * (s + 1) / 2]),
        np.array([s - 0.5, -2 * s, s + 0.5]),
    )


def _reference() -> tuple[Array, Array, Array, Array]:
    """Weights, and the nine shape functions with their two slopes, at the Gauss points."""
    points, weights = _GAUSS
    value, slope = _quadratics(np.asarray(points))
    two = np.einsum("i,j->ij", weights, weights).ravel()
    pairs = (value, value), (slope, value), (value, slope)
    shape, d_one, d_two = (
        np.einsum("ai,bj->ijab", one, other).reshape(len(two), 9) for one, other in pairs
    )
    return two, shape, d_one, d_two


@dataclass(frozen=True)
class Elements:
    """Quadratic elements of a section: nodes, and what is needed at each Gauss point."""

    cells: Ints
    """Nodes of each element."""
    free: NDArray[np.bool_]
    """Nodes off the edge."""
    measure: Array
    """Weight of each point times the area it stands for."""
    shape: Array
    dx: Array
    dy: Array


def elements(edges: Array, depth: Callable[[Array], Array], deep: int = _DEEP) -> Elements:
    """Elements between the edges across, ``deep`` of them down to the depth at each place.

    Source: isoparametric quadratic elements, any textbook of finite elements.

    >>> square = elements(np.linspace(0.0, 1.0, 5), np.ones_like)
    >>> round(float(np.sum(square.measure)), 12)
    1.0
    """
    across = np.sort(np.concatenate([edges, 0.5 * (edges[1:] + edges[:-1])]))
    down = np.linspace(0.0, 1.0, 2 * deep + 1)
    x = np.repeat(across[:, None], down.size, axis=1)
    y = depth(across)[:, None] * down[None, :]
    number = np.arange(x.size).reshape(x.shape)
    cells = np.array([
        number[2 * i : 2 * i + 3, 2 * j : 2 * j + 3].ravel()
        for i in range(edges.size - 1) for j in range(deep)
    ])  # fmt: skip
    free = np.zeros(x.shape, dtype=bool)
    free[1:-1, 1:-1] = True
    weights, shape, d_one, d_two = _reference()
    xa, xb, ya, yb = (
        np.einsum("ga,ea->eg", d, place.ravel()[cells]) for place in (x, y) for d in (d_one, d_two)
    )
    jacobian = xa * yb - xb * ya
    dx = (yb[..., None] * d_one - ya[..., None] * d_two) / jacobian[..., None]
    dy = (xa[..., None] * d_two - xb[..., None] * d_one) / jacobian[..., None]
    return Elements(cells, free.ravel(), weights * jacobian, shape, dx, dy)


def _solved(edges: Array, depth: Callable[[Array], Array]) -> tuple[float, float, float]:
    """Area, integral and peak of u, where the second derivatives of u add up to -1."""
    mesh = elements(edges, depth)
    stiffness = np.einsum("eg,ega,egb->eab", mesh.measure, mesh.dx, mesh.dx)
    stiffness += np.einsum("eg,ega,egb->eab", mesh.measure, mesh.dy, mesh.dy)
    size = mesh.free.size
    load = np.zeros(size)
    np.add.at(load, mesh.cells, np.einsum("eg,ga->ea", mesh.measure, mesh.shape))
    rows = np.repeat(mesh.cells, 9, axis=1).ravel()
    columns = np.tile(mesh.cells, (1, 9)).ravel()
    matrix = sparse.coo_array((stiffness.ravel(), (rows, columns)), shape=(size, size)).tocsc()
    inside = np.flatnonzero(mesh.free)
    u = np.zeros(size)
    u[inside] = sparse_linalg.spsolve(matrix[inside][:, inside], load[inside])
    return float(np.sum(mesh.measure)), float(u @ load), _peak(u.reshape(-1, 2 * _DEEP + 1))


def _peak(u: Array) -> float:
    """The highest of u, by a parabola through the highest node and its neighbours down."""
    i, j = np.unravel_index(int(np.argmax(u)), u.shape)
    low, top, high = u[i, j - 1 : j + 2]
    bend = low - 2 * top + high
    return float(top - (high - low) ** 2 / (8 * bend)) if bend < 0 else float(top)


def _channel(edges: Array, depth: Callable[[Array], Array]) -> Channel:
    area, flow, peak = _solved(edges, depth)
    # the wetted edge: cover, bottom by short chords, and the walls where it does not taper out
    fine = np.concatenate([np.linspace(a, b, 65)[:-1] for a, b in pairwise(edges)])
    fine = np.append(fine, edges[-1])
    bottom = depth(fine)
    edge = float(edges[-1] - edges[0] + np.sum(np.hypot(np.diff(fine), np.diff(bottom))))
    edge += float(bottom[0] + bottom[-1])
    diameter = 4 * area / edge
    return Channel(area, edge, 2 * diameter**2 * area / flow, peak * area / flow)


@kept("flow in grooves", most=MB)
def _shaped(arc: str, aspect: float) -> Channel:
    """A groove of width 1: by cosine-spaced elements, so that steep flanks are met finely."""
    edges = 0.5 * np.cos(np.linspace(np.pi, 0.0, _ALONG + 1))
    if arc == "ellipse":
        return _channel(edges, lambda x: aspect * np.sqrt(np.maximum(1 - 4 * x**2, 0.0)))
    if arc == "parabola":
        return _channel(edges, lambda x: aspect * (1 - 4 * x**2))
    radius = (0.25 + aspect**2) / (2 * aspect)
    base = radius - aspect
    return _channel(edges, lambda x: np.maximum(np.sqrt(radius**2 - x**2) - base, 0.0))


def _sized(arc: str, depth: MFine, width: M) -> Channel:
    if not (0 < depth < float("inf") and 0 < width < float("inf")):
        raise BadInput(Message("A groove's depth and width must be more than zero."))
    one = _shaped(arc, depth / width)
    return Channel(one.area * width**2, one.edge * width, one.poiseuille, one.peak)


def arc_groove(depth: MFine, width: M) -> Channel:
    """A groove with a round bottom, an arc of a circle, no deeper than half its width.

    By the module's equation. A semicircle at its deepest.

    Source: as the module.

    Raises:
        BadInput: deeper than half the width, or not positive.

    >>> round(arc_groove(1e-4, 2e-4).poiseuille, 2)
    63.07
    """
    if depth > 0.5 * width * (1 + 1e-9):
        raise BadInput(Message("An arc can't be deeper than half its width; take a half ellipse."))
    return _sized("arc", min(depth, 0.5 * width), width)


def ellipse_groove(depth: MFine, width: M) -> Channel:
    """A groove of half an ellipse, of any depth. By the module's equation.

    Source: as the module.

    Raises:
        BadInput: depth or width is not positive.

    >>> round(ellipse_groove(1e-4, 2e-4).poiseuille, 2)
    63.07
    """
    return _sized("ellipse", depth, width)


def parabola_groove(depth: MFine, width: M) -> Channel:
    """A groove with a parabolic bottom, as a worn-in score often has. By the module's equation.

    Source: as the module.

    Raises:
        BadInput: depth or width is not positive.

    >>> round(parabola_groove(1e-5, 1e-3).conductance / (1e-3 * 1e-5**3 * 16 / 35 / 12), 3)
    1.0
    """
    return _sized("parabola", depth, width)
