"""WAV files read: against SciPy's and the standard library's writers, torn and hostile."""

from __future__ import annotations

import io
import struct
import wave

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.io import wavfile

from wetend.errors import BadInput, TooLarge, WetendError
from wetend.stats.signal import wav

RATE = 8000
TONE = 0.5 * np.sin(2 * np.pi * 440 * np.arange(RATE) / RATE)


def _scipy(samples: np.ndarray, rate: int = RATE) -> bytes:
    store = io.BytesIO()
    wavfile.write(store, rate, samples)
    return store.getvalue()


def _stdlib(width: int, channels: int = 1) -> bytes:
    """Written by the standard library, which knows 24 bits."""
    store = io.BytesIO()
    scale = 2 ** (8 * width - 1) - 1
    values = np.round(np.repeat(TONE, channels) * scale).astype(np.int64)
    with wave.open(store, "wb") as out:
        out.setnchannels(channels)
        out.setsampwidth(width)
        out.setframerate(RATE)
        out.writeframes(b"".join(int(v).to_bytes(width, "little", signed=True) for v in values))
    return store.getvalue()


@pytest.mark.parametrize(
    ("samples", "step"),
    [
        ((TONE * 127 + 128).astype(np.uint8), 1 / 60),
        ((TONE * 32767).astype(np.int16), 1 / 16000),
        ((TONE * 2147483647).astype(np.int32), 1e-8),
        (TONE.astype(np.float32), 1e-7),
        (TONE, 1e-15),
    ],
    ids=["8 bit", "16 bit", "32 bit", "float", "double"],
)
def test_what_scipy_writes_is_read_back(samples: np.ndarray, step: float) -> None:
    sound = wav.read_wav(_scipy(samples))
    assert sound.rate == RATE
    assert not sound.torn
    np.testing.assert_allclose(sound.channels[0], TONE, atol=step)


@pytest.mark.parametrize("width", [2, 3, 4])
@pytest.mark.parametrize("channels", [1, 2])
def test_what_the_standard_library_writes_is_read_back(width: int, channels: int) -> None:
    sound = wav.read_wav(_stdlib(width, channels))
    assert sound.channels.shape == (channels, RATE)
    for row in sound.channels:
        np.testing.assert_allclose(row, TONE, atol=2.0 ** (2 - 8 * width))


def test_stereo_channels_stay_apart() -> None:
    both = np.stack([TONE, -TONE], axis=1).astype(np.float32)
    sound = wav.read_wav(_scipy(both))
    np.testing.assert_allclose(sound.channels[0], -sound.channels[1])


def test_the_extensible_format_is_read() -> None:
    plain = _scipy((TONE * 32767).astype(np.int16))
    tail = bytes.fromhex("0100") + wav._GUID_TAIL
    form = struct.pack("<HHIIHH", 0xFFFE, 1, RATE, 2 * RATE, 2, 16) + struct.pack("<HHI", 22, 16, 4)
    body = plain[plain.index(b"data") :]
    made = b"RIFF" + bytes(4) + b"WAVEfmt " + struct.pack("<I", 40) + form + tail + body
    np.testing.assert_array_equal(wav.read_wav(made).channels, wav.read_wav(plain).channels)


def test_chunks_before_the_sound_are_passed_over() -> None:
    plain = _scipy((TONE * 32767).astype(np.int16))
    listed = b"LIST" + struct.pack("<I", 5) + b"INFOx" + b"\0"
    made = plain[:12] + listed + plain[12:]
    np.testing.assert_array_equal(wav.read_wav(made).channels, wav.read_wav(plain).channels)


def test_a_torn_file_is_read_as_far_as_it_goes() -> None:
    torn = _scipy((TONE * 32767).astype(np.int16))[:8001]
    sound = wav.read_wav(torn)
    assert sound.torn
    assert 3950 < sound.channels.shape[1] < 4000


def test_numbers_that_are_none_become_silence() -> None:
    odd = TONE.astype(np.float32).copy()
    odd[10], odd[11] = np.nan, np.inf
    sound = wav.read_wav(_scipy(odd))
    assert np.isfinite(sound.channels).all()


@pytest.mark.parametrize(
    ("data", "told"),
    [
        (b"", "not a WAV file"),
        (b"ID3\x03 an mp3", "not a WAV file"),
        (b"RIFF\0\0\0\0WAVE", "no sound"),
        (b"RIFF\0\0\0\0WAVEdata\4\0\0\0abcd", "damaged"),
        (b"RIFF\0\0\0\0WAVEfmt \x10\0\0\0" + struct.pack("<HHIIHH", 2, 1, RATE, RATE, 1, 4)
         + b"data\4\0\0\0abcd", "compressed"),
        (b"RIFF\0\0\0\0WAVEfmt \x10\0\0\0" + struct.pack("<HHIIHH", 1, 0, RATE, RATE, 1, 16)
         + b"data\4\0\0\0abcd", "0 channels"),
        (b"RIFF\0\0\0\0WAVEfmt \x10\0\0\0" + struct.pack("<HHIIHH", 1, 1, 0, 0, 1, 16)
         + b"data\4\0\0\0abcd", "samples a second"),
        (b"RIFF\0\0\0\0WAVEfmt \x10\0\0\0" + struct.pack("<HHIIHH", 1, 1, RATE, 0, 1, 16)
         + b"data\0\0\0\0", "no sound"),
    ],
)  # fmt: skip
def test_what_is_no_recording_is_said_so(data: bytes, told: str) -> None:
    with pytest.raises(BadInput, match=told):
        wav.read_wav(data)


def test_too_large_is_refused_before_it_is_read(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(wav, "MOST_BYTES", 100)
    with pytest.raises(TooLarge):
        wav.read_wav(_scipy(TONE))


@given(st.binary(max_size=300), st.integers(0, 60), st.binary(max_size=8))
def test_nothing_sent_crashes_it(body: bytes, at: int, patch: bytes) -> None:
    whole = bytearray(_HEAD + body)
    whole[at : at + len(patch)] = patch
    try:
        sound = wav.read_wav(bytes(whole))
    except WetendError:
        return
    assert np.isfinite(sound.channels).all()


_HEAD = b"RIFF\0\0\0\0WAVEfmt \x10\0\0\0" + struct.pack("<HHIIHH", 3, 1, RATE, RATE, 4, 32) + (
    b"data\xff\xff\xff\xff"
)  # fmt: skip


def test_of_a_long_recording_only_what_is_used_is_read() -> None:
    samples = np.tile((TONE * 127 + 128).astype(np.uint8), 130)
    sound = wav.read_wav(_scipy(samples))
    assert sound.channels.shape[1] == 120 * RATE
    assert sound.cut == pytest.approx(10.0)


def test_however_quick_and_many_channels_memory_is_bounded(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(wav, "MOST_SAMPLES", 4000)
    stereo = np.stack([TONE, TONE], axis=1).astype(np.float32)
    sound = wav.read_wav(_scipy(stereo))
    assert sound.channels.shape == (2, 2000)
    assert sound.cut == pytest.approx(1 - 2000 / RATE)
