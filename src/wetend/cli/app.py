"""The ``wetend`` command: loads each subcommand only when it is run."""

from __future__ import annotations

import keyword
import logging
import os
import sys
from collections.abc import Sequence
from typing import Annotated, Any

import typer
from typer.core import TyperCommand
from typer.exceptions import TyperException

from wetend import __version__
from wetend.cli import screen, usage_errors
from wetend.cli.help_format import Group
from wetend.cli.session import Session, Units
from wetend.errors import WetendError, why_not
from wetend.telling.languages import spoken
from wetend.telling.reader import Reader
from wetend.units.kinds import System
from wetend.units.message import Message, tell
from wetend.workflows.gc_freeze import read_in

STAGES: dict[str, dict[str, str]] = {
    "Complaint": {
        "today": Message("Open visits with what is next, and pumps that want something."),
        "visit": Message("Start, list and show visits; add photos and notes."),
        "site": Message("Site rules, and whom to ring in an emergency."),
        "coating": Message("Set the coating in the pump, by key or by its data."),
        "mixed": Message("The pot-life clock of a two-pack coating."),
        "complaint": Message("What the crew says, and the first suspicion."),
    },
    "Make safe": {
        "make-safe": Message("Tick the make-safe list and prove zero."),
        "ran": Message("Report that the pump ran: zero must be proven again."),
        "injection": Message("What to do about an injection through the skin."),
        "incident": Message("Record a near miss or an injury, or list them."),
    },
    "Checks": {
        "checks": Message("Running checks, and the faults that explain them."),
        "find-fault": Message("Find the fault from readings in a file."),
        "listen": Message("Stroke times from a recording, a pressure log or taps."),
    },
    "Strip": {"strip": Message("The tool bag and the strip card.")},
    "Inspect": {"inspect": Message("Measure parts and judge them.")},
    "Rebuild": {
        "rebuild": Message("The seal stack, shims, elbow and lift."),
        "fitted": Message("Record parts fitted, turned or refitted."),
    },
    "Prove": {"prove": Message("Test the pump against its own limits.")},
    "Hand over": {
        "handover": Message("The set-up sheet, and the state of the pump."),
        "care": Message("How to flush, shut down, store, restart or change the product."),
        "sign-off": Message("Sign the visit off."),
        "report": Message("Write a visit's PDF: report, card, certificate or set-up sheet."),
    },
    "Life": {
        "life": Message("Remaining life of a pump's parts, and when to replace them."),
        "stores": Message("What to carry on a call, what to stock, what to order."),
        "fleet": Message("Which pumps need a visit, and what each maintenance policy costs."),
        "questions": Message("Which sites and coatings eat packings; rebuilds that came back."),
    },
    "Desk": {
        "pump": Message("List, show and describe pumps."),
        "depot": Message("Make a depot, show where it is, check its photos for locations."),
        "serve": Message("Serve a depot's pages on this machine."),
        "import": Message("Import an existing history from CSV or a spreadsheet."),
        "imports": Message("List imports; withdraw or restore one with all its rows."),
        "export": Message("Export everything as CSV tables in one archive."),
        "sync": Message("Exchange with another depot: a stick, a file or a server."),
        "backup": Message("Write a depot to one archive and check it."),
        "restore": Message("Read an archive into a depot; nothing is overwritten."),
        "doctor": Message("Check a depot for damage and repair it, from a backup if there is one."),
        "memory": Message("Show the caches of a server of this depot, and how well they work."),
    },
    "Tools": {
        "calc": Message("Calculate any formula on its own."),
        "simulate": Message("Simulate a pump with a fault, beside a sound one."),
        "fault": Message("Explain a fault: what happens inside, what is seen of it."),
        "practice": Message("Practise on a pump with a hidden fault."),
        "demo": Message("Build the invented demo depot, start the server, open the page."),
        "completion": Message("The script for command completion with the Tab key."),
    },
}
"""Commands by stage of the job, with the line of help each has."""
COMMANDS: dict[str, str] = {k: v for group in STAGES.values() for k, v in group.items()}
"""Command names in the order shown, with the line of help each has."""


def _module(name: str) -> str:
    plain = name.replace("-", "_")
    return f"wetend.cli.{plain}_" if keyword.iskeyword(plain) else f"wetend.cli.{plain}"


class LazyGroup(Group):
    """A group that lists its commands without importing them."""

    def list_commands(self, ctx: Any) -> list[str]:  # noqa: ARG002 - the base class sets it
        """Names in the order of the job."""
        return list(COMMANDS)

    def sections(self, ctx: Any) -> dict[str, dict[str, str]]:  # noqa: ARG002 - as above
        """Commands by stage of the job."""
        return STAGES

    def get_command(self, ctx: Any, cmd_name: str) -> Any:  # noqa: ARG002 - as above
        """A name and a line of help, enough to list it."""
        if cmd_name not in COMMANDS:
            return None
        return TyperCommand(cmd_name, help=COMMANDS[cmd_name])

    def resolve_command(self, ctx: Any, args: list[str]) -> Any:
        """The command itself, imported now that it is to run."""
        name, stub, rest = super().resolve_command(ctx, args)
        if name is None or stub is None:
            return name, stub, rest
        module = read_in(_module(name))
        command = typer.main.get_command(module.app)
        command.name = name
        return name, command, rest


