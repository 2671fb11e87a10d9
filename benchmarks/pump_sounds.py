"""Invented recordings of a pump at work, with the true moments of its turns.

Every turn is a thump of the drive, a knock, and a little later the clack of a ball on its seat; an
air drive breathes out as well. Site noise is coloured like a compressor, a grinder or wind. Nothing
here is recorded: a made signal knows its own truth.
"""

from __future__ import annotations

import io
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray
from scipy.io import wavfile
from scipy.signal import butter, sosfilt

Floats = NDArray[np.float64]
NOISES = ("compressor", "grinder", "wind")


@dataclass(frozen=True)
class Pumping:
    """How the pump runs: stroke times in seconds, scatter and drift as shares."""

    up: float = 1.32
    down: float = 1.02
    scatter: float = 0.012
    drift: float = 0.0
    """Change of stroke time over the recording."""
    seconds: float = 60.0
    pause_at: float | None = None
    pause: float = 4.0


@dataclass(frozen=True)
class Made:
    """A made recording."""

    rate: int
    samples: Floats
    turns: Floats
    """True moments of the turns."""
    kinds: tuple[int, ...]
    """0 where an up-stroke begins, 1 where a down-stroke does."""
    pumping: Pumping = field(default_factory=Pumping)


def turns_of(rng: np.random.Generator, run: Pumping) -> tuple[Floats, tuple[int, ...]]:
    """Moments at which the pump turns, and which stroke begins at each."""
    at, kind, times, kinds = float(rng.uniform(0.2, 1.2)), int(rng.integers(2)), [], []
    rested = False
    while at < run.seconds - 0.3:
        times.append(at)
        kinds.append(kind)
        length = run.up if kind == 0 else run.down
        length *= 1 + run.drift * at / run.seconds + run.scatter * rng.standard_normal()
        if run.pause_at is not None and not rested and at > run.pause_at:
            length, rested = length + run.pause, True
        at, kind = at + length, 1 - kind
    return np.array(times), tuple(kinds)


def _band(x: Floats, rate: int, low: float, high: float) -> Floats:
    top = min(high, 0.45 * rate)
    return sosfilt(butter(2, [low, top], btype="band", fs=rate, output="sos"), x)


def turn_sound(rng: np.random.Generator, rate: int, *, airy: bool) -> tuple[Floats, Floats]:
    """Sound of one kind of turn as two parts, the steady part and one to be drawn anew."""
    t = np.arange(int(0.35 * rate)) / rate
    rise = 1 - np.exp(-t / 0.002)
    thump = (
        rise * np.exp(-t / rng.uniform(0.03, 0.06)) * np.sin(2 * np.pi * rng.uniform(50, 95) * t)
    )
    knock = np.exp(-t / 0.012) * _band(rng.standard_normal(t.size), rate, 150, 900)
    knock *= 0.8 / np.abs(knock).max()
    delay, ring = rng.uniform(0.015, 0.05), rng.uniform(1500, 3600)
    late = np.clip(t - delay, 0, None)
    clack = (t > delay) * np.exp(-late / 0.007) * np.sin(2 * np.pi * ring * late)
    hiss = (1 - np.exp(-t / 0.01)) * np.exp(-t / 0.08) * (0.35 if airy else 0.03)
    steady = thump + rng.uniform(0.5, 1.0) * knock + rng.uniform(0.3, 0.8) * clack
    return rng.uniform(0.6, 1.0) * steady, hiss


def pump_alone(
    rng: np.random.Generator, rate: int, turns: Floats, kinds: tuple[int, ...], seconds: float
) -> Floats:
    """Sound of every turn, nothing else."""
    airy = bool(rng.integers(2))
    sounds = [turn_sound(rng, rate, airy=airy) for _ in (0, 1)]
    out = np.zeros(int(seconds * rate) + rate)
    for at, kind in zip(turns, kinds, strict=True):
        steady, hiss = sounds[kind]
        breath = hiss * _band(rng.standard_normal(hiss.size), rate, 900, 4500) * 2
        start = int(at * rate)
        out[start : start + steady.size] += (steady + breath) * rng.lognormal(0.0, 0.15)
    return out[: int(seconds * rate)]


