from __future__ import annotations

from collections.abc import Callable

from wetend.advice.reasons import Verdict
from wetend.reports.set_up import set_up_sheet
from wetend.reports.visit.report import VisitReport
from wetend.telling.reader import Reader
from wetend.units.quantity import CycleRate, M3PerS, Pa, unit_of
from wetend.units.show import gauge, rough


def test_the_sheet_has_its_settings_on_one_page_and_the_pump_between_jobs_on_another(
    whole: VisitReport, pages: Callable[[bytes], list[str]]
) -> None:
    assert whole.set_up is not None
    assert whole.coating is not None
    found = pages(set_up_sheet(whole.pump, whole.coating, whole.set_up, issued=whole.issued))
    assert len(found) == 2
    assert "BETWEEN JOBS" not in found[0]
    for said in ("BETWEEN JOBS", "flush", "shut down for the night", "store for weeks",
                 "start after storage", "change the product", "solvent and water must not meet",
                 "Stop it with the rod at the bottom of its stroke"):  # fmt: skip
        assert said.replace(" ", "") in found[1].replace(" ", "")
    sheet, text = whole.set_up, found[0]
    for value in (gauge(sheet.supply_pressure, unit_of(Pa), at_most=True),
                  gauge(sheet.nozzle_pressure, unit_of(Pa)), rough(sheet.flow, unit_of(M3PerS)),
                  rough(sheet.cycle_rate, unit_of(CycleRate)), whole.coating.name):  # fmt: skip
        assert value in text
    flat = text.replace(" ", "")
    for setting in sheet.settings:  # what meets its limit need not be read at the pump
        near = setting.verdict is not Verdict.ENOUGH
        assert (setting.why.replace(" ", "") in flat) == near
    for caution in sheet.cautions:
        assert caution.text.replace(" ", "") in flat


def test_imperial_readers_get_psi(quay: VisitReport, pages: Callable[[bytes], list[str]]) -> None:
    assert quay.set_up is not None
    assert quay.coating is not None
    pdf = set_up_sheet(
        quay.pump, quay.coating, quay.set_up, issued=quay.issued, reader=Reader("imperial")
    )
    assert "psi" in pages(pdf)[0]
