"""Scores and grooves with a coating of any flow law in them, solved rather than reckoned.

The two numbers of Kozicki, :func:`wetend.physics.channels.liquid_flow`, are low by a third and more
for a shear-thinning coating in a shallow scratch. Here the duct equation itself is solved with the
coating's own law, by the finite elements of :mod:`wetend.physics.grooves`.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any, Literal

import numpy as np

from wetend.errors import BadInput, NoAnswer
from wetend.keeping import MB, kept
from wetend.lazy_import import sparse, sparse_linalg
from wetend.physics.grooves import Array, Elements, Ints, elements
from wetend.physics.rheology.laws import law_of
from wetend.physics.rheology.liquid import Liquid
from wetend.units.message import Message
from wetend.units.quantity import M, M3PerS, MFine, Pa

Shape = Literal["rectangle", "triangle", "arc", "ellipse", "parabola"]

_ALONG, _DEEP = 20, 7
_ROUNDS = 60
_SOFT = 1e-3
"""Rate of shear, over that of the mean wall stress, below which the law is rounded off."""
_LEAST = 2e-4
"""Flow, over that of the mean wall stress, below which the coating is taken to stand still."""


@dataclass(frozen=True, slots=True)
class Score:
    """The section of a score: its shape, and its depth and width at the surface.

    Raises:
        BadInput: depth or width is not positive, or an arc is deeper than half its width.

    >>> Score("triangle", 4e-5, 2e-4).aspect
    0.2
    """

    shape: Shape
    depth: MFine
    width: M

    def __post_init__(self) -> None:
        if not (0 < self.depth < math.inf and 0 < self.width < math.inf):
            raise BadInput(Message("A score's depth and width must be more than zero."))
        if self.shape == "arc" and self.depth > 0.5 * self.width * (1 + 1e-9):
            raise BadInput(
                Message("An arc can't be deeper than half its width; take a half ellipse.")
            )

    @property
    def aspect(self) -> float:
        """Depth over width."""
        return self.depth / self.width


def _depth(shape: Shape, aspect: float) -> Callable[[Array], Array]:
    """Depth at places from -1/2 to 1/2 across a score of width 1."""
    if shape == "rectangle":
        return lambda x: np.full_like(x, aspect)
    if shape == "triangle":
        return lambda x: aspect * (1 - 2 * np.abs(x))
    if shape == "parabola":
        return lambda x: aspect * (1 - 4 * x**2)
    if shape == "ellipse":
        return lambda x: aspect * np.sqrt(np.maximum(1 - 4 * x**2, 0.0))
    radius = (0.25 + aspect**2) / (2 * aspect)
    return lambda x: np.maximum(np.sqrt(radius**2 - x**2) - (radius - aspect), 0.0)


@kept("meshes of scores", most=16 * MB)
def _meshed(shape: Shape, aspect: float) -> tuple[Elements, float]:
    """Elements of a score of width 1, and its hydraulic diameter."""
    edges = 0.5 * np.cos(np.linspace(np.pi, 0.0, _ALONG + 1))
    depth = _depth(shape, aspect)
    fine = 0.5 * np.cos(np.linspace(np.pi, 0.0, 4001))
    bottom = depth(fine)
    edge = (
        1.0
        + float(np.sum(np.hypot(np.diff(fine), np.diff(bottom))))
        + float(bottom[0] + bottom[-1])
    )
    mesh = elements(edges, depth, _DEEP)
    return mesh, 4 * float(np.sum(mesh.measure)) / edge


@dataclass
class _Law:
    """The coating's law with stress and consistency made one, rounded off below ``soft``."""

    liquid: Liquid
    soft: float

    def energy(self, square: Array) -> Array:
        work = law_of(self.liquid).work
        assert work is not None
        return work(np.sqrt(square + self.soft**2), self.liquid)

    def stiffness(self, square: Array) -> tuple[Array, Array]:
        """Stress over rate, and what more it takes along the gradient, over the rate squared."""
        rate, law = np.sqrt(square + self.soft**2), law_of(self.liquid)
        assert law.slope is not None
        over, steep = law.stress(rate, self.liquid) / rate, law.slope(rate, self.liquid)
        return np.asarray(over), np.asarray((steep - over) / rate**2)


def _assembled(mesh: Elements, blocks: Array) -> Any:
    rows = np.repeat(mesh.cells, 9, axis=1).ravel()
    columns = np.tile(mesh.cells, (1, 9)).ravel()
    size = mesh.free.size
    matrix = sparse.coo_array((blocks.ravel(), (rows, columns)), shape=(size, size)).tocsc()
    inside: Ints = np.flatnonzero(mesh.free)
    return sparse.csc_array(matrix[inside][:, inside])


