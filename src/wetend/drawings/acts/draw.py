"""One call that draws a pump: whole, taken apart, or at any step of its strip or rebuild."""

from __future__ import annotations

from collections.abc import Collection, Sequence

from wetend.advice.inspect.looks.look import Look
from wetend.advice.inspect.looks.table import looks_of
from wetend.drawings.acts.at_bench import AT_BENCH
from wetend.drawings.acts.between import BETWEEN
from wetend.drawings.acts.exploded import exploded
from wetend.drawings.acts.picture import pictures_of
from wetend.drawings.ink import standalone
from wetend.drawings.looks.draw import PARTS as WORN
from wetend.drawings.looks.draw import picture
from wetend.drawings.measuring import running
from wetend.drawings.measuring.benches import BENCHES, measuring
from wetend.drawings.wet_end.section import section
from wetend.drawings.words import AS_WRITTEN
from wetend.errors import Problem, UnknownName
from wetend.pump.description import Pump
from wetend.pump.strip_graph import must_precede
from wetend.units.message import Message, Words
from wetend.units.suggestions import near_or_all

PARTS = "parts"
"""Draws the pump taken apart."""
MEASURED = {f"measure-{part}": part for part in BENCHES}
"""Draw where and how a part is measured."""
CHECKED = {f"check-{key}": key for key in running.CHECKED}
PROVED = {f"prove-{key}": key for key in running.PROVED}
"""Draw where a running check, or an act of the proof, is read."""


def steps_drawn(pump: Pump) -> tuple[str, ...]:
    """What :func:`draw` can be asked for, beside the whole pump."""
    operations = (o.key for o in pump.strip.operations)
    return (PARTS, *operations, *BETWEEN, *AT_BENCH, *MEASURED, *CHECKED, *PROVED, *_looks(pump))


def _looks(pump: Pump) -> dict[str, tuple[str, Look]]:
    """Every look of every part, in no coating."""
    return {
        f"{part}-{look.key}": (part, look) for part in WORN for look in looks_of(pump, None, part)
    }


def draw(
    pump: Pump, step: str = "", *, back: bool = False, done: Collection[str] | None = None,
    used: Sequence[str] | None = None, reader: Words = AS_WRITTEN,
) -> str:  # fmt: skip
    """A drawing of a pump as an SVG that stands alone.

    Args:
        pump: as described.
        step: key of an operation of its strip; ``"parts"``, the pump taken apart; a step of the
            rebuild that puts nothing back, such as ``"solvent-foot"``; ``"measure-rod"`` and the
            like, where and how that part is measured; ``"rod-dent"`` and the like, what it may
            look like; ``"check-creep"``, ``"prove-stall"`` and the like, where that is read;
            nothing: the whole pump.
        back: the operation is put back.
        done: operations that stand done while it is carried out; not given, those that have to
            come before it.
        used: keys of its tools; not given, the first that would do of each.
        reader: who reads its words.

    Raises:
        UnknownName: there is no such step.

    >>> from wetend.pump.toml import demo_pump
    >>> draw(demo_pump("quay-air"), "foot-crack").startswith("<svg ")
    True
    """
    if not step:
        return standalone(section(pump, reader=reader))
    if step == PARTS:
        return standalone(exploded(pump, reader=reader))
    if step in MEASURED:
        return standalone(measuring(pump, MEASURED[step], reader=reader))
    if step in CHECKED:
        return standalone(running.check(pump, CHECKED[step], reader=reader))
    if step in PROVED:
        return standalone(running.proof(pump, PROVED[step], reader=reader))
    if step in (looks := _looks(pump)):
        part, look = looks[step]
        return standalone(picture(pump, part, look, reader=reader))
    pictures = pictures_of(pump, reader=reader)
    operation = next((o for o in pump.strip.operations if o.key == step), None)
    if operation is not None:
        before = _before(pump, step) if done is None else set(done) - {step}
        drawn = (
            pictures.rebuild(operation, before, operation.back_title or operation.title,
                             used=used, alone=True)
            if back else pictures.strip(operation, before, used=used, alone=True)
        )  # fmt: skip
        return standalone(drawn)
    if step in BETWEEN or step in AT_BENCH:
        return standalone(pictures.between(step, step.replace("-", " ").capitalize(), alone=True))
    sentence = Message(
        "There is no step “{step}”; {choice}",
        step=step,
        choice=near_or_all(step, steps_drawn(pump)),
    )
    raise UnknownName(sentence, (Problem("step", sentence),))


def _before(pump: Pump, step: str) -> set[str]:
    """All operations that have to be done before one."""
    first = must_precede(pump.strip.operations)
    found, waiting = set[str](), [step]
    while waiting:
        for key in first[waiting.pop()] - found:
            found.add(key)
            waiting.append(key)
    return found