app = typer.Typer(
    cls=LazyGroup,
    name="wetend",
    add_completion=False,
    rich_markup_mode=None,
    help="Keep high-pressure piston spray pumps working: find the fault, strip, judge, rebuild, "
    "prove, hand over.\n\nA VISIT is named by its id, its last letters, or `last`. A field is "
    'given as name=value, such as spray_pressure="200 bar". The options below go before the '
    "command.",
)


_INTERRUPTED = 130
"""Exit code of a command that Ctrl-C ended: 128 and the signal's number, as shells have it."""


def _version(asked: bool) -> None:
    if asked:
        typer.echo(Message("wetend {version}", version=__version__))
        raise typer.Exit


@app.callback()
def root(
    ctx: typer.Context,
    depot: Annotated[
        str, typer.Option(envvar="WETEND_DEPOT", help="Depot file, or postgresql:// address.")
    ] = "",
    who: Annotated[
        str, typer.Option(envvar="WETEND_WHO", help="Your name, saved with entries.")
    ] = "",
    place: Annotated[str, typer.Option(envvar="WETEND_PLACE", help="Where you are.")] = "",
    units: Annotated[
        Units, typer.Option(envvar="WETEND_UNITS", help="Units of the output.")
    ] = Units.METRIC,
    version: Annotated[  # noqa: ARG001 - acted on by its callback
        bool, typer.Option("--version", callback=_version, is_eager=True, help="Show the version.")
    ] = False,
) -> None:
    """Options that hold for every command."""
    ctx.obj = Session(where=depot, who=who, place=place, units=units)


def _output_nowhere() -> None:
    """Have what is left to show go nowhere, or the interpreter stumbles over it at its end."""
    os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())


def _rid_of_output() -> None:
    try:
        sys.stdout.flush()
    except OSError:
        _output_nowhere()


def _trace() -> None:
    """What is behind a sentence, for those who ask for it."""
    if os.environ.get("WETEND_DEBUG"):
        logging.getLogger("wetend").exception("inside wetend")


def _complete(shell: str, words: list[str]) -> int:
    """Answer a shell at a press of Tab: quickly, and never with a complaint."""
    for name in read_in("wetend.cli.completer").complete(shell, words):
        sys.stdout.write(f"{name}\n")
    sys.stdout.flush()
    return 0


def _units(arguments: Sequence[str]) -> System:
    """The units asked for before the command's name, as far as the line could be read."""
    asked = os.environ.get("WETEND_UNITS", "")
    for word, after in zip(arguments, [*arguments[1:], ""], strict=True):
        if word == "--units":
            asked = after
        elif word.startswith("--units="):
            asked = word.removeprefix("--units=")
    return "imperial" if asked == "imperial" else "metric"


def _complain(message: object, arguments: Sequence[str]) -> None:
    """Say in its reader's words why a command ended."""
    said = tell(message, Reader(_units(arguments), spoken()))
    sys.stderr.write(f"wetend: {said}\n")


def run(arguments: list[str]) -> int:
    """Run the command line on these arguments and give the exit code."""
    if arguments[:1] == ["help"]:
        arguments = [*arguments[1:], "--help"]
    try:
        if arguments[:1] == ["__complete"] and len(arguments) > 1:
            return _complete(arguments[1], arguments[2:])
        code = app(arguments, prog_name="wetend", standalone_mode=False)
        sys.stdout.flush()  # so that a full disk is reported below, not once the program has ended
    except WetendError as error:
        _trace()
        _complain(error, arguments)
        return error.exit_code
    except TyperException as error:
        sentence = usage_errors.sentence(error, tuple(COMMANDS), arguments)
        _complain(sentence, arguments)
        return int(getattr(error, "exit_code", 2)) or 2
    except (KeyboardInterrupt, EOFError, typer.Abort):
        code = _INTERRUPTED
    except BrokenPipeError:
        _output_nowhere()
        return 1
    except OSError as error:
        _rid_of_output()
        _trace()
        named = error.filename or Message("The output")
        sentence = Message("{file} can't be used: {why}.", file=named, why=why_not(error))
        _complain(sentence, arguments)
        return 1
    except Exception as error:
        if os.environ.get("WETEND_DEBUG"):
            logging.getLogger("wetend").exception("inside wetend")
        _complain(
            Message(
                "something went wrong inside ({error}); nothing was half-written. Set "
                "WETEND_DEBUG=1 for details.",
                error=type(error).__name__,
            ),
            arguments,
        )
        return 1
    if code == _INTERRUPTED:
        _complain(Message("stopped"), arguments)
    return code if isinstance(code, int) else 0


def main() -> None:
    """Entry point of the console script.

    Matrices here are small: a second thread of the linear algebra takes longer to wake than it
    saves, and takes its core from the next page. It is read when NumPy is, so it is said first.
    """
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
    screen.ready()
    sys.exit(run(sys.argv[1:]))
