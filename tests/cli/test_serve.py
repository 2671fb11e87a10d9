"""``wetend serve``: what may not be served, and by which certificate."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest


@pytest.mark.parametrize(
    ("words", "why"),
    [
        (("--lan",), "Set WETEND_PASSCODE"),
        (("--lan", "--passcode", "short"), "Set WETEND_PASSCODE"),
        (("--host", "0.0.0.0"), "Set WETEND_PASSCODE"),
        (("--tls-cert", "c.pem"), "go together"),
        (("--tls-key", "k.pem"), "go together"),
        (("--lan", "--tls-cert", "c.pem", "--tls-key", "k.pem"), "its own certificate"),
        (("--tls-cert", "c.pem", "--tls-key", "k.pem"), "no certificate with its key"),
    ],
)
def test_what_cannot_be_served_is_a_sentence(
    words: tuple[str, ...], why: str, say: Callable[..., Any], tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
) -> None:  # fmt: skip
    monkeypatch.chdir(tmp_path)
    monkeypatch.delenv("WETEND_PASSCODE", raising=False)
    (tmp_path / "c.pem").write_text("no certificate")
    (tmp_path / "k.pem").write_text("no key")
    answer = say("serve", *words)
    assert answer.code == 2
    assert why in answer.err


def test_the_local_network_is_served_over_https_with_the_page_beside_it(
    say: Callable[..., Any], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    served: list[Any] = []

    class Server:
        def __init__(self, config: Any) -> None:
            self.config = config

        def run(self, sockets: Any = None) -> None:
            served.append((self.config, sockets))

    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / "data"))
    monkeypatch.setattr("wetend.cli.server.uvicorn.Server", Server)
    said = say("serve", "--lan", "--passcode", "ferry gate")
    assert said.code == 0
    assert "https://" in said.out
    assert "opens this first, once: http://" in said.out
    assert "Fingerprint" in said.out
    pages = next(config for config, _ in served if config.ssl_certfile)
    assert Path(pages.ssl_keyfile).is_relative_to(tmp_path / "data")
