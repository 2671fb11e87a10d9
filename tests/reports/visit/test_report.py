from __future__ import annotations

import dataclasses
import io
import re
from collections.abc import Callable
from datetime import UTC, datetime, timedelta

import pytest
from examples import costly
from hypothesis import given
from hypothesis import strategies as st
from pypdf import PdfReader

from wetend.advice.inspect.judge import judge_all
from wetend.advice.reasons import Verdict
from wetend.advice.rebuild.plan import plan_rebuild
from wetend.advice.safety.zero import Ended, Record
from wetend.advice.strip.bag import tool_titles
from wetend.pump.measurements import CylinderMeasured
from wetend.pump.readings import Complaint, Note, SignOff, ToolBag, VisitStart
from wetend.reports.blocks import DISCLAIMER
from wetend.reports.visit.report import VisitReport, visit_report
from wetend.telling.reader import Reader
from wetend.units.quantity import Pa, unit_of
from wetend.units.show import gauge, show

Pages = Callable[[bytes], list[str]]
HOSTILE = (
    '#eval("1+1")', "#panic()", '#include "/etc/passwd"', "\\ backslash \\u{41}", "*not bold*",
    "_not slanted_", "$x^2$", "= not a heading", "- not a list", "`raw`", "// kept", "/* kept */",
    "<label> @ref", "[brackets] {braces}", "~tilde -- dashes ---", "'; DROP TABLE visits; --",
    "</text><script>alert(1)</script>", "&amp; &lt; &#65;", "https://example.invalid/a_b",
)  # fmt: skip


def squeezed(text: str) -> str:
    return re.sub(r"\s", "", text)


def bare(report: VisitReport) -> VisitReport:
    """The same visit with only what is known at its start."""
    kept = {f.name for f in dataclasses.fields(VisitReport) if f.default is dataclasses.MISSING}
    return VisitReport(**{name: getattr(report, name) for name in kept})


def test_every_stage_is_in_the_report_with_its_figures(whole: VisitReport, pages: Pages) -> None:
    text = " ".join(pages(visit_report(whole)))
    for heading in ("IN SHORT", "COMPLAINT", "RUNNING CHECKS", "STRIP", "INSPECTION", "REBUILD",
                    "PROOF", "SETTINGS FOR", "HAND-OVER", "THE RECORD"):  # fmt: skip
        assert heading in text
    assert whole.fit is not None
    assert whole.set_up is not None
    assert whole.proof is not None
    assert whole.diagnosis is not None
    bar = unit_of(Pa)
    for value in (
        show(whole.set_up.nozzle_pressure, bar), show(whole.set_up.pump_pressure, bar),
        f"{whole.fit.lift * 1e3:.2f} mm", whole.visit_id, whole.entries_hash, "Rowan Example",
        "Site foreman", "2031-05-04 11:05 UTC", "0.1.0", f"Proof: {whole.proof.verdict}",
        "Seat chipped across the cone.", "Housing was dry, greased.", "cd" * 32,
        str(whole.diagnosis.findings[0].fault),
    ):  # fmt: skip
        assert squeezed(value) in squeezed(text), value
    for judged in whole.judgements:
        assert f"{judged.title}: {judged.verdict}" in text
    for test in whole.proof.tests:
        assert squeezed(test.title) in squeezed(text)


def test_drawings_are_set_with_their_words(whole: VisitReport, pages: Pages) -> None:
    text = " ".join(pages(visit_report(whole)))
    for said in ("gland nut", "thin rings drawn thicker than scale", "seen from below",
                 "housing floor", "healthy"):  # fmt: skip
        assert said in text
    assert ("clamp ring" in text) == (whole.pump.stack.held_by == "clamp-ring")


def test_people_s_text_is_printed_letter_for_letter(quay: VisitReport, pages: Pages) -> None:
    for start in range(0, len(HOSTILE), 7):
        some = HOSTILE[start : start + 7]
        report = dataclasses.replace(
            quay, who=some[0],
            start=VisitStart(pump="quay-air", site=some[0], reason=some[-1], called_by=some[1]),
            complaint=Complaint(said="\n".join(some), since=some[-1]),
            notes=tuple(Note(stage=s, text=s) for s in some),
            sign_off=SignOff(technician=some[0], found="\n".join(some), watch=some[-1]),
        )  # fmt: skip
        text = squeezed(" ".join(pages(visit_report(report))))
        for said in some:
            assert text.count(squeezed(said)) >= 3, said


def test_the_pump_s_own_names_are_data_too(quay: VisitReport, pages: Pages) -> None:
    pump = quay.pump.model_copy(update={"name": '#eval("1+1") *x*', "build": "$\\ <b>"})
    text = squeezed(" ".join(pages(visit_report(dataclasses.replace(quay, pump=pump)))))
    assert squeezed('#eval("1+1") *x*, $\\ <b>') in text


