"""Where a running check or a proof is read, on the pump at work."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from wetend.advice.diagnosis.checks import CHECKS
from wetend.advice.prove.acts import ACTS
from wetend.drawings.measuring import closeups, plates, scheme, valves
from wetend.drawings.measuring.plates import Plate
from wetend.drawings.measuring.scheme import Spot
from wetend.drawings.words import AS_WRITTEN
from wetend.errors import NotFound
from wetend.keeping import MB, kept
from wetend.pump.description import Pump
from wetend.units.message import Message, Words

Near = Literal["rule", "gauge", "zero", "supply", "pail", "watch", "ohm", "solvent"]


@dataclass(frozen=True)
class Reading:
    """Where to look, in order, and what with."""

    where: tuple[tuple[Spot, str], ...]
    near: tuple[Near, ...] = ()

    @property
    def sprays(self) -> bool:
        """Whether the gun sprays in it."""
        return ("sheet", _SPRAY) in self.where


_ROD = Message("Rod: it can move at any moment, look only.")
_SPRAY = Message("Spray on the work or a test sheet.")
_SHUT = Message("Gun shut, trigger locked: the pump stalls.")
_NEEDLE = Message("Gauge at the outlet.")
_DUMP = Message("Dump valve, its hose tied into a bonded metal pail.")
_CUP = Message("Wet cup: from beside it, no finger in it.")
_PAIL = Message("What comes back: smooth, or with bubbles.")

CHECKED: Mapping[str, Reading] = {
    "nozzle-turn": Reading((
        ("nozzle", Message("Turn the nozzle half round in its guard, trigger locked.")),
        ("sheet", Message("Shoot once at a waste sheet; turn it back, locked again.")),
        ("gauge", Message("Gauge and fan: better, or no change?")),
    )),
    "wet-cup": Reading((("cup", _CUP),)),
    "outside": Reading((
        ("hose", Message("Hose and every fitting: by eye, no hand along it.")),
        ("pail", Message("End of the dump hose: dry, or drips?")),
        ("gun", Message("Gun and its swivel.")),
    )),
    "look": Reading((
        ("cup", _CUP), ("hose", Message("Hose, fittings, gun: by eye, no hand along them.")),
        ("pail", Message("End of the dump hose: dry, or drips?")),
    )),
    "changeover": Reading((("rod", Message("Rod at the top and bottom turn: knock, pause.")),
                           ("sheet", _SPRAY)), ("watch",)),
    "early-drop": Reading((("rod", Message("Start of the down-stroke, against the rule.")),
                           ("sheet", _SPRAY)), ("rule",)),
    "gauge-spray": Reading((("gauge", _NEEDLE), ("sheet", _SPRAY)), ("gauge",)),
    "supply": Reading((("supply", Message("Gauge at the drive, while it runs.")),), ("supply",)),
    "air": Reading((("dump", Message("Dump valve open a little, the pump running slowly.")),
                    ("pail", _PAIL))),
    "cycles": Reading((("rod", Message("Count one for each time it turns at the top.")),
                       ("sheet", _SPRAY)), ("watch",)),
    "gauge-stall": Reading((("gun", _SHUT), ("gauge", _NEEDLE)), ("gauge",)),
    "strokes": Reading((("rod", Message("Tap as the rod turns, top and bottom.")),
                        ("sheet", _SPRAY)), ("watch",)),
    "suction-lifted": Reading((
        ("gun", _SHUT), ("suction", Message("Suction's end lifted clear: holds, or runs back?")),
    )),
    "slow": Reading((("dump", _DUMP),
                     ("rod", Message("Start of the down-stroke, against the rule.")),
                     ("pail", _PAIL)), ("rule",)),
    "wash": Reading((("suction", Message("Strainer deep in clean coating.")), ("dump", _DUMP),
                     ("gun", Message("Gun shut and locked; then stall it both ways.")))),
    "watch": Reading((("rod", Message("Turns, quick drop, knocks: look only.")), ("gauge", _NEEDLE),
                      ("sheet", _SPRAY)), ("rule", "watch")),
    "fresh-suction": Reading((
        ("suction",
         Message("Short, wide suction in a full bonded pail; changed with zero proven.")),
        ("rod", Message("Quick drop gone, or no better?")),
    )),
    "creep": Reading((("gun", _SHUT), ("rod", _ROD), ("gauge", _NEEDLE)), ("rule", "gauge")),
    "nozzle": Reading((
        ("nozzle", Message("New nozzle of the same size, fitted with zero proven.")),
        ("gauge", Message("Gauge and fan: better, or no change?")),
    )),
    "creep-place": Reading((("gun", _SHUT),
                            ("rod", Message("Creep near the top, half-way, near the bottom."))),
                           ("rule",)),
    "bucket": Reading((("suction", Message("Suction in the measuring pail; changed with zero "
                                           "proven.")),
                       ("rod", Message("Count cycles at one turn.")), ("sheet", _SPRAY)),
                      ("pail",)),
    "filter": Reading((("filter", Message("Outlet filter, opened with zero proven: clean, or "
                                          "blocked?")),)),
    "solvent": Reading((("foot", Message("Foot valve, taken off with zero proven.")),),
                       ("solvent",)),
}  # fmt: skip
"""By the key of the running check."""

PROVED: Mapping[str, Reading] = {
    "solvent": Reading((("foot", Message("Foot valve, before the pump is closed.")),),
                       ("solvent",)),
    "stall": Reading((("gun", Message("Shut the gun in mid-stroke, on the way wanted.")),
                      ("rod", _ROD), ("gauge", _NEEDLE)), ("rule", "gauge")),
    "hold": Reading((("drive", Message("What keeps the rod: drive fluid trapped, or a cock shut.")),
                     ("gauge", Message("Gauge now, and a minute or more later."))), ("gauge",)),
    "bucket": Reading((("nozzle", Message("Nozzle out, low pressure, into the pail.")),
                       ("rod", Message("Count cycles from one upper turn to another."))),
                      ("pail",)),
    "rhythm": Reading((("rod", Message("Tap as the rod turns, a dozen turns.")),
                       ("sheet", _SPRAY)), ("watch",)),
    "wet-cup": Reading((("cup", _CUP),)),
    "guards": Reading((("guard", Message("Guards on and fast, the nozzle's too.")),
                       ("hose", Message("A whip check over every joint.")),
                       ("rod", Message("Guard over the moving rod.")))),
    "hose": Reading((("hose", Message("Date on each ferrule; cover from end to end, pressure "
                                      "off.")),)),
    "bonding": Reading((("earth", Message("Pump to its earth point.")),
                        ("pail", Message("Pump to the pail.")),
                        ("sheet", Message("Pump to the object."))), ("ohm",)),
    "limit": Reading((("gun", Message("Gun shut; supply raised slowly.")),
                      ("supply", Message("Read here, at the drive's supply …")),
                      ("gauge", Message("… or here, at the pump's outlet."))), ("gauge",)),
    "trigger-lock": Reading((("gun", Message("Trigger locked: squeeze hard, nothing may come.")),
                             ("sheet", Message("Aimed at the work or a test sheet, guard on.")))),
    "dump-valve": Reading((("dump", _DUMP), ("gauge", Message("Falls at once.")),
                           ("pail", Message("Shut again: no drip for a minute.")))),
    "gauge-zero": Reading((("drive", Message("Drive isolated.")), ("gun", Message("Gun tried.")),
                           ("gauge", Message("Needle on its stop."))), ("zero",)),
}  # fmt: skip
"""By the key of the act of the proof."""


def _close(pump: Pump, near: Near) -> tuple[Plate, ...]:
    match near:
        case "rule":
            return (closeups.rule(pump),)
        case "gauge" | "zero":
            return (closeups.gauge(pump, zero=near == "zero"),)
        case "supply":
            return (closeups.supply(pump),)
        case "pail":
            return (closeups.pail_and_watch(),)
        case "watch":
            return (closeups.watch(),)
        case "ohm":
            return (closeups.ohmmeter(),)
        case "solvent":
            return valves.solvent(pump.foot_valve)


def _plates(pump: Pump, reading: Reading, *, alone: bool) -> tuple[Plate, ...]:
    spots = {n: spot for n, (spot, _) in enumerate(reading.where, 1)}

    def at_work() -> str:
        return (scheme.scheme() if alone else scheme.pointed()) + scheme.marked(
            spots, sprays=reading.sprays
        )

    where = Plate((), Message("On the pump"), scheme.TALL, at_work,
                  tuple(note for _, note in reading.where))  # fmt: skip
    return (where, *(plate for near in reading.near for plate in _close(pump, near)))


def _drawn(
    pump: Pump, title: str | None, reading: Reading | None, *, reader: Words, alone: bool
) -> str:
    if title is None or reading is None:
        raise NotFound(Message("There is no such check."))
    return plates.drawn(title, _plates(pump, reading, alone=alone), reader=reader)


@kept("pictures of checks", most=4 * MB)
def check(pump: Pump, key: str, *, reader: Words = AS_WRITTEN, alone: bool = True) -> str:
    """Where a running check is read.

    Args:
        pump: whose check.
        key: of the check.
        reader: who reads the words.
        alone: whether the picture carries the scheme, or points to the one on its page.

    Raises:
        NotFound: there is no such check.
    """
    title = next((c.title for c in CHECKS if c.key == key), None)
    return _drawn(pump, title, CHECKED.get(key), reader=reader, alone=alone)


@kept("pictures of proofs", most=4 * MB)
def proof(pump: Pump, key: str, *, reader: Words = AS_WRITTEN, alone: bool = True) -> str:
    """Where an act of the proof is read; as :func:`check`.

    Raises:
        NotFound: there is no such act.
    """
    act = ACTS.get(key)
    return _drawn(pump, act.title if act else None, PROVED.get(key), reader=reader, alone=alone)
