"""A phone that trusts the depot's authority opens its pages; one that does not is warned off."""

from __future__ import annotations

import ipaddress
import shutil
import ssl
import subprocess
from collections.abc import Callable
from pathlib import Path
from types import SimpleNamespace

import pytest
from playwright.sync_api import Browser, Error

from wetend.web.lan.addresses import own_names
from wetend.web.lan.serving import renewed


@pytest.fixture
def trusting_home(secure: SimpleNamespace, tmp_path: Path) -> Path:
    """A home folder whose browser trusts the depot's authority: a phone with it installed."""
    certutil = shutil.which("certutil")
    if certutil is None:
        pytest.skip("No certutil to make Chromium trust a certificate: install libnss3-tools.")
    store = tmp_path / "home" / ".pki" / "nssdb"
    store.mkdir(parents=True)
    given = tmp_path / "authority.crt"
    given.write_bytes(secure.certified.authority.der)
    for words in ("-N --empty-password", f"-A -t C,, -n depot -i {given}"):
        command = [certutil, "-d", f"sql:{store}", *words.split()]
        subprocess.run(command, check=True, capture_output=True)
    return tmp_path / "home"


@pytest.mark.browser
def test_a_browser_that_trusts_it_has_a_secure_page_on_the_local_network(
    secure: SimpleNamespace, trusting_home: Path, launch: Callable[..., Browser]
) -> None:
    name = own_names()[1]
    browser = launch(f"--host-resolver-rules=MAP {name} 127.0.0.1", home=trusting_home)
    page = browser.new_page()
    answer = page.goto(f"https://{name}:{secure.port}/injection")
    assert answer is not None
    assert answer.status == 200
    assert page.evaluate(
        "isSecureContext && 'serviceWorker' in navigator && 'mediaDevices' in navigator"
    )
    page.goto(f"https://{name}:{secure.port}/")
    page.get_by_label("Passcode of this depot").fill("ferry gate")
    page.get_by_role("button", name="Unlock").click()
    page.wait_for_url("**/")
    cookies = {cookie["name"]: cookie for cookie in page.context.cookies()}
    assert cookies
    assert all(cookie["secure"] for cookie in cookies.values())
    browser.close()


@pytest.mark.browser
def test_a_browser_that_does_not_trust_it_shows_nothing(
    secure: SimpleNamespace, browser: Browser
) -> None:
    page = browser.new_page()
    with pytest.raises(Error, match="ERR_CERT_AUTHORITY_INVALID"):
        page.goto(f"https://localhost:{secure.port}/injection")
    page.close()


def presented(port: int) -> str:
    return ssl.get_server_certificate(("127.0.0.1", port))


def test_a_renewed_certificate_is_presented_without_a_restart(
    secure: SimpleNamespace, monkeypatch: pytest.MonkeyPatch
) -> None:
    before = presented(secure.port)
    assert not renewed(secure.certified, secure.config)
    assert presented(secure.port) == before
    moved = (ipaddress.ip_address("10.9.8.7"),)
    monkeypatch.setattr("wetend.web.lan.serving.own_addresses", lambda: moved)
    assert renewed(secure.certified, secure.config)
    assert presented(secure.port) != before
    assert secure.certified.files[0].read_text().startswith(presented(secure.port).strip())