def test_the_same_report_gives_the_same_bytes(quay: VisitReport) -> None:
    later = dataclasses.replace(quay, issued=quay.issued + timedelta(hours=1))
    assert visit_report(quay) == visit_report(quay)
    assert visit_report(quay) != visit_report(later)


def test_the_file_says_what_it_is(quay: VisitReport) -> None:
    found = PdfReader(io.BytesIO(visit_report(quay)))
    assert found.metadata is not None
    assert found.metadata.title == "Visit report"
    assert found.metadata.author == "Rowan Example"
    assert found.metadata.creation_date == quay.issued


def test_every_page_is_a4_numbered_and_says_who_comes_first(
    whole: VisitReport, pages: Pages
) -> None:
    """A4 is 210 mm by 297 mm, ISO 216 (from memory)."""
    pdf = visit_report(whole)
    texts = pages(pdf)
    for number, (page, text) in enumerate(
        zip(PdfReader(io.BytesIO(pdf)).pages, texts, strict=True), 1
    ):
        assert float(page.mediabox.width) == pytest.approx(210 / 25.4 * 72, abs=0.1)
        assert float(page.mediabox.height) == pytest.approx(297 / 25.4 * 72, abs=0.1)
        assert f"{number} of {len(texts)}" in text
        assert squeezed(DISCLAIMER) in squeezed(text)


def test_the_file_keeps_to_the_faces_it_carries(quay: VisitReport) -> None:
    """So that it looks the same on a machine without fonts; every face is embedded (PDF/A)."""
    fonts = set()
    for page in PdfReader(io.BytesIO(visit_report(quay))).pages:
        for font in (page["/Resources"].get("/Font") or {}).values():
            fonts.add(str(font.get_object()["/BaseFont"]).split("+")[-1])
    assert fonts
    assert all(name.startswith(("LibertinusSerif", "DejaVuSansMono")) for name in fonts)


def test_the_file_claims_pdf_a_and_pdf_ua(quay: VisitReport) -> None:
    pdf = visit_report(quay)
    assert re.search(rb"pdfaid:part>\s*2", pdf)
    assert re.search(rb"pdfuaid:part>\s*1", pdf)


def test_text_that_no_face_has_is_still_printed_and_the_page_says_so(
    quay: VisitReport, pages: Pages
) -> None:
    odd = dataclasses.replace(quay, complaint=Complaint(said="before \ue123 after"))
    text = " ".join(pages(visit_report(odd)))
    assert "before" in text
    assert "after" in text
    assert "Some characters have no font on this machine" in text
    assert "Some characters" not in " ".join(pages(visit_report(quay)))


def test_a_visit_just_begun_is_marked_a_draft(quay: VisitReport, pages: Pages) -> None:
    text = " ".join(pages(visit_report(bare(quay))))
    assert "DRAFT: not signed off." in text
    assert "The make-safe list was not filled in." in text
    assert "REBUILD" not in text
    assert "DRAFT" not in " ".join(pages(visit_report(quay)))


def test_zero_not_proven_is_said_aloud(quay: VisitReport, pages: Pages) -> None:
    unsafe = Record(
        (), ("The gauge reads 30 bar, more than the 1 bar that can be read on it: pressure.",)
    )
    text = " ".join(pages(visit_report(dataclasses.replace(quay, zero=unsafe))))
    assert "Zero NOT proven. The gauge reads 30 bar" in text
    assert "Zero proven by" not in text


def test_who_proved_zero_by_what_and_what_ended_it_is_printed(
    quay: VisitReport, pages: Pages
) -> None:
    (proof,) = quay.zero.proofs
    over = dataclasses.replace(
        proof, ends=(Ended(datetime(2031, 5, 4, 11, 30, tzinfo=UTC), "", "strokes timed"),)
    )
    text = " ".join(pages(visit_report(dataclasses.replace(quay, zero=Record((over,))))))
    assert "Zero proven by Rowan Example, 2031-05-04 11:05 UTC, by the gauge: needle" in text
    assert "It held until 2031-05-04 11:30 UTC: strokes timed." in text
    assert "Zero NOT proven" not in text


def test_imperial_readers_get_their_units(quay: VisitReport, pages: Pages) -> None:
    assert quay.set_up is not None
    assert quay.readings is not None
    text = " ".join(pages(visit_report(quay, Reader("imperial"))))
    for pressure in (quay.set_up.nozzle_pressure, quay.set_up.pump_pressure,
                     quay.readings.stall_pressure or 0.0):  # fmt: skip
        assert show(pressure, unit_of(Pa), "imperial") in text


