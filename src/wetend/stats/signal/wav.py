"""Sound recordings read from the bytes of a WAV file, torn ones as far as they go."""

from __future__ import annotations

import struct
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from wetend.errors import BadInput, TooLarge
from wetend.units.message import Message
from wetend.units.quantity import S

Floats = NDArray[np.float64]

MOST_BYTES = 64_000_000
"""A longer file is refused."""
LONGEST_SOUND: S = 120.0
"""What is read of a recording; more tells no more and takes as much longer."""
MOST_SAMPLES = 12_000_000
"""Samples read at most, of all channels together: two minutes of two at 48 000 a second."""
_PCM, _FLOAT, _EXTENSIBLE = 1, 3, 0xFFFE
_GUID_TAIL = bytes.fromhex("000000001000800000aa00389b71")
_TYPES = {
    (_PCM, 8): "u1", (_PCM, 16): "<i2", (_PCM, 24): "24", (_PCM, 32): "<i4",
    (_FLOAT, 32): "<f4", (_FLOAT, 64): "<f8",
}  # fmt: skip


@dataclass(frozen=True)
class Sound:
    """A recording: samples between -1 and 1, a row a channel."""

    rate: float
    """Samples a second."""
    channels: Floats
    torn: bool
    """Whether the file ends before it says it does."""
    cut: S = 0.0
    """Time at its end that was not read."""

    @property
    def length(self) -> S:
        """How long what was read of it lasts."""
        return float(self.channels.shape[1]) / self.rate


@dataclass(frozen=True)
class _Format:
    tag: int
    channels: int
    rate: int
    bits: int

    @property
    def frame(self) -> int:
        return self.channels * self.bits // 8


def _format(chunk: bytes) -> _Format:
    if len(chunk) < 16:
        raise BadInput(Message("The WAV file's header is damaged; record again."))
    tag, channels, rate, _, _, bits = struct.unpack_from("<HHIIHH", chunk)
    if tag == _EXTENSIBLE and len(chunk) >= 40 and chunk[26:40] == _GUID_TAIL:
        tag = struct.unpack_from("<H", chunk, 24)[0]
    if (tag, bits) not in _TYPES:
        raise BadInput(
            Message(
                "The WAV file holds compressed sound or an unusual sample size; save it as "
                "plain PCM of 8, 16, 24 or 32 bits, or as float."
            )
        )
    if not 1 <= channels <= 16:
        raise BadInput(
            Message(
                "The WAV file says it has {channels} channels; 1 to 16 can be read.",
                channels=channels,
            )
        )
    if not 1000 <= rate <= 768_000:
        raise BadInput(
            Message(
                "The WAV file says {rate} samples a second; 1000 to 768 000 can be read.", rate=rate
            )
        )
    return _Format(tag, channels, rate, bits)


def _chunks(data: bytes) -> tuple[bytes, memoryview, bool]:
    """The format chunk, the sound's bytes, and whether the sound is torn."""
    described, at = b"", 12
    while at + 8 <= len(data):
        name, size = data[at : at + 4], struct.unpack_from("<I", data, at + 4)[0]
        start = at + 8
        if name == b"fmt ":
            described = data[start : start + min(size, 64)]
        elif name == b"data":
            held = len(data) - start
            torn = size > held and size != 0xFFFFFFFF
            return described, memoryview(data)[start : start + min(size, held)], torn
        at = start + size + (size & 1)
    raise BadInput(
        Message("There is no sound in the WAV file; it is damaged before the sound begins.")
    )


def _samples(raw: memoryview, form: _Format) -> Floats:
    whole = raw[: len(raw) // form.frame * form.frame]
    kind = _TYPES[(form.tag, form.bits)]
    if kind == "24":
        parts = np.frombuffer(whole, dtype="u1").reshape(-1, 3).astype(np.int32)
        value = (parts[:, 0] | parts[:, 1] << 8 | parts[:, 2] << 16) << 8
        flat = (value >> 8).astype(np.float64) / 2.0**23
    elif form.tag == _FLOAT:
        with np.errstate(invalid="ignore"):  # signalling NaNs
            flat = np.frombuffer(whole, dtype=kind).astype(np.float64)
        flat = np.clip(np.nan_to_num(flat, nan=0.0, posinf=1.0, neginf=-1.0), -1e3, 1e3)
    elif form.bits == 8:
        flat = (np.frombuffer(whole, dtype="u1").astype(np.float64) - 128.0) / 128.0
    else:
        flat = np.frombuffer(whole, dtype=kind).astype(np.float64) / 2.0 ** (form.bits - 1)
    shaped: Floats = np.ascontiguousarray(flat.reshape(-1, form.channels).T)
    return shaped


def is_wav(data: bytes) -> bool:
    """Whether the bytes begin as a WAV file does."""
    return len(data) >= 12 and data[:4] == b"RIFF" and data[8:12] == b"WAVE"


def read_wav(data: bytes) -> Sound:
    """A recording from the bytes of a WAV file.

    PCM of 8, 16, 24 and 32 bits and float of 32 and 64 are read, any number of channels up to 16,
    any rate from 1000 to 768 000 a second. A file cut off early is read as far as it goes, a long
    one for its first :data:`LONGEST_SOUND` seconds.
    Source: Microsoft and IBM, *Multimedia Programming Interface and Data Specifications 1.0*
    (1991), "Waveform Audio File Format", with the extensible format of 1999; from memory.

    Raises:
        BadInput: no WAV file, compressed, or without sound.
        TooLarge: more bytes than :data:`MOST_BYTES`.
    """
    if len(data) > MOST_BYTES:
        raise TooLarge(
            Message(
                "The recording is larger than {most_bytes} MB; a minute is enough.",
                most_bytes=MOST_BYTES // 1000000,
            )
        )
    if not is_wav(data):
        raise BadInput(
            Message("This is not a WAV file. Save the recording as WAV (PCM) and upload it again.")
        )
    described, raw, torn = _chunks(data)
    form = _format(described)
    frames = len(raw) // form.frame
    most = min(int(LONGEST_SOUND * form.rate), MOST_SAMPLES // form.channels)
    samples = _samples(raw[: most * form.frame], form)
    if samples.shape[1] == 0:
        raise BadInput(
            Message("There is no sound in the WAV file; it ends where the sound begins.")
        )
    return Sound(float(form.rate), samples, torn, max(frames - most, 0) / form.rate)
