"""What is wrong is said in our own sentence, which names the option and what may be meant."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from command_tree import commands

from wetend.pump.readable import readable
from wetend.pump.toml import demo_pump

LIBRARY = (
    "Input should", "Invalid value", "No such", "Missing", "Got unexpected", "requires an argument",
    "Did you mean", "validation", "pydantic", "sqlalchemy", "psycopg", "Errno", "Traceback",
    "inside", "<class", "path=", "(at line", "codec", "'",
)  # fmt: skip
"""Words of the libraries below, and their quotation marks."""


@pytest.fixture
def begun(say: Callable, tmp_path: Path) -> Path:
    described = tmp_path / "pump.toml"
    described.write_text(readable(demo_pump("quay-air")), encoding="utf-8")
    say("pump", "describe", str(described))
    say("visit", "start", "quay-air")
    return described


def _refused(say: Callable, *words: str) -> str:
    said = say(*words)
    assert said.code in (1, 2), words
    assert said.out == ""
    assert said.err.count("\n") == 1
    told = str(said.err).removeprefix("wetend: ").replace("can't", "").replace("command's", "")
    for word in LIBRARY:
        assert word not in told.replace("pump's", "").replace("visit's", ""), (words, told)
    return str(said.err)


@pytest.mark.parametrize(
    ("words", "told"),
    [
        ("chekcs", "did you mean `wetend checks`?"),
        ("pump shw", "did you mean `wetend pump show`?"),
        ("nonsense", "`wetend --help` lists them"),
        ("prove last --units imperial", "--units goes before the command's name"),
        ("prove last --an", "did you mean --anew?"),
        ("prove last --zzz", "There is no option --zzz"),
        ("prove last --anew=3", "--anew takes no value"),
        ("visit start", "PUMP is missing (the pump's key)"),
        ("visit show last two words", "“two” is one word too many"),
        ("serve --port", "--port needs a value"),
        ("serve --port x", "--port can't be used as given; it must be a whole number from 1"),
        ("fleet month --days 0", "--days can't be used as given; it must be a whole number from 1"),
        ("listen x.wav --rate abc", "--rate can't be used as given; it must be a number"),
        ("report last --kind foo", "--kind can't be used as given; it must be one of report"),
        ("--units cubits pump list", "--units can't be used as given; it must be one of metric, "),
    ],
)  # fmt: skip
def test_slips_of_the_command_line(say: Callable, words: str, told: str) -> None:
    assert told in _refused(say, *words.split())


@pytest.mark.parametrize(
    ("words", "told"),
    [
        ("pump show quai-air", "did you mean quay-air?"),
        ("coating last alkyd-topcaot", "did you mean alkyd-topcoat?"),
        ("checks last uptimes=1", "did you mean up_times?"),
        ("checks last could_not=bukket", "did you mean bucket?"),
        ("checks last --how stroks", "--how: “stroks” is not a check; did you mean strokes?"),
        ("complaint last seen=down-stroke-quik", "did you mean down-stroke quick?"),
        ("strip last tools=hamer", "did you mean hammer?"),
        ("inspect last seet a=1", "did you mean seat?"),
        ("fitted last foot-seet=new", "did you mean foot-seat?"),
        ("fitted last foot-seat=new --on yesterday", "--on: “yesterday” is not a date"),
        (
            "care last --act shutdown",
            "--act: “shutdown” is not an occasion; did you mean shut-down?",
        ),
        ("life show quay-air --today 2031-02-30", "--today: “2031-02-30” is not a date"),
        ("life used quay-air first=2031-05-01 last=2031-13-01 cycles=9", "Last day must be a date"),
        ("stores box last --room huge", "--room: “huge” is not a volume"),
        ("stores order --lead soon", "--lead: “soon” is not a time"),
        ("stores list --fill 150%", "--fill: “150%” is out of range"),
        ("stores list --have A=x", "--have: “A=x” is not PARTNUMBER=COUNT"),
        ("fleet simulate --service foo", "--service: “foo” is not a volume"),
        ("mixed last --ago soon", "--ago: “soon” is not a time"),
        ("mixed last --now --flushed", "--now and --flushed contradict each other"),
        (
            "visit note last weeps --stage strop",
            "--stage: there is no “strop”; did you mean strip?",
        ),
        ("checks last --how strokes creep_up=0", "--how only shows how to do a check"),
        ("practice 8809N-XQ4V --pump quay-air", "omit CODE"),
        ("sign-off last technician=me proof=pass", "“proof” is set by the program"),
        ("simulate --fault foot-vale=0.1mm", "did you mean foot-valve?"),
        ("serve --host 256.1.1.1.1 --passcode secret1", "--host: unknown address"),
        ("serve --host 192.0.2.1 --passcode secret1", "is not an address of this machine"),
        ("calc cup-viscosty a=1", "did you mean cup-viscosity?"),
        ("--depot postgresql://a@127.0.0.1:1/x pump list", "no server answers there"),
    ],
)
def test_names_that_are_nearly_right_get_the_right_one(
    say: Callable, begun: Path, words: str, told: str
) -> None:
    assert told in _refused(say, *words.split())


@pytest.mark.parametrize(
    ("line", "told"),
    [
        ('ball_material = "stainless-440c"|ball_material = "stainless-404c"',
         "ball_material: there is no material “stainless-404c”; did you mean stainless-440c"),
        ('seat_material = "tungsten-carbide-6co"|seat_material = "jade"',
         "foot_valve.seat_material: there is no material “jade”; known: "),
        ("[cylinder]|[cylinders]", "cylinders is not a field known here; did you mean cylinder?"),
        ("wear_limit =|waer_limit =", "did you mean wear_limit or"),
        ('name = "Quay"|name = 5', "name must be text, in quotation marks"),
        ('kind = "air"|kind = "airy"', "drive.kind can't be “airy”; did you mean air?"),
    ],
)  # fmt: skip
def test_a_description_is_refused_at_once(say: Callable, begun: Path, line: str, told: str) -> None:
    was, now = line.split("|")
    text = begun.read_text("utf-8").replace('key = "quay-air"', 'key = "other"')
    assert was in text
    wrong = begun.with_name("wrong.toml")
    wrong.write_text(text.replace(was, now, 1), encoding="utf-8")
    assert told in _refused(say, "pump", "describe", str(wrong))
    readings = begun.with_name("readings.toml")
    readings.write_text('creep_down = "900 mm/min"\n', encoding="utf-8")
    assert told in _refused(
        say, "find-fault", "--pump", str(wrong), "--coating", "epoxy-tank", "--readings",
        str(readings),
    )  # fmt: skip


def test_what_is_kept_beside_a_mark_is_not_dropped(say: Callable, begun: Path) -> None:
    """Fields given together with --done are kept, though the mark itself is refused."""
    said = say("strip", "last", "tools=hammer,soft-drift", "--done", "slacken-gland")
    assert "make-safe" in said.err
    assert say("visit", "show", "last", "--json").json["bag"]["tools"] == ["hammer", "soft-drift"]


def test_every_option_says_what_it_is() -> None:
    for node in commands():
        for param in node.command.params:
            assert param.help, (node.path, param.name)