def _compressor(rng: np.random.Generator, rate: int, n: int) -> Floats:
    t = np.arange(n) / rate
    beat = rng.uniform(12, 24)
    phase = 2 * np.pi * beat * t + 0.6 * np.sin(2 * np.pi * 0.31 * t)
    pulse = np.exp(6 * (np.cos(phase) - 1))
    rumble = _band(rng.standard_normal(n), rate, 60, 700)
    hum = np.sin(2 * np.pi * 50 * t) + 0.5 * np.sin(2 * np.pi * 100 * t + 1)
    hiss = _band(rng.standard_normal(n), rate, 700, 6000)
    return 3 * pulse * rumble / rumble.std() + 0.7 * hum + 0.5 * hiss / hiss.std()


def _grinder(rng: np.random.Generator, rate: int, n: int) -> Floats:
    t = np.arange(n) / rate
    load = np.zeros(n)
    at = 0.0
    while at < n / rate:
        on, off = rng.uniform(0.7, 4.0), rng.uniform(0.3, 2.0)
        load[int(at * rate) : int((at + on) * rate)] = rng.uniform(0.6, 1.0)
        at += on + off
    load = sosfilt(butter(1, 8.0, fs=rate, output="sos"), load)
    whine = sum(
        np.sin(2 * np.pi * k * (rng.uniform(180, 190) * t + 2 * np.cumsum(load) / rate)) / k
        for k in range(1, 9)
    )
    rasp = _band(rng.standard_normal(n), rate, 900, 8000)
    chatter = 1 + 0.5 * _band(rng.standard_normal(n), rate, 5, 40)
    return (0.15 + load) * (0.7 * whine + rasp / rasp.std() * chatter)


def _wind(rng: np.random.Generator, rate: int, n: int) -> Floats:
    slow = sosfilt(butter(2, 0.7, fs=200, output="sos"), rng.standard_normal(n * 200 // rate + 2))
    gust = np.exp(1.1 * slow / slow.std())
    gust = np.interp(np.arange(n) / rate, np.arange(gust.size) / 200, gust)
    roar = sosfilt(butter(1, 90, fs=rate, output="sos"), rng.standard_normal(n))
    rustle = _band(rng.standard_normal(n), rate, 300, 2500)
    return gust * (roar / roar.std() + 0.15 * rustle / rustle.std())


def site_noise(rng: np.random.Generator, rate: int, n: int, kind: str) -> Floats:
    """Noise of unit mean power, coloured like one machine or like ``all`` of them."""
    makers = {"compressor": _compressor, "grinder": _grinder, "wind": _wind}
    if kind == "all":
        noise = sum(site_noise(rng, rate, n, each) for each in makers)
    else:
        noise = makers[kind](rng, rate, n)
    return noise / np.sqrt(np.mean(noise**2))


def recording(
    seed: int,
    *,
    noise: str | None = None,
    level: float = 0.0,
    local: bool = False,
    run: Pumping | None = None,
    rate: int = 22050,
) -> Made:
    """A recording of a pump among site noise.

    Args:
        seed: of everything drawn.
        noise: compressor, grinder, wind, all, or none.
        level: signal to noise in decibels.
        local: the signal's power is taken over the 150 ms after each turn, where it sounds, rather
            than over the whole recording; some 8 dB harder.
        run: how the pump runs.
        rate: samples a second.
    """
    rng = np.random.default_rng(seed)
    run = run or Pumping()
    turns, kinds = turns_of(rng, run)
    pump = pump_alone(rng, rate, turns, kinds, run.seconds)
    power = np.mean(pump**2)
    if local:
        near = np.zeros(pump.size, dtype=bool)
        for at in turns:
            near[int(at * rate) : int((at + 0.15) * rate)] = True
        power = np.mean(pump[near] ** 2)
    quiet = 1e-3 * rng.standard_normal(pump.size)
    if noise:
        loud = np.sqrt(power / 10 ** (level / 10))
        quiet += loud * site_noise(rng, rate, pump.size, noise)
    mixed = pump + quiet
    return Made(rate, 0.7 * mixed / np.abs(mixed).max(), turns, kinds, run)


def as_wav(made: Made) -> bytes:
    """The recording as 16-bit PCM."""
    store = io.BytesIO()
    wavfile.write(store, made.rate, (made.samples * 32767).astype(np.int16))
    return store.getvalue()
