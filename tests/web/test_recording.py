"""A recording made on the page, or in the phone's own format, is turned into WAV and heard."""

from __future__ import annotations

import base64

import pytest
from playwright.sync_api import Page, expect
from pump_sounds import Pumping, as_wav, recording

from wetend.workflows.listening import LogColumns, analyse

pytestmark = pytest.mark.browser
RUN = Pumping(up=0.6, down=0.45, scatter=0.01, drift=0.0, seconds=16.0)
SENT = """async () => {
    const [file] = document.getElementById("listen-record").files;
    const bytes = new Uint8Array(await file.arrayBuffer());
    let text = "";
    for (const byte of bytes) text += String.fromCharCode(byte);
    return btoa(text);
}"""


@pytest.fixture(scope="module")
def sound() -> bytes:
    """Sixteen seconds of a pump, without noise."""
    return as_wav(recording(3, run=RUN))


def _sent(page: Page) -> bytes:
    return base64.b64decode(page.evaluate(SENT))


def _open(page: Page, shown, address: str) -> Page:
    page.set_viewport_size({"width": 360, "height": 740})
    page.goto(f"{address}/visits/{shown.open_visit}/listen")
    return page


def test_recorded_on_the_page_it_is_heard(launch, shown, shown_address, tmp_path, sound):
    """The microphone is a file that the browser plays to itself."""
    (tmp_path / "pump.wav").write_bytes(sound)
    browser = launch(
        "--use-fake-ui-for-media-stream", "--use-fake-device-for-media-stream",
        f"--use-file-for-fake-audio-capture={tmp_path / 'pump.wav'}",
    )  # fmt: skip
    page = _open(browser.new_page(), shown, shown_address)
    page.get_by_role("button", name="Record here").click()
    expect(page.locator("#hear-said")).to_contain_text("Recording, 9 s", timeout=60_000)
    page.get_by_role("button", name="Stop recording").click()
    expect(page.locator("#hear-said")).to_contain_text("s recorded", timeout=20_000)
    heard = analyse(_sent(page), "up", LogColumns())
    page.get_by_role("button", name="Analyse").click()
    expect(page.get_by_role("heading", name="Strokes found")).to_be_visible(timeout=30_000)
    browser.close()
    assert heard.length > 7.0
    middles = sorted(side.middle for side in heard.sides if side.middle is not None)
    # a busy browser drops samples of what it plays to itself
    assert middles == pytest.approx([0.45, 0.6], abs=0.03)


def test_sound_in_the_phones_format_is_made_wav(browser, shown, shown_address, sound):
    """The browser's own decoder says what the file is, whatever its name."""
    page = _open(browser.new_page(), shown, shown_address)
    page.set_input_files("#listen-record", {"name": "memo.m4a", "mimeType": "audio/mp4",
                                            "buffer": sound})  # fmt: skip
    expect(page.locator("#hear-said")).to_contain_text("16 s of sound prepared")
    made = _sent(page)
    page.close()
    assert made[:4] == b"RIFF"
    assert int.from_bytes(made[24:28], "little") == 16000
    assert len(made) == pytest.approx(44 + 2 * 16000 * 16.0, rel=1e-3)
    heard = analyse(made, "up", LogColumns())
    middles = sorted(side.middle for side in heard.sides if side.middle is not None)
    assert middles == pytest.approx([0.45, 0.6], abs=0.02)


def test_what_is_no_sound_is_refused_at_once(browser, shown, shown_address):
    page = _open(browser.new_page(), shown, shown_address)
    page.set_input_files("#listen-record", {"name": "memo.m4a", "mimeType": "audio/mp4",
                                            "buffer": b"no sound at all"})  # fmt: skip
    expect(page.locator("#hear-said")).to_contain_text("can't read that file")
    assert page.evaluate("document.getElementById('listen-record').files.length") == 0
    page.close()


def test_a_log_is_sent_as_it_is(browser, shown, shown_address):
    page = _open(browser.new_page(), shown, shown_address)
    page.set_input_files("#listen-record", {"name": "gauge.csv", "mimeType": "text/csv",
                                            "buffer": b"s;bar\n0;180\n"})  # fmt: skip
    assert _sent(page) == b"s;bar\n0;180\n"
    page.close()
