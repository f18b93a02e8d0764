"""The sound of a range: wind, one's own strike, the neighbours'. Invented (common practice, no source)."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

RATE_HZ = 48_000
SOUND_MPS = 343.0
STRIKE_PEAK, NEIGHBOUR_PEAK, WIND_SD = 0.6, 0.09, 0.012


def range_sound(
    length_s: float, strikes_s: list[float], neighbours_s: list[float], rng: np.random.Generator
) -> NDArray[np.float32]:
    """Wind, and clicks at these seconds as the microphone hears them (the way of the sound counted in already)."""
    samples = wind(int(length_s * RATE_HZ), rng)
    for second in strikes_s:
        _add(samples, second, click(rng, STRIKE_PEAK, 0.012))
    for second in neighbours_s:
        _add(samples, second, dulled(click(rng, NEIGHBOUR_PEAK * rng.uniform(0.5, 1.5), 0.03)))
    return np.clip(samples, -1, 1).astype(np.float32)


def wind(count: int, rng: np.random.Generator) -> NDArray[np.float64]:
    """Low rumble that swells and fades, with a little hiss of the microphone."""
    spectrum = np.fft.rfft(rng.normal(size=count))
    hertz = np.fft.rfftfreq(count, 1 / RATE_HZ)
    rumble = np.fft.irfft(spectrum / np.maximum(hertz, 40.0) ** 1.2, count)
    swell = 1 + 0.6 * np.sin(2 * np.pi * (np.arange(count) / RATE_HZ / 2.3 + rng.uniform()))
    return WIND_SD * swell * rumble / rumble.std() + rng.normal(0, 0.0008, count)


def click(rng: np.random.Generator, peak: float, decay_s: float) -> NDArray[np.float64]:
    """A sharp noise without its low part, dying away."""
    count = int(8 * decay_s * RATE_HZ)
    noise = np.diff(rng.normal(size=count + 1))
    sound = noise * np.exp(-np.arange(count) / (decay_s * RATE_HZ))
    return peak * sound / np.abs(sound).max()


def dulled(sound: NDArray[np.float64]) -> NDArray[np.float64]:
    """From further off: the highest tones are gone."""
    return np.convolve(sound, np.ones(12) / 12, mode="same")


def _add(samples: NDArray[np.float64], second: float, sound: NDArray[np.float64]) -> None:
    start = round(second * RATE_HZ)
    if 0 <= start < len(samples):
        end = min(len(samples), start + len(sound))
        samples[start:end] += sound[: end - start]
