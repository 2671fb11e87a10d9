"""The page over plain HTTP: it hands out the certificate, and nothing of the depot."""

from __future__ import annotations

import hashlib

import pytest
from cryptography import x509
from starlette.testclient import TestClient

from wetend.web.lan.handout import STEPS, handout
from wetend.web.lan.serving import Certified, lines


@pytest.fixture
def phone(certified: Certified) -> TestClient:
    return TestClient(handout(certified.authority, port=8642), base_url="http://192.168.7.2:8643")


def test_the_certificate_is_what_the_fingerprint_says(
    phone: TestClient, certified: Certified
) -> None:
    given = phone.get("/authority.crt")
    assert given.headers["content-type"] == "application/x-x509-ca-cert"
    pairs = hashlib.sha256(given.content).hexdigest().upper()
    shown = ":".join(pairs[n : n + 2] for n in range(0, 64, 2))
    assert shown in phone.get("/").text
    assert shown in "\n".join(lines(certified, port=8642, beside=8643))
    assert x509.load_der_x509_certificate(given.content) == certified.authority.certificate


@pytest.mark.parametrize(
    ("agent", "title"),
    [("Mozilla/5.0 (Linux; Android 14; K) Chrome/140", "Android"),
     ("Mozilla/5.0 (iPhone; CPU iPhone OS 18_0 like Mac OS X)", "iPhone and iPad"),
     ("Mozilla/5.0 (Windows NT 10.0; Win64) Chrome/140", "Windows"),
     ("Mozilla/5.0 (Macintosh; Intel Mac OS X 10_15)", "Mac"),
     ("Mozilla/5.0 (Android 14; Mobile; rv:140.0) Firefox/140.0", "Linux, and Firefox anywhere"),
     ("", "Linux, and Firefox anywhere")],
)  # fmt: skip
def test_the_steps_are_for_the_device_in_hand_and_the_others_below(
    phone: TestClient, agent: str, title: str
) -> None:
    text = phone.get("/", headers={"User-Agent": agent}).text
    assert text.count("<summary>") == len(STEPS) - 1
    assert f'<h2 id="how-h">{title}</h2>' in text
    assert 'href="https://192.168.7.2:8642/"' in text


def test_nothing_else_is_there_and_every_answer_is_guarded(phone: TestClient) -> None:
    for path in ("/visits/x", "/pumps/new", "/exchange/about", "/../etc/passwd", "/passcode"):
        away = phone.get(path, follow_redirects=False)
        assert (away.status_code, away.headers["location"]) == (303, "/")
    for path in ("/", "/authority.crt", "/static/site.css"):
        assert "default-src 'none'" in phone.get(path).headers["content-security-policy"]
    assert phone.post("/", data={"a": "b"}).status_code == 405
    assert len(phone.get("/").content) < 20_000
