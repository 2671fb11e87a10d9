"""The set-up sheet: the settings for one coating, to hang at the pump."""

from __future__ import annotations

from datetime import datetime

from wetend.advice.handover.care import care_lists
from wetend.advice.handover.set_up import SetUp
from wetend.advice.life.next_repack import NextRepack
from wetend.pump.coating import Coating
from wetend.pump.description import Pump
from wetend.reports.blocks import Document, Pairs, Section
from wetend.reports.field_text import moment, rows
from wetend.reports.typeset import press
from wetend.reports.visit.done import care_section, set_up_blocks, sources_section
from wetend.reports.visit.found import warnings
from wetend.telling.reader import METRIC, Reader
from wetend.units.kinds import System
from wetend.units.message import Message
from wetend.units.quantity import M, MLong, unit_of
from wetend.units.show import show

_COATING_LEFT_OUT = ("key", "name", "spread", "vapour_pressure", "solvent")


def _line(pump: Pump, system: System) -> tuple[tuple[str, str], ...]:
    length, bore = unit_of(MLong), unit_of(M)
    hoses = tuple(
        (
            Message("hose {i}", i=i),
            Message(
                "{length}, bore {bore}",
                length=show(h.length, length, system),
                bore=show(h.bore, bore, system),
            ),
        )
        for i, h in enumerate(pump.hose, 1)
    )
    return (*hoses, (Message("nozzle orifice"), show(pump.nozzle.orifice, unit_of(M), system)))


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
        Section(Message("Settings"), set_up_blocks(sheet, system, repack)),
        Section(Message("Coating, hose and nozzle as described"), (
            Pairs((*rows(coating, system, leave_out=_COATING_LEFT_OUT), *_line(pump, system))),
        )),
    ]  # fmt: skip
    cautions = warnings(sheet)
    if cautions:
        sections.insert(0, Section(Message("Before spraying"), cautions))
    sources = sources_section(sheet.workings)
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
        sections=(*sections, *(s for s in (care, sources) if s)),
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
