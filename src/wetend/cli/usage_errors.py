"""Error messages for invalid command lines, which name the word or option.

What the library below says is looked at to see which slip it was, and never shown.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import Any

from wetend.units.message import Message, joined
from wetend.units.suggestions import near

BEFORE = ("--depot", "--who", "--place", "--units")
"""Options that hold for every command."""


def sentence(error: Any, known: tuple[str, ...], arguments: Sequence[str] = ()) -> str:
    """One sentence about an error of the library that reads the command line.

    Args:
        error: as raised.
        known: every command's name.
        arguments: as typed.
    """
    context = getattr(error, "ctx", None)
    path = context.command_path if context is not None else "wetend"
    said = str(getattr(error, "message", "") or error)
    option = str(getattr(error, "option_name", "") or "")
    param = getattr(error, "param", None)
    if option and _unknown(said):
        return _no_option(_as_typed(option, arguments), context, path)
    if param is not None:
        return _of_param(param, path, missing=type(error).__name__.startswith("Missing"))
    if option:
        return _value_wanted(option, said)
    return _of_words(said, context, path, known)


def _as_typed(option: str, arguments: Sequence[str]) -> str:
    """The whole word of which the library names one letter: ``-depot`` for ``-d``."""
    whole = (w for w in arguments if len(w) > 2 and re.match(r"-[a-z]", w) and w.startswith(option))
    return next(whole, option) if len(option) == 2 else option


def _unknown(said: str) -> bool:
    return "o such option" in said


def _options(context: Any) -> list[str]:
    if context is None:
        return []
    return [name for param in context.command.get_params(context) for name in param.opts
            if name.startswith("-")]  # fmt: skip


def _no_option(option: str, context: Any, path: str) -> str:
    if option in BEFORE and path != "wetend":
        rest = path.removeprefix("wetend ")
        return Message(
            "{option} goes before the command's name: wetend {option} ... {rest} ...",
            option=option,
            rest=rest,
        )
    meant = near(f"--{option.lstrip('-')}", _options(context))
    if meant:
        return Message(
            "There is no option {option}; did you mean {meant}?",
            option=option,
            meant=joined(Message(" or "), meant),
        )
    return Message(
        "There is no option {option}; `{path} --help` lists them.", option=option, path=path
    )


def _value_wanted(option: str, said: str) -> str:
    if "does not take a value" in said:
        return Message("{option} takes no value.", option=option)
    return Message("{option} needs a value; `--help` shows which.", option=option)


def _of_param(param: Any, path: str, *, missing: bool) -> str:
    is_option = str(param.opts[0]).startswith("-")
    name = param.opts[-1] if is_option else (param.metavar or param.name.upper())
    if missing:
        hint = (param.help or "").partition(". ")[0].strip().rstrip(".")
        first = hint[:1] if hint[1:2].isupper() else hint[:1].lower()
        what = Message(" ({first}{hint})", first=first, hint=hint[1:]) if hint else ""
        return Message(
            "{name} is missing{what}; see `{path} --help`.", name=name, what=what, path=path
        )
    wanted = _wanted(param)
    return (
        Message("{name} can't be used as given; it must be {wanted}.", name=name, wanted=wanted)
        if wanted
        else (Message("{name} can't be used as given; see `{path} --help`.", name=name, path=path))
    )


def _wanted(param: Any) -> str:
    """What an option takes, in words."""
    kind = param.type_descriptor
    if kind.is_choice:
        return Message("one of ") + joined(
            ", ", (str(getattr(c, "value", c)) for c in kind.choices or ())
        )
    least, most = getattr(param, "min", None), getattr(param, "max", None)
    named = Message("a whole number") if kind.annotation is int else Message("a number")
    if kind.annotation not in (int, float):
        return ""
    if least is not None and most is not None:
        return Message("{named} from {least} to {most}", named=named, least=least, most=most)
    if least is not None:
        return Message("{named}, at least {least}", named=named, least=least)
    return named


def _of_words(said: str, context: Any, path: str, known: tuple[str, ...]) -> str:
    extra = re.search(r"unexpected extra argument[^(]*(?:\(s\))? \((.*)\)", said)
    if extra:
        first = extra[1].split(" ")[0]
        return Message(
            "“{first}” is one word too many; `{path} --help` shows how it goes.",
            first=first[:60],
            path=path,
        )
    if "o such command" in said:
        word = re.search(r"'(.*?)'", said)
        return _no_command(word[1] if word else "", context, path, known)
    if "issing command" in said:
        return Message("Name a command: `{path} --help` lists them.", path=path)
    return Message("The command can't be read; see `{path} --help`.", path=path)


def _no_command(word: str, context: Any, path: str, known: tuple[str, ...]) -> str:
    names = known if path == "wetend" else context.command.list_commands(context)
    meant = near(word, names)
    if meant:
        likely = joined(
            Message(" or "), (Message("`{path} {name}`", path=path, name=name) for name in meant)
        )
        return Message(
            "There is no command “{word}”; did you mean {likely}?", word=word[:60], likely=likely
        )
    return Message(
        "There is no command “{word}”; `{path} --help` lists them.", word=word[:60], path=path
    )
