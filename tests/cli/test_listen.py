"""``wetend listen``: a log, taps and nonsense on the command line."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from wetend.pump.toml import demo_pump, to_toml


@pytest.fixture
def log(tmp_path: Path) -> str:
    rng = np.random.default_rng(4)
    times = np.arange(0, 30, 0.02)
    bar = 180 + 2 * rng.standard_normal(times.size)
    for at in np.cumsum([0.7] + [1.3, 1.0] * 12):
        bar -= 30 * np.exp(-0.5 * ((times - at) / 0.04) ** 2)
    path = tmp_path / "run.csv"
    path.write_text(
        "s;bar\n" + "\n".join(f"{t:.3f};{p:.2f}" for t, p in zip(times, bar, strict=True))
    )
    return str(path)


def test_a_log_is_timed(say, log):
    said = say("listen", log, "--first", "up", "--json")
    assert said.code == 0
    up, down = said.json["sides"]
    assert (up["name"], down["name"]) == ("up", "down")
    assert up["middle"] == pytest.approx(1.3, abs=0.02)
    assert down["middle"] == pytest.approx(1.0, abs=0.02)
    text = say("listen", log)
    assert text.code == 0
    assert "--first up" in text.out


def test_times_are_kept_with_a_visit(say, log, tmp_path):
    described = tmp_path / "pump.toml"
    described.write_text(to_toml(demo_pump("quay-air")), "utf-8")
    say("pump", "describe", str(described))
    say("visit", "start", "quay-air")
    refused = say("listen", log, "--visit", "last")
    assert refused.code == 2
    assert "--first" in refused.err
    assert say("listen", log, "--visit", "last", "--first", "up").code == 0
    kept = say("checks", "last", "--json").json["visit"]["readings"]
    assert np.median(kept["up_times"]) == pytest.approx(1.3, abs=0.02)
    assert np.median(kept["down_times"]) == pytest.approx(1.0, abs=0.02)


def test_the_trace_is_drawn(say, log, tmp_path):
    out = tmp_path / "trace.svg"
    assert say("listen", log, "--draw", str(out)).code == 0
    assert out.read_text("utf-8").startswith("<svg ")


def test_taps(say, tmp_path):
    path = tmp_path / "taps.txt"
    path.write_text("\n".join(f"{t:.2f}" for t in np.cumsum([0.0] + [1.4, 1.0] * 10)))
    said = say("listen", str(path), "--taps", "--first", "down")
    assert said.code == 0
    assert "the up stroke is 29 % quicker" in said.out


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (("listen", "nowhere.wav"), "There is no file"),
        (("listen", "LOG", "--first", "sideways"), "up or down"),
        (("listen", "LOG", "--rate", "-3"), "readings a second"),
        (("listen", "LOG", "--column", "mbar"), "no column"),
        (("listen", "LOG", "--taps"), "one per line"),
    ],
)
def test_bad_input_is_one_sentence(say, log, words, told):
    said = say(*(log if word == "LOG" else word for word in words))
    assert said.code == 2
    assert told in said.err
    assert said.err.count("\n") == 1


def test_the_bounds_are_told_before_work_starts(say):
    told = " ".join(say("listen", "--help").out.split())
    assert "up to 20 MB and 500,000 rows" in told
    assert "two minutes are used" in told


def test_stopped_in_the_middle_leaves_nothing(say, log, tmp_path, monkeypatch):
    described = tmp_path / "pump.toml"
    described.write_text(to_toml(demo_pump("quay-air")), "utf-8")
    say("pump", "describe", str(described))
    say("visit", "start", "quay-air")

    def stopped(*_: object, **__: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr("wetend.stats.signal.follow._learn", stopped)
    drawn = tmp_path / "trace.svg"
    said = say("listen", log, "--visit", "last", "--first", "up", "--draw", str(drawn))
    assert (said.code, said.err) == (130, "wetend: stopped\n")
    assert said.out == ""
    assert not drawn.exists()
    assert say("checks", "last", "--json").json["visit"]["readings"] is None
