"""The seal stack in section: rings in their order, heights at the side, the ball with its lift."""

from __future__ import annotations

from collections.abc import Sequence

from wetend.advice.reasons import Verdict
from wetend.advice.rebuild.fit import StackFit, StackLayer, Variant
from wetend.drawings import verdict as shapes
from wetend.drawings.clock import dial, hand
from wetend.drawings.labels import Label, column
from wetend.drawings.sizes_text import length_text
from wetend.drawings.stack_rings import Frame, Ring, draw, ends, laid_out
from wetend.drawings.svg import WIDE, group, line, sheet, shortened, words, wrapped
from wetend.pump.description import Pump
from wetend.units.kinds import System

_FRAME = Frame(axis=98.0, side=68.0, top=40.0, tall=300.0)
_CHAIN = 182.0
_LABELS = 206.0
_SMALL = Frame(axis=38.0, side=31.0, top=50.0, tall=96.0, least=0.5)
_CARD = 160.0


def _label_lines(
    layer: StackLayer, fit: StackFit, system: System
) -> tuple[tuple[str, ...], Verdict | None]:
    size = length_text(layer.height, system)
    title = wrapped(layer.title or layer.name, 12, WIDE - _LABELS - 2)
    if layer.kind == "shim":
        return (f"shim {size}",), None
    for squeeze in fit.squeezes:
        if squeeze.name == layer.name:
            return (*title, size, f"squeeze {squeeze.squeeze * 100:.0f} %"), squeeze.verdict
    return (*title, size), None


def _chain(rings: Sequence[Ring]) -> str:
    """The chain of dimensions beside the rings, an oblique stroke at each face (ISO 129-1)."""
    faces = [rings[0].low, *(r.high for r in rings)]
    edges = [rings[0].outer, *(r.outer for r in rings)]
    drawn = line("dw-thin", (_CHAIN, faces[0]), (_CHAIN, faces[-1]))
    for y, edge in zip(faces, edges, strict=True):
        drawn += line("dw-fine", (_FRAME.axis + edge + 2, y), (_CHAIN + 3.5, y))
        drawn += line("dw-thin", (_CHAIN - 2.6, y + 2.6), (_CHAIN + 2.6, y - 2.6))
    return drawn


def _overall(rings: Sequence[Ring], text: str) -> str:
    x, low, high = 17.0, rings[0].low, rings[-1].high
    strokes = "".join(
        line("dw-thin", (x - 2.6, y + 2.6), (x + 2.6, y - 2.6))
        + line("dw-fine", (x - 3.5, y), (_FRAME.axis - ring.outer - 2, y))
        for ring, y in ((rings[0], low), (rings[-1], high))
    )
    label = group("dw-turned", words(text, 0, 0, anchor="middle"),
                  transform=f"translate(12 {(low + high) / 2:.1f}) rotate(-90)")  # fmt: skip
    return line("dw-thin", (x, low), (x, high)) + strokes + label


