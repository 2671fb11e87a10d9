"""The proof's acts, one reading or look at a time: those that need zero while it still stands."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Final

from wetend.advice.prove.acts import ACTS, FIRST_PRESSURE
from wetend.advice.prove.proof import Proof
from wetend.advice.safety.hazards import for_screen
from wetend.pump.proof_readings import ProofReadings
from wetend.units.message import Message
from wetend.units.quantity import Minutes
from wetend.units.show import show
from wetend.workflows.acts.act import Act
from wetend.workflows.prove import ProveView


@dataclass(frozen=True)
class Proving:
    """One screen of an act of the proof."""

    key: str
    of: str
    """The act's key, in :data:`wetend.advice.prove.acts.ACTS`."""
    title: str
    fields: tuple[str, ...]
    more: tuple[str, ...] = ()
    minutes: Minutes = 1.0
    zero: bool = False
    under_pressure: bool = False
    test: str = ""
    """The test whose limit stands beside the reading."""


SCREENS: Final = (
    Proving(
        "solvent", "solvent", Message("Pour solvent over the seated ball, catch what comes"),
        ("solvent_lost", "solvent_head", "solvent_time"), minutes=3.0, test="solvent",
    ),
    Proving("guards", "guards", Message("Check that every guard is on and fast"), ("guards",),
            zero=True),
    Proving("whip-checks", "guards", Message("Check for a whip check over every hose joint"),
            ("whip_checks",), zero=True),
    Proving("hose-age", "hose", Message("Read the dates: is each hose within its age?"),
            ("hose_age",), zero=True),
    Proving("hose-cover", "hose", Message("Look the hose covers over: undamaged from end to end?"),
            ("hose_cover",), zero=True),
    Proving("bonding", "bonding", Message("Measure the bonding, bare metal to bare metal"),
            ("bonding",), minutes=2.0, test="bonding"),
    Proving(
        "bucket", "bucket", Message("Nozzle out, low pressure: catch forty cycles in a pail"),
        ("bucket_volume", "bucket_cycles"), ("bucket_spread", "instruments"), minutes=4.0,
        zero=True, under_pressure=True, test="bucket",
    ),
    Proving("stall-up", "stall",
            Message("Stall it going up: read the gauge, then how far it moves"),
            ("stall_pressure", "stall_creep_up", "stall_time"), ("stall_settled", "gauge_spread"),
            minutes=2.5, test="gauge"),
    Proving("stall-down", "stall",
            Message("Stall it going down: mark, wait, read how far it moves"),
            ("stall_creep_down", "stall_time"), ("stall_settled",), minutes=2.5,
            test="stall-down"),
    Proving("rod-held", "hold", Message("Say what keeps the rod from moving in a hold"),
            ("rod_held",), minutes=0.5),
    Proving("hold", "hold", Message("Hold the pressure, gun shut: gauge now and later"),
            ("hold_start", "hold_end", "hold_time"), minutes=2.5, test="hold"),
    Proving("rhythm", "rhythm", Message("Spray steadily; enter the mean time of each stroke"),
            ("up_time", "down_time"), minutes=2.0, test="rhythm"),
    Proving("wet-cup", "wet-cup", Message("Run ten minutes, then look in the wet cup"),
            ("wet_cup",), minutes=10.0),
    Proving("limit", "limit", Message("Raise the supply slowly until the relief valve holds it"),
            ("limit_setting",), ("limit_where",), minutes=2.0, test="limit"),
    Proving("trigger-lock", "trigger-lock",
            Message("Lock the trigger, squeeze hard: does it hold?"), ("trigger_lock",),
            minutes=0.5),
    Proving("dump-valve", "dump-valve",
            Message("Open the dump valve, shut it: does it open and shut tight?"),
            ("dump_valve",), minutes=2.0),
    Proving("gauge-zero", "gauge-zero",
            Message("Isolate, try the gun, open the dump valve: gauge on its stop?"),
            ("gauge_zero",), minutes=1.0),
)  # fmt: skip
"""Every reading of the proof. First what needs zero, while the rebuild's proof of it stands; the
first pressure last. How long each takes is common practice, no source."""
_BRINGS_PRESSURE: Final = next(s.key for s in SCREENS if s.of == "bucket")


def _is_read(proof: ProofReadings | None, each: Proving) -> bool:
    if proof is None:
        return False
    blank = ProofReadings()
    own = [n for n in each.fields if n != "limit_where"]
    return all(getattr(proof, name) != getattr(blank, name) for name in own)


def _limits(proof: Proof | None) -> Mapping[str, str]:
    """By test, what a sound pump keeps to."""
    if proof is None:
        return {}
    return {
        t.key: Message("{limit_is} {limit}", limit_is=Message(t.limit_is),
                       limit=show(t.good if t.good is not None else t.limit, t.unit))
        for t in proof.tests
        if not t.by_looking and not t.seen
    }  # fmt: skip


def acts(seen: ProveView, *, due: bool) -> Iterator[Act]:
    """The acts of the proof; readings of before a new strip count for none."""
    read = None if seen.opened_since else seen.visit.proof
    limits = _limits(seen.proof)
    hows = {t.act: t.how for t in seen.proof.tests} if seen.proof else {}
    held = read is not None and read.rod_held in ("drive fluid trapped", "cock at the outlet")
    for each in SCREENS:
        act = ACTS[each.of]
        first = (FIRST_PRESSURE,) if each.key == _BRINGS_PRESSURE else ()
        yield Act(
            each.key, "prove", each.title, "proof", each.fields, each.more,
            how=hows.get(each.of, act.how), minutes=each.minutes,
            cautions=for_screen(*act.cautions, *first), done=_is_read(read, each),
            due=due and (each.key != "hold" or held), zero=each.zero,
            under_pressure=each.under_pressure,
            sound={each.fields[0]: limits[each.test]} if each.test in limits else {},
        )  # fmt: skip
