"""What a single picture tells of the filming: light, sharpness, shaking, and how its straight lines are turned."""

from typing import Final

import numpy as np
from numpy.typing import NDArray

from threequarter.swing.decode import Image

Floats = NDArray[np.float64]

EDGE_PX: Final = 128
LINES_PX: Final = 480
LINE_BINS: Final = 121
LINE_REACH_DEG: Final = 30.0
"""Lines of the background are counted by how far they are from upright or level: bins of half a degree, -30 to 30."""
STRONG_EDGE: Final = 14.0
STRAIGHT: Final = 0.9
WHITE: Final = 250
STILL_LEVELS: Final = 4.0
"""A part of the picture whose grey changed by less did not move: above the noise of compression."""


def light_of(rgb: Image) -> tuple[float, float]:
    """Mean brightness, 0 to 255, and the share of burnt-out pixels."""
    few = rgb[::16, ::16]
    return float(few.mean()), float((few.min(axis=2) >= WHITE).mean())


def sharpness(crop: NDArray[np.uint8]) -> float:
    """Fine detail in the square around the player against its whole contrast: about 0.1 where sharp, 0.03 where blurred.

    Mean absolute second difference over the standard deviation of grey.
    """
    grey = crop[:, :, 1].astype(np.float32)
    fine = np.abs(grey[1:-1, 2:] - 2 * grey[1:-1, 1:-1] + grey[1:-1, :-2]).mean()
    fine += np.abs(grey[2:, 1:-1] - 2 * grey[1:-1, 1:-1] + grey[:-2, 1:-1]).mean()
    return float(fine / 2 / max(float(grey.std()), 1.0))


def blocks(rgb: Image) -> Floats:
    """The picture in grey blocks of eight pixels: what moved shows in their differences."""
    height, width = (side // 8 * 8 for side in rgb.shape[:2])
    grey = rgb[:height:2, :width:2, 1].astype(np.float32)
    return np.asarray(grey.reshape(height // 8, 4, width // 8, 4).mean(axis=(1, 3)), dtype=np.float64)


def edge_of(rgb: Image) -> Floats:
    """The picture in grey and small, its middle taken out: there the player moves."""
    step = max(1, max(rgb.shape[:2]) // EDGE_PX)
    grey = rgb[::step, ::step].mean(axis=2)
    grey = grey - grey.mean()
    height, width = grey.shape
    grey[int(0.12 * height) :, int(0.2 * width) : int(0.8 * width)] = 0.0
    return np.asarray(grey * np.outer(np.hanning(height + 2)[1:-1], np.ones(width)))


def moved(one: Floats, two: Floats) -> float:
    """The shift between two small pictures in their pixels (Kuglin & Hines 1975, phase correlation); 0 where it is not clear."""
    cross = np.fft.rfft2(one) * np.conj(np.fft.rfft2(two))
    peak = np.fft.irfft2(cross / np.maximum(np.abs(cross), 1e-9), s=one.shape)
    at = np.unravel_index(int(np.argmax(peak)), peak.shape)
    if peak[at] < 0.15:
        return 0.0
    dy, dx = (min(int(v), n - int(v)) for v, n in zip(at, peak.shape, strict=True))
    return float(np.hypot(dx, dy))


def lines_of(rgb: Image, player: tuple[float, float, float, float]) -> Floats:
    """How much straight edge of the background is turned by how much, (LINE_BINS,): structure tensor (Förstner & Gülch 1987).

    `player` is the box (x0, y0, x1, y1) that is left out. An edge counts by its distance from the nearer of upright and
    level; positive is clockwise on the picture.
    """
    from scipy.ndimage import gaussian_filter

    step = max(1, max(rgb.shape[:2]) // LINES_PX)
    grey = gaussian_filter(rgb[::step, ::step].mean(axis=2, dtype=np.float32), 1.0)
    dy, dx = np.gradient(grey)
    xx, yy, xy = (gaussian_filter(part, 3.0) for part in (dx * dx, dy * dy, dx * dy))
    spread = np.hypot(xx - yy, 2 * xy)
    turned = np.degrees(0.5 * np.arctan2(2 * xy, xx - yy))
    off = (turned + 45) % 90 - 45
    keep = (xx + yy > (STRONG_EDGE / 8) ** 2) & (spread > STRAIGHT * (xx + yy)) & (np.hypot(dx, dy) > STRONG_EDGE / 8)
    keep[:4], keep[-4:], keep[:, :4], keep[:, -4:] = False, False, False, False
    x0, y0, x1, y1 = (int(max(0, v / step)) for v in player)
    keep[y0:y1, x0:x1] = False
    counts, _ = np.histogram(off[keep], bins=LINE_BINS, range=(-LINE_REACH_DEG - 0.25, LINE_REACH_DEG + 0.25))
    return np.asarray(counts, dtype=np.float64)
