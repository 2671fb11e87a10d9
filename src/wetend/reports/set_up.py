"""The set-up sheet: the settings for one coating, to hang at the pump."""

from __future__ import annotations

from datetime import datetime

from wetend.advice.handover.care import care_lists
from wetend.advice.handover.set_up import SetUp
from wetend.advice.life.next_repack import NextRepack
from wetend.advice.reasons import Verdict
from wetend.pump.coating import Coating
from wetend.pump.description import Pump
from wetend.reports.blocks import Answer, Block, Document, Pairs, Points, Section
from wetend.reports.field_text import moment
from wetend.reports.typeset import press
from wetend.reports.visit.done import again_blocks, care_section
from wetend.reports.visit.found import warnings
from wetend.reports.visit.front import set_up_figures
from wetend.telling.reader import METRIC, Reader
from wetend.units.kinds import System
from wetend.units.message import Message
from wetend.units.quantity import M, MLong, unit_of
from wetend.units.show import show_limit


def _line(pump: Pump, system: System) -> tuple[tuple[str, str], ...]:
    length, bore = unit_of(MLong), unit_of(M)
    hoses = tuple(
        (
            Message("hose {i}", i=i),
            Message(
                "{length}, bore {bore}",
                length=show_limit(h.length, length, system, digits=3),
                bore=show_limit(h.bore, bore, system, digits=2),
            ),
        )
        for i, h in enumerate(pump.hose, 1)
    )
    return (
        *hoses,
        (Message("nozzle orifice"), show_limit(pump.nozzle.orifice, unit_of(M), system, digits=2)),
    )


def _watch(sheet: SetUp, repack: NextRepack | None) -> tuple[Block, ...]:
    """What does not quite reach its limit, what to do about it, when to come back."""
    near = tuple(
        Answer(s.verdict, s.title, s.why) for s in sheet.settings if s.verdict is not Verdict.ENOUGH
    )
    advice = (Points(tuple(sheet.advice), Message("advice")),) if sheet.advice else ()
    return (*near, *advice, *again_blocks(repack))


def set_up_document(
    pump: Pump,
    coating: Coating,
    sheet: SetUp,
    *,
    issued: datetime,
    system: System = "metric",
    repack: NextRepack | None = None,
) -> Document:
    """The sheet as blocks, ready for the press."""
    sections = [
        Section(Message("Set"), (*warnings(sheet), set_up_figures(sheet, system, big=True))),
        Section(Message("This line"), (Pairs(_line(pump, system), 1), *_watch(sheet, repack))),
    ]
    care = care_section(care_lists(pump, coating), own_page=True)
    return Document(
        title=Message("Set-up sheet"),
        subject=Message("{pump} with {coating}", pump=pump.name, coating=coating.name),
        author="wetend",
        made=issued,
        plate=(
            (Message("document"), Message("set-up sheet")),
            (Message("pump"), pump.key[:24]),
            (Message("coating"), coating.key[:24]),
            (Message("issued"), moment(issued)),
        ),
        head=(
            Pairs(
                (
                    (Message("pump"), pump.build or pump.name),
                    (Message("site"), pump.site or Message("not given")),
                ),
                1,
            ),
        ),
        corner=None,
        sections=(*sections, *((care,) if care else ())),
    )


def set_up_sheet(
    pump: Pump,
    coating: Coating,
    sheet: SetUp,
    *,
    issued: datetime,
    reader: Reader = METRIC,
    repack: NextRepack | None = None,
) -> bytes:
    """The sheet as a PDF file's bytes.

    Raises:
        WetendError: it could not be set.
    """
    document = set_up_document(
        pump, coating, sheet, issued=issued, system=reader.system, repack=repack
    )
    return press(document, reader)