def section(fit: StackFit, pump: Pump | None = None, *, system: System = "metric") -> str:
    """The stack as it goes back, in section, every ring named with its clamped height.

    Thin rings are drawn thicker than they are, and the sheet says so. Without ``pump`` the ball is
    drawn to fill its cage, on a seat of 45 degrees.
    """
    if not fit.layers:
        return sheet("The seal stack", "No rings.", height=20)
    frame, rings, ball = laid_out(fit.layers, _FRAME, fit.lift, pump)
    labels = []
    for ring in rings:
        lines, mark = _label_lines(ring.layer, fit, system)
        labels.append(Label(lines, (_CHAIN, ring.middle), mark))
    lift = length_text(fit.lift, system)
    if ball:
        gap = (_FRAME.axis, ball.stop + ball.lift / 2)
        labels.append(Label(("ball lift", lift, str(fit.lift_verdict)), gap, fit.lift_verdict))
    bottom = rings[0].low + 13
    room = sum(each.height for each in labels)
    high = max(bottom + 16, room + 4)
    total = length_text(sum(layer.height for layer in fit.layers), system)
    said = "; ".join(f"{r.layer.title or r.layer.name} {length_text(r.layer.height, system)}"
                     for r in rings)  # fmt: skip
    quiet = "dw-text dw-small dw-quiet"
    return sheet(
        "The seal stack in section",
        f"From the housing's floor upwards: {said}. Ball lift {lift}, {fit.lift_verdict}. "
        f"Stack as clamped {total}.",
        words("cylinder end", _FRAME.axis, 14, cls=quiet, anchor="middle"),
        ends(frame, rings), draw(frame, rings, ball),
        line("dw-centre", (_FRAME.axis, 20), (_FRAME.axis, bottom + 4)), _chain(rings),
        _overall(rings, total),
        column(labels, text_x=_LABELS, shelf_x=_LABELS - 9, low=2, high=high),
        words("housing floor", _FRAME.axis, bottom + 15, cls=quiet, anchor="middle"),
        words("thin rings drawn thicker than scale", WIDE - 2, high + 16, cls=quiet, anchor="end"),
        height=high + 22,
    )  # fmt: skip


def _layers(each: Variant, fit: StackFit) -> list[StackLayer]:
    """The stack with this variant's shims where it has them."""
    pattern = next((x for x in fit.layers if x.kind == "shim"), None)
    rings = [x for x in fit.layers if x.kind != "shim"]
    cage = max((i for i, x in enumerate(rings) if x.kind == "cage"), default=len(rings) - 1)
    like = pattern or rings[cage]

    def shims(sizes: Sequence[float]) -> list[StackLayer]:
        return [StackLayer("shim", "shim", "shim", size, size, like.outside, like.inside, False)
                for size in sizes]  # fmt: skip

    return [*rings[:cage], *shims(each.under), rings[cage], *shims(each.on_top), *rings[cage + 1 :]]


def _small_stack(each: Variant, fit: StackFit, pump: Pump | None) -> str:
    frame, rings, ball = laid_out(_layers(each, fit), _SMALL, each.lift, pump)
    return ends(frame, rings, thick=8) + draw(frame, rings, ball)


def _answer(x: float, name: str, value: str, verdict: Verdict) -> str:
    return (
        words(name, x, 172, cls="dw-text dw-small dw-quiet")
        + words(shortened(value, 12, 80), x, 187, cls="dw-text dw-strong")
        + shapes.at(verdict, x + 8, 201, 16)
        + words(str(verdict), x + 20, 205, cls="dw-text dw-small")
    )


def variant(
    each: Variant,
    fit: StackFit | None = None,
    pump: Pump | None = None,
    *,
    system: System = "metric",
) -> str:
    """One way the shims go in wrong: the stack so, where the elbow stops, how far the ball lifts.

    Without ``fit`` the stack itself is left out. Half a column wide, to stand side by side.
    """
    lift, by_hand = length_text(each.lift, system), bool(fit and fit.turns_freely)
    centre = (118.0, 100.0)
    clock = "by hand" if by_hand else each.clock
    stack = _small_stack(each, fit, pump) if fit and fit.layers else ""
    title = [words(text, 2, 13 + 14 * i, cls="dw-text dw-strong")
             for i, text in enumerate(wrapped(each.title, 12, _CARD - 2))]  # fmt: skip
    return sheet(
        each.title,
        f"Elbow {clock}, {each.elbow_verdict}; lift {lift}, {each.lift_verdict}. {each.why}",
        *title, stack, dial(centre, 33), "" if by_hand else hand(centre, 33, each.stop_angle),
        _answer(2, "ball lift", lift, each.lift_verdict),
        _answer(84, "elbow", clock, each.elbow_verdict),
        width=_CARD, height=212,
    )  # fmt: skip