def _relaxed(mesh: Elements, u: Array, load: Array, law: _Law) -> Array:
    """The speed that makes the energy least: Newton's rule, each step cut until it gains."""
    inside = np.flatnonzero(mesh.free)

    def slopes(v: Array) -> tuple[Array, Array]:
        return (
            np.einsum("ega,ea->eg", mesh.dx, v[mesh.cells]),
            np.einsum("ega,ea->eg", mesh.dy, v[mesh.cells]),
        )

    def energy(v: Array) -> float:
        gx, gy = slopes(v)
        return float(np.sum(mesh.measure * law.energy(gx**2 + gy**2)) - load @ v)

    least = energy(u)
    for _ in range(_ROUNDS):
        gx, gy = slopes(u)
        over, more = law.stiffness(gx**2 + gy**2)
        along = gx[..., None] * mesh.dx + gy[..., None] * mesh.dy
        blocks = np.einsum("eg,ega,egb->eab", mesh.measure * over, mesh.dx, mesh.dx)
        blocks += np.einsum("eg,ega,egb->eab", mesh.measure * over, mesh.dy, mesh.dy)
        blocks += np.einsum("eg,ega,egb->eab", mesh.measure * more, along, along)
        pull = load.copy()
        np.subtract.at(pull, mesh.cells, np.einsum("eg,ega->ea", mesh.measure * over, along))
        step = np.zeros_like(u)
        step[inside] = sparse_linalg.spsolve(_assembled(mesh, blocks), pull[inside])
        share = 1.0
        while energy(u + share * step) > least and share > 1e-6:
            share *= 0.5
        u = u + share * step
        now = energy(u)
        if share <= 1e-6 or least - now <= 1e-11 * abs(now):
            break
        least = now
    return u


@kept("flow in scores", most=MB)
def _share(shape: Shape, aspect: float, law: str, index: float, yields: float) -> float:
    """Flow over width cubed and the rate of the mean wall stress; ``yields`` over that stress."""
    mesh, diameter = _meshed(shape, aspect)
    load = np.zeros(mesh.free.size)
    np.add.at(load, mesh.cells, np.einsum("eg,ga->ea", mesh.measure, mesh.shape) * 4 / diameter)
    u = np.zeros(mesh.free.size)
    # from a newtonian liquid by easy stages to the law asked
    stages = max(1, math.ceil(abs(math.log(index)) / 0.35), math.ceil(yields / 0.25))
    for i in range(stages + 1):
        way = i / stages
        u = _relaxed(mesh, u, load, _Law(Liquid(law, 1.0, yields * way, 1.0, index**way), 0.03))
    u = _relaxed(mesh, u, load, _Law(Liquid(law, 1.0, yields, 1.0, index), _SOFT))
    return float(load @ u) * diameter / 4


def score_flow(score: Score, liquid: Liquid, *, length: M, pressure: Pa) -> M3PerS:
    r"""Leak of a coating along a score, of any law whose stress keeps its shape when scaled.

    .. math:: \nabla\cdot\left(\frac{\tau(\dot\gamma)}{\dot\gamma}\nabla u\right)=-\frac pL,
              \qquad\dot\gamma=|\nabla u|,\;u=0\text{ on the edge}

    Laminar, fully developed, under a flat cover. Quadratic finite elements by Newton's rule on the
    energy that the true speed makes least: within half a per cent for n above 0.3, one at 0.2, and
    a quarter of a per cent of the unyielded flow where a yield stress holds the narrow parts
    still. The index is held at 0.15 or more. Source: the duct
    equation of a generalised newtonian liquid, R. B. Bird, R. C. Armstrong and O. Hassager,
    *Dynamics of Polymeric Liquids* vol. 1, 2nd ed. (1987), section 4.3 (from memory); checked
    against lubrication, the square and the newtonian closed forms.

    Raises:
        NoAnswer: a law that can't be solved so; says why.

    >>> zinc = Liquid("power-law", 2600.0, 0.0, 8.0, 0.5)
    >>> round(score_flow(Score("triangle", 4e-5, 2e-4), zinc, length=0.022, pressure=2e7) * 6e7, 2)
    1.88
    """
    law = law_of(liquid)
    if law.work is None or law.slope is None or liquid.further:
        raise NoAnswer(law.limits["score"])
    if pressure <= 0:
        return 0.0
    mesh, diameter = _meshed(score.shape, score.aspect)
    wall = pressure / length * diameter * score.width / 4
    index = max(liquid.index, 0.15)
    yields = liquid.yield_stress / wall
    if yields >= 2.0:  # past the greatest stress anywhere on the wall
        return 0.0
    share = _share(score.shape, score.aspect, liquid.law, index, yields)
    if yields > 0 and share < _LEAST * float(np.sum(mesh.measure)) * diameter:
        return 0.0
    log_rate = math.log(wall / liquid.consistency) / index
    return share * score.width**3 * math.exp(min(log_rate, 600.0))
