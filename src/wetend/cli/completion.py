"""``wetend completion``: the script with which a shell completes this program's commands."""

from __future__ import annotations

from enum import StrEnum
from importlib import resources
from typing import Annotated

import typer

from wetend.cli.help_format import command_app, helped
from wetend.cli.options import AsJson
from wetend.cli.output import write_data, write_json

app = command_app()


class Shell(StrEnum):
    """Shells there is a script for."""

    BASH = "bash"
    ZSH = "zsh"
    FISH = "fish"


_FILES = {Shell.BASH: "bash.sh", Shell.ZSH: "zsh.sh", Shell.FISH: "fish.fish"}


def script(shell: Shell) -> str:
    """The script of a shell."""
    place = resources.files("wetend.cli").joinpath("completions", _FILES[shell])
    return place.read_text("utf-8")


@app.command(
    cls=helped(
        "wetend completion bash > ~/.local/share/bash-completion/completions/wetend",
        "wetend completion zsh > ~/.zfunc/_wetend",
        "wetend completion fish > ~/.config/fish/completions/wetend.fish",
    )
)
def command(
    shell: Annotated[Shell, typer.Argument(metavar="SHELL", help="bash | zsh | fish")],
    as_json: AsJson = False,
) -> None:
    """Write the shell script that completes commands, options, fields and pumps.

    Installed as a package the scripts are in place already; a new shell knows them. For Zsh the
    folder must stand in its fpath.
    """
    if as_json:
        write_json({"shell": shell, "script": script(shell)})
    else:
        write_data(script(shell))
