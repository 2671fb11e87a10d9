"""The listening page: sent, shown, corrected, kept; and whatever else is sent, answered."""

from __future__ import annotations

import re

import numpy as np
import pytest

from wetend.records.fold import fold_visit


def _log() -> bytes:
    rng = np.random.default_rng(4)
    times = np.arange(0, 30, 0.02)
    bar = 180 + 2 * rng.standard_normal(times.size)
    for at in np.cumsum([0.7] + [1.3, 1.0] * 12):
        bar -= 30 * np.exp(-0.5 * ((times - at) / 0.04) ** 2)
    rows = "\n".join(f"{t:.3f};{p:.2f}" for t, p in zip(times, bar, strict=True))
    return b"s;bar\n" + rows.encode()


LOG = _log()


def _readings(site):
    return fold_visit(site.depot.visit_entries(site.open_visit)).readings


def _hidden(page: str, name: str) -> str:
    found = re.search(rf'name="{name}" value="([^"]*)"', page)
    assert found
    return found[1]


@pytest.fixture
def path(site) -> str:
    return f"/visits/{site.open_visit}/listen"


def test_the_checks_lead_to_it(person, site, path):
    assert f'href="{path}"' in person.get(f"/visits/{site.open_visit}/checks").text
    page = person.get(path)
    assert page.status_code == 200
    assert "never" in page.text or "clear of the rod" in page.text


def test_a_log_is_shown_corrected_and_kept(person, site, path):
    before = len(site.depot.entries())
    page = person.send(path, {"first": "up"}, files={"record": LOG})
    assert page.status_code == 200
    assert len(page.content) < 90_000
    assert "<svg" in page.text
    assert len(site.depot.entries()) == before
    strokes = _hidden(page.text, "strokes")
    count = len(strokes.split(","))
    assert 22 <= count <= 24
    use = [str(n) for n in range(2, count + 1)]
    kept = person.send(
        f"{path}/keep",
        {"strokes": strokes, "spread": "0.01", "first": "up", "use": use, "beside": "no"},
    )
    assert kept.status_code == 200
    assert "Saved." in kept.text
    readings = _readings(site)
    assert len(readings.up_times) + len(readings.down_times) == count - 1
    assert np.median(readings.up_times) == pytest.approx(1.3, abs=0.02)
    assert np.median(readings.down_times) == pytest.approx(1.0, abs=0.02)


def test_a_missed_turn_is_put_in_by_hand(person, site, path):
    """Up 0 to 1.3 s, a turn missed at 2.6 s, so that what was heard next goes the wrong way."""
    before = len(site.depot.entries())
    form = {"strokes": "0:0.000:1.300:1,1:1.300:2.300:0,0:3.600:1.000:1,1:4.600:1.300:1",
            "spread": "0.01", "first": "up", "use": ["1", "3", "4"]}  # fmt: skip
    page = person.send(f"{path}/keep", {**form, "missed": "2,3", "add": "turn"})
    assert page.status_code == 200
    assert len(site.depot.entries()) == before
    strokes = _hidden(page.text, "strokes")
    assert strokes == (
        "0:0.000:1.300:1,1:1.300:1.000:1,0:2.300:1.300:1,1:3.600:1.000:1,0:4.600:1.300:1"
    )
    person.send(f"{path}/keep", {**form, "strokes": strokes, "use": list("12345")})
    assert _readings(site).up_times == (1.3, 1.3, 1.3)
    assert _readings(site).down_times == (1.0, 1.0)


def test_a_turn_put_into_the_wrong_stroke_is_doubted(person, path):
    """2.15 s lies in a stroke that is as long as its like: what is left of it is no stroke."""
    form = {"strokes": "0:0.000:1.300:1,1:1.300:1.000:1,0:2.300:1.300:1,1:3.600:1.000:1",
            "spread": "0.01", "first": "up", "use": list("1234")}  # fmt: skip
    page = person.send(f"{path}/keep", {**form, "missed": "2.15", "add": "turn"})
    assert page.status_code == 200
    assert "may be in a different stroke" in page.text
    assert len(_hidden(page.text, "strokes").split(",")) == 5


@pytest.mark.parametrize("missed", ["", "soon", "99", "1.3", "nan", "-1", "1e400"])
def test_a_turn_that_can_not_be_put_in_is_said_so(person, site, path, missed):
    before = len(site.depot.entries())
    form = {"strokes": "0:0.000:1.300:1,1:1.300:1.000:1", "spread": "0.01", "first": "up",
            "use": ["1", "2"], "missed": missed, "add": "turn"}  # fmt: skip
    page = person.send(f"{path}/keep", form)
    assert page.status_code == 422
    assert _hidden(page.text, "strokes") == form["strokes"]
    assert len(site.depot.entries()) == before