def test_cautions_stand_where_an_act_is_left_to_do_and_only_there(
    quay: VisitReport, pages: Pages
) -> None:
    """Signed, the pump is still set and sprayed; nobody times, strips or builds it any more."""
    signed = squeezed(" ".join(pages(visit_report(quay))))
    open_report = dataclasses.replace(quay, sign_off=None, signed=None)
    still_open = squeezed(" ".join(pages(visit_report(open_report))))
    assert quay.diagnosis is not None
    assert quay.fit is not None
    assert quay.set_up is not None
    for caution in quay.set_up.cautions:
        assert squeezed(caution.text) in signed
    to_set = {c.hazard for c in quay.set_up.cautions}
    for caution in (*quay.diagnosis.cautions, *quay.fit.cautions):
        assert squeezed(caution.text) in still_open
        assert caution.hazard in to_set or squeezed(caution.text) not in signed


def test_the_first_page_is_for_whoever_pays_and_whoever_sprays(
    whole: VisitReport, pages: Pages
) -> None:
    first, second, *_ = pages(visit_report(whole))
    assert whole.set_up is not None
    supply = gauge(whole.set_up.supply_pressure, unit_of(Pa), at_most=True)
    for said in ("IN SHORT", "Runs fast going down.", "The running checks named",
                 "Seat chipped across the cone.", "Seat turned over.", "Proof:",
                 "Down-stroke time.", "after 4000 L", "HOW TO SET IT", supply, "HAND-OVER",
                 "Rowan Example", "Site foreman", "gland nut"):  # fmt: skip
        assert squeezed(said) in squeezed(first), said
    assert "COMPLAINT" not in first
    assert "COMPLAINT" in second


def test_no_page_is_a_third_empty(whole: VisitReport) -> None:
    """Every page but the last is written on below the line of its lowest third."""
    for page in PdfReader(io.BytesIO(visit_report(whole))).pages[:-1]:
        places: list[float] = []

        def seen(
            text: str, cm: list[float], tm: list[float], *_: object, places: list[float] = places
        ) -> None:
            if text.strip():
                places.append(cm[5] + tm[5] * cm[3])

        page.extract_text(visitor_text=seen)
        body = [y for y in places if y > 100.0]  # the title block ends at 29 mm, 82 points
        assert min(body) < 842 / 3


def test_every_verdict_can_be_printed(quay: VisitReport, pages: Pages) -> None:
    judged = quay.judgements[0]
    every = tuple(dataclasses.replace(judged, verdict=v) for v in Verdict)
    text = " ".join(pages(visit_report(dataclasses.replace(quay, judgements=every))))
    for verdict in Verdict:
        assert f"{judged.title}: {verdict}" in text


@costly(8)
@given(said=st.text(st.characters(codec="utf-8", exclude_categories=("Cc", "Cs")), max_size=200))
def test_any_text_is_printed(quay: VisitReport, said: str) -> None:
    odd = dataclasses.replace(bare(quay), complaint=Complaint(said=said), who=said[:100])
    assert visit_report(odd).startswith(b"%PDF-")


def test_what_was_ticked_off_in_the_rebuild_stands_in_the_report(
    quay: VisitReport, pages: Pages
) -> None:
    bag = ToolBag(tools=tuple(tool_titles()), vice=True)
    plan = plan_rebuild(quay.pump, bag)
    done = tuple(s.key for s in plan.steps[:-2])
    text = " ".join(pages(visit_report(dataclasses.replace(quay, rebuild=plan, rebuilt=done))))
    assert f"{len(done)} of {len(plan.steps)} steps marked" in text
    for step in plan.steps[-2:]:
        assert f"{step.number}. {step.title}" in text


def test_sizes_place_by_place_stand_in_the_report(quay: VisitReport, pages: Pages) -> None:
    measured = CylinderMeasured(diameters=(0.03803, 0.03805), heights=(0.12,))
    judged = judge_all(quay.pump, quay.coating, [measured])
    text = " ".join(pages(visit_report(dataclasses.replace(quay, judgements=judged))))
    assert "Mean diameter 120 mm up" in text


def test_the_report_says_where_to_look_first_on_a_pump_that_does_not_run(
    quay: VisitReport, pages: Pages
) -> None:
    stands = dataclasses.replace(bare(quay), complaint=Complaint(seen=("does not run",)))
    text = " ".join(pages(visit_report(stands)))
    order = ("Stalled against a blockage ahead of it", "No air at the drive", "Packings seized")
    places = [squeezed(text).index(squeezed(said)) for said in order]
    assert places == sorted(places)
    assert squeezed("keeps its pressure after the dump valve is open") in squeezed(text)
    quick = dataclasses.replace(bare(quay), complaint=Complaint(seen=("down-stroke quick",)))
    assert "check first" not in " ".join(pages(visit_report(quick)))
