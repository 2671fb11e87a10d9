"""The seal stack in section: rings in their order, heights at the side, the ball with its lift."""

from __future__ import annotations

from collections.abc import Sequence

from wetend.advice.reasons import Verdict
from wetend.advice.rebuild.fit import StackFit, StackLayer, Variant
from wetend.drawings import verdict as shapes
from wetend.drawings.clock import dial, hand
from wetend.drawings.labels import Label, column
from wetend.drawings.stack_rings import Frame, Ring, draw, ends, laid_out
from wetend.drawings.svg import WIDE, Point, group, line, sheet, shortened, words, wrapped
from wetend.drawings.words import AS_WRITTEN, Say, saying, word
from wetend.pump.description import Pump
from wetend.units.message import Message, Words, joined
from wetend.units.show import fine_length

_FRAME = Frame(axis=98.0, side=68.0, top=40.0, tall=300.0)
_CHAIN = 182.0
_LABELS = 206.0
_ROOM = WIDE - _LABELS - 2
_SMALL = Frame(axis=38.0, side=31.0, top=50.0, tall=96.0, least=0.5)
_CARD = 160.0


def _title(layer: StackLayer) -> str:
    return layer.title or layer.name


def _shim(layer: StackLayer) -> Message:
    return Message("shim {size}", size=fine_length(layer.height))


def _label(layer: StackLayer, fit: StackFit, point: Point, say: Say) -> Label:
    size = say(fine_length(layer.height))
    title = wrapped(say(_title(layer)), 12, _ROOM)
    if layer.kind == "shim":
        return Label((*wrapped(say(_shim(layer)), 12, _ROOM),), point)
    for squeeze in fit.squeezes:
        if squeeze.name == layer.name:
            label = say(Message("squeeze {squeeze:.0f} %", squeeze=squeeze.squeeze * 100))
            lines = wrapped(label, 12, _ROOM - 20)
            return Label((*title, size, *lines), point, squeeze.verdict, beside=len(lines))
    return Label((*title, size), point)


def _lift_label(fit: StackFit, point: Point, say: Say) -> Label:
    lines = wrapped(say(word(fit.lift_verdict)), 12, _ROOM - 20)
    title = wrapped(say(Message("ball lift")), 12, _ROOM)
    return Label(
        (*title, say(fine_length(fit.lift)), *lines), point, fit.lift_verdict, beside=len(lines)
    )


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


def section(fit: StackFit, pump: Pump | None = None, *, reader: Words = AS_WRITTEN) -> str:
    """The stack as it goes back, in section, every ring named with its clamped height.

    Thin rings are drawn thicker than they are, and the sheet says so. Without ``pump`` the ball is
    drawn to fill its cage, on a seat of 45 degrees.
    """
    say = saying(reader)
    if not fit.layers:
        return sheet(say(Message("The seal stack")), say(Message("No rings.")), height=20)
    frame, rings, ball = laid_out(fit.layers, _FRAME, fit.lift, pump)
    labels = [_label(ring.layer, fit, (_CHAIN, ring.middle), say) for ring in rings]
    if ball:
        labels.append(_lift_label(fit, (_FRAME.axis, ball.stop + ball.lift / 2), say))
    bottom = rings[0].low + 13
    room = sum(each.height for each in labels)
    high = max(bottom + 16, room + 4)
    total = fine_length(sum(layer.height for layer in fit.layers))
    quiet = "dw-text dw-small dw-quiet"
    return sheet(
        say(Message("The seal stack in section")), say(_described(fit, rings, total)),
        words(say(Message("cylinder end")), _FRAME.axis, 14, cls=quiet, anchor="middle"),
        ends(frame, rings), draw(frame, rings, ball),
        line("dw-centre", (_FRAME.axis, 20), (_FRAME.axis, bottom + 4)), _chain(rings),
        _overall(rings, say(total)),
        column(labels, text_x=_LABELS, shelf_x=_LABELS - 9, low=2, high=high),
        words(say(Message("housing floor")), _FRAME.axis, bottom + 15, cls=quiet, anchor="middle"),
        words(say(Message("thin rings drawn thicker than scale")), WIDE - 2, high + 16, cls=quiet,
              anchor="end"),
        height=high + 22,
    )  # fmt: skip


def _described(fit: StackFit, rings: Sequence[Ring], total: str) -> Message:
    return Message(
        "From the housing's floor upwards: {rings}. Ball lift {lift}, {verdict}. "
        "Stack as clamped {total}.",
        rings=joined("; ", (
            _shim(r.layer)
            if r.layer.kind == "shim"
            else Message("{title} {size}", title=_title(r.layer), size=fine_length(r.layer.height))
            for r in rings
        )),
        lift=fine_length(fit.lift), verdict=word(fit.lift_verdict), total=total,
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


def _answer(x: float, name: str, value: str, verdict: Verdict, say: Say) -> str:
    return (
        words(say(name), x, 172, cls="dw-text dw-small dw-quiet")
        + words(shortened(say(value), 12, 80), x, 187, cls="dw-text dw-strong")
        + shapes.at(verdict, x + 8, 201, 16)
        + words(say(word(verdict)), x + 20, 205, cls="dw-text dw-small")
    )


def variant(
    each: Variant,
    fit: StackFit | None = None,
    pump: Pump | None = None,
    *,
    reader: Words = AS_WRITTEN,
) -> str:
    """One way the shims go in wrong: the stack so, where the elbow stops, how far the ball lifts.

    Without ``fit`` the stack itself is left out. Half a column wide, to stand side by side.
    """
    say, lift = saying(reader), fine_length(each.lift)
    by_hand = bool(fit and fit.turns_freely)
    centre = (118.0, 100.0)
    clock = Message("by hand") if by_hand else each.clock
    stack = _small_stack(each, fit, pump) if fit and fit.layers else ""
    title = [words(text, 2, 13 + 14 * i, cls="dw-text dw-strong")
             for i, text in enumerate(wrapped(say(each.title), 12, _CARD - 2))]  # fmt: skip
    return sheet(
        say(each.title),
        say(Message(
            "Elbow {clock}, {elbow_verdict}; lift {lift}, {lift_verdict}. {why}",
            clock=clock, elbow_verdict=word(each.elbow_verdict), lift=lift,
            lift_verdict=word(each.lift_verdict), why=each.why,
        )),
        *title, stack, dial(centre, 33), "" if by_hand else hand(centre, 33, each.stop_angle),
        _answer(2, Message("ball lift"), lift, each.lift_verdict, say),
        _answer(84, Message("elbow"), clock, each.elbow_verdict, say),
        width=_CARD, height=212,
    )  # fmt: skip