def test_which_way_can_be_said_after(person, site, path):
    page = person.send(path, {"first": ""}, files={"record": LOG})
    assert "First stroke" in page.text
    strokes = _hidden(page.text, "strokes")
    use = [str(n) for n in range(1, len(strokes.split(",")) + 1)]
    again = person.send(f"{path}/keep", {"strokes": strokes, "spread": "0.01", "use": use})
    assert again.status_code == 422
    assert "Choose which way" in again.text
    assert _hidden(again.text, "strokes") == strokes
    kept = person.send(
        f"{path}/keep", {"strokes": strokes, "spread": "0.01", "use": use, "first": "down"}
    )
    assert kept.status_code == 200
    assert np.median(_readings(site).down_times) == pytest.approx(1.3, abs=0.02)


def test_no_stroke_ticked_keeps_nothing(person, site, path):
    before = len(site.depot.entries())
    strokes = "0:0.500:1.300:1,1:1.800:1.000:1"
    answer = person.send(f"{path}/keep", {"strokes": strokes, "first": "up", "spread": "x"})
    assert answer.status_code == 422
    assert "No stroke is ticked" in answer.text
    assert len(site.depot.entries()) == before


@pytest.mark.parametrize(
    ("data", "told"),
    [
        (b"", "Choose a recording or a log"),
        (b"<script>alert(1)</script>", "No rows of figures"),
        (b"\0\0\0\x18ftypM4A ", "M4A"),
        (b"RIFF\0\0\0\0WAVE", "no sound"),
        (b"t,p\n" + b"1,2\n" * 100, "No column of the log"),
    ],
)
def test_what_can_not_be_read_is_said_so(person, path, data, told):
    answer = person.send(path, {"first": "up"}, files={"record": data} if data else None)
    assert answer.status_code == 422
    assert told in answer.text
    assert "<script>alert" not in answer.text


@pytest.mark.parametrize("rate", ["-1", "0", "inf", "nan", "1e9", "fifty", "<b>"])
def test_a_rate_that_is_none_is_refused(person, path, rate):
    answer = person.send(path, {"rate": rate, "column": "<i>p"}, files={"record": LOG})
    assert answer.status_code == 422
    assert "Readings a second" in answer.text
    assert "<i>p" not in answer.text


@pytest.mark.parametrize(
    "strokes",
    ["", "x", "0:1:2", "0:1.0:1e9:1", "0:1.0:-1.0:1", "2:0.5:1.300:1", "0:0.5:1.300:1," * 500,
     "0:0.5:9999.0:1", "0:0.5:0.000:1", "\u0660:0.5:1.300:1"],
)  # fmt: skip
def test_strokes_tampered_with_keep_nothing(person, site, path, strokes):
    before = len(site.depot.entries())
    answer = person.send(
        f"{path}/keep", {"strokes": strokes, "first": "up", "spread": "nan", "use": ["1", "1"]}
    )
    assert answer.status_code == 422
    assert len(site.depot.entries()) == before


def test_no_such_visit(person):
    assert person.get(f"/visits/{'0' * 32}/listen").status_code == 404


def _drawn(page: str) -> str:
    found = re.search(r'<figure class="drawing">(.*?)</figure>', page, re.S)
    assert found
    return found[1]


def _traces(svg: str) -> list[list[tuple[float, float]]]:
    """Points of the traces of every row: thin lines of many points."""
    paths = re.findall(r'<path class="dw-thin" d="M([^"]*)"', svg)
    return [[tuple(map(float, p.split())) for p in path.split("L")] for path in paths]


def test_the_trace_comes_back_with_the_corrected_strokes(person, site, path):
    """The drawing is the one first shown, with the strokes as they were left."""
    page = person.send(path, {"first": "up"}, files={"record": LOG}).text
    carried, strokes = _hidden(page, "trace"), _hidden(page, "strokes").split(",")
    assert len(carried) < 6000
    kept, lost, at = strokes[:3], strokes[3].split(":"), strokes[4].split(":")[1]
    both = float(lost[2]) + float(strokes[4].split(":")[2])
    turned = [f"{1 - int(s[0])}{s[1:]}" for s in strokes[5:]]  # as if one turn had not been heard
    missing = ",".join([*kept, f"{lost[0]}:{lost[1]}:{both:.3f}:1", *turned])
    use = [str(n) for n in range(1, len(strokes)) if n != 2]
    form = {"strokes": missing, "trace": carried, "spread": "0.01", "first": "up", "use": use}
    again = person.send(f"{path}/keep", {**form, "missed": at, "add": "turn"}).text
    assert [s[:-2] for s in _hidden(again, "strokes").split(",")] == [s[:-2] for s in strokes]
    was, now = _traces(_drawn(page)), _traces(_drawn(again))
    assert len(was[0]) > 50
    assert np.allclose(now[0], was[0], atol=0.21)  # drawn to a tenth; a byte a value is finer
    tops = [[min(y for _, y in row) for row in rows] for rows in (was, now)]
    assert np.allclose(*tops, atol=0.21)
    assert f"{len(strokes) - 1} strokes counted" in _drawn(again)
    assert _drawn(again).count('"dw-accent-line"') == _drawn(page).count('"dw-accent-line"') - 1
    assert _drawn(again).count('"dw-hidden"') == _drawn(page).count('"dw-hidden"') + 1
    third = person.send(
        f"{path}/keep",
        {"strokes": _hidden(again, "strokes"), "trace": _hidden(again, "trace"), "spread": "0.01",
         "use": use},
    )  # fmt: skip
    assert third.status_code == 422
    assert "Choose which way" in third.text
    assert np.allclose(_traces(_drawn(third.text))[0], now[0], atol=0.11)


@pytest.mark.parametrize(
    "carried",
    ["", "x", "0.000:0.020000:0.060:", "0.000:0.000000:0.060::AH//", "0.000:0.020000:9.000::AH//",
     "0.000:0.020000:0.060::AH/", "0.000:0.020000:0.060::A===", "0.000:0.020000:0.060:<b>:AH//",
     "nan:0.020000:0.060::AH//", "\u0660.000:0.020000:0.060::AH//", "0.000:0.020000:0.060::",
     "0.000:0.020000:0.060:" + "1.000 " * 50_000 + ":AH//",
     "0.000:0.020000:0.060::" + "A" * 400_000,
     "0.000:0.020000:100.000::" + "AAAA" * 1400],
)  # fmt: skip
def test_a_trace_tampered_with_is_left_out_and_loses_no_stroke(person, path, carried):
    form = {"strokes": "0:0.000:1.300:1,1:1.300:1.000:1", "spread": "0.01", "use": ["1", "2"],
            "trace": carried}  # fmt: skip
    page = person.send(f"{path}/keep", form)
    assert page.status_code == 422
    assert _hidden(page.text, "strokes") == form["strokes"]
    assert '<figure class="drawing">' not in page.text
    assert "upload the recording again" in page.text
    assert "<b>:" not in page.text


@pytest.mark.parametrize("start", ["0.000", "-99.000", "9999999999.000"])
def test_a_strange_trace_is_drawn_all_the_same(person, path, start):
    """Strokes far from the trace, or of the longest there can be, draw nothing endless."""
    form = {"strokes": "0:-5.000:9999.0:1,1:7.000:0.001:1,0:9999999999:1.0:0", "spread": "0.01",
            "use": ["1", "2"], "trace": f"{start}:0.020000:0.060:7.000:AH//"}  # fmt: skip
    page = person.send(f"{path}/keep", form)
    assert page.status_code == 422
    assert '<figure class="drawing">' in page.text
    assert len(page.content) < 120_000


def test_strokes_out_of_order_keep_nothing(person, site, path):
    before = len(site.depot.entries())
    strokes = "0:1.000:1.300:1,1:1.000:1.000:1"
    form = {"strokes": strokes, "first": "up", "spread": "0.01", "use": ["1", "2"]}
    assert person.send(f"{path}/keep", form).status_code == 422
    assert len(site.depot.entries()) == before


def test_a_log_that_begins_before_nought_keeps_its_moments(person, path):
    rows = [line.split(";") for line in LOG.decode().splitlines()[1:]]
    moved = "s;bar\n" + "\n".join(f"{float(t) - 8:.3f};{p}" for t, p in rows)
    page = person.send(path, {"first": "up"}, files={"record": moved.encode()}).text
    starts = [float(s.split(":")[1]) for s in _hidden(page, "strokes").split(",")]
    assert starts[0] == pytest.approx(-7.3, abs=0.1)
    assert starts == sorted(set(starts))
