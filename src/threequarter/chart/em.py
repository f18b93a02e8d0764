"""The posterior of a session: EM to the mode at every point of a grid over spread and mishit rate, then Laplace.

A good strike's log carry is Student t about its centre (Lange, Little & Taylor 1989, J. Am. Stat. Assoc. 84, 881-896,
for the weights); a mishit is one of four broad Gaussian classes shifted from it. Where a ball lay to the side, how it launched and how
much it spun help to tell which. At every grid point the log posterior of the centres is expanded to second order at its mode,
with the exact curvature of the mixture (Louis 1982, J. R. Stat. Soc. B 44, 226-233), which also gives the point's weight
(Tierney & Kadane 1986, J. Am. Stat. Assoc. 81, 82-86). All points run at once as stacked matrices.
"""

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray
from scipy.special import gammaln

from threequarter.chart import priors
from threequarter.chart.prepare import Readings
from threequarter.chart.prior_field import prior_field
from threequarter.chart.strike_signs import launch_factors, side_factors

Floats = NDArray[np.float64]

ROUNDS: Final = 8
PRUNE_AFTER: Final = 2
OUT_OF_REACH: Final = 12.0
"""Log posterior below the best at which a grid point is given up."""
SIDE_MODES: Final = 1.8
SIDE_MODES_FROM: Final = 0.12
"""Set on simulated players who mishit two balls in five (benchmarks/chart_calibration.py): one mode held 81 %."""
LIGHT: Final = 1e-4
"""Grid points below this share of the weight are left out of the answer."""
T_CONSTANT: Final = float(
    gammaln((priors.TAIL_DF + 1) / 2) - gammaln(priors.TAIL_DF / 2) - 0.5 * np.log(priors.TAIL_DF * np.pi)
)

KIND_SHIFT: Final = priors.KIND_SHIFT[:, None, None]
KIND_VARIANCE: Final = priors.KIND_SD[:, None, None] ** 2
KIND_LOG_SHARE: Final = np.log(priors.KIND_SHARE)[:, None, None] - 0.5 * np.log(2 * np.pi)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Posterior:
    """A mixture of Gaussians over the grid points that matter. G points, J centres (days x cells), n readings.

    `weight` (G,), `mean` (G, J + 1), `covariance` (G, J + 1, J + 1), `log_spread` and `log_spread_sd` (G, cells),
    `rate` and `level` (the log spread of the player) (G,), `classes` (n, 1 + kinds): probability of good and of each kind of mishit for every reading, grid averaged.
    """

    weight: Floats
    mean: Floats
    covariance: Floats
    log_spread: Floats
    log_spread_sd: Floats
    rate: Floats
    level: Floats
    classes: Floats


def infer(readings: Readings, *, at: Posterior | None = None) -> Posterior:
    """The posterior of all centres, spreads and the mishit rate of a session.

    With `at`, only at the likeliest grid point of another posterior: quick, for a look at part of the same session.
    """
    grid = _Grid(readings)
    if at is not None:
        grid.only(at)
    return grid.run()


class _Grid:
    """Arrays of all grid points at once; first axis G = spreads x rates."""

    def __init__(self, readings: Readings) -> None:
        self.readings = readings
        self.cells = len(readings.names)
        self.place = readings.day * self.cells + readings.cell
        self.size = readings.days * self.cells + 1
        self.fade = np.exp(-readings.order / priors.WARM_UP_BALLS)
        field = prior_field(readings)
        self.prior_mean, self.precision = field.mean, field.precision
        self.log_det_prior = float(np.linalg.slogdet(self.precision)[1])
        spread, rate = np.meshgrid(priors.SPREAD_GRID, np.arange(len(priors.MISHIT_GRID)), indexing="ij")
        self.level = np.log(spread.ravel())
        self.rate = priors.MISHIT_GRID[rate.ravel()]
        self.log_prior = (
            np.log(priors.MISHIT_PRIOR[rate.ravel()])
            - 0.5 * ((self.level - priors.SPREAD_LOG[0]) / priors.SPREAD_LOG[1]) ** 2
        )
        self.hot = np.zeros((len(self.place), self.size - 1))
        self.hot[np.arange(len(self.place)), self.place] = 1.0
        self.cell_hot = np.zeros((len(self.place), self.cells))
        self.cell_hot[np.arange(len(self.place)), readings.cell] = 1.0
        signs = side_factors(readings) + launch_factors(readings) + _allowed(readings.known)
        self.signs = signs.T[:, None]
        self.mean = np.tile(self._start(), (len(self.level), 1))
        self.extra = np.zeros((len(self.level), self.cells))

    def only(self, other: Posterior) -> None:
        """Keeps the grid point that weighs most in another posterior."""
        best = int(np.argmax(other.weight))
        near = (np.abs(self.level - other.level[best]) < 1e-9) & (self.rate == other.rate[best])
        self._keep(near)

    def _keep(self, chosen: NDArray[np.bool_]) -> None:
        for name in ("level", "rate", "log_prior", "mean", "extra"):
            setattr(self, name, getattr(self, name)[chosen])

    def _start(self) -> Floats:
        """Prior mean pulled to the median of each hit cell, through the prior's own correlations."""
        y, weight = np.zeros(self.size - 1), np.zeros(self.size - 1)
        for j in np.unique(self.place):
            values = self.readings.log_carry[self.place == j]
            y[j], weight[j] = np.median(values), len(values) / 0.1**2
        matrix = self.precision.copy()
        matrix[np.arange(self.size - 1), np.arange(self.size - 1)] += weight
        right = self.precision @ self.prior_mean
        right[:-1] += weight * y
        return np.asarray(np.linalg.solve(matrix, right), dtype=float)

    def run(self) -> Posterior:
        for turn in range(ROUNDS):
            if turn == PRUNE_AFTER:
                self._prune()
            before = self.mean
            self._step()
            if np.abs(self.mean - before).max() < 5e-4:
                break
        return self._laplace()

    def _prune(self) -> None:
        """Drops the grid points that are already out of the running."""
        offset = self.mean - self.prior_mean
        fit = log_sum(self._densities()[3]).sum(-1) + self.log_prior
        fit -= 0.5 * np.einsum("gi,ij,gj->g", offset, self.precision, offset)
        self._keep(fit > fit.max() - OUT_OF_REACH)

    def _densities(self) -> tuple[Floats, Floats, Floats, Floats]:
        """Residual (G, n), good scale squared (G, n), class variance (kinds, G, n), log class densities (1 + kinds, G, n).

        The class comes first: sums over a short last axis are several times slower.
        """
        r = self.readings
        residual = r.log_carry - self.mean[:, self.place] - self.mean[:, -1:] * self.fade
        spread2 = np.exp(2 * (self.level[:, None] + self.extra))[:, r.cell] / r.count
        total = spread2 + r.noise
        scale2 = total * (priors.TAIL_DF - 2) / priors.TAIL_DF
        half = (priors.TAIL_DF + 1) / 2
        log_f = np.empty((1 + len(priors.KINDS), *residual.shape))
        log_f[0] = T_CONSTANT - 0.5 * np.log(scale2) - half * np.log1p(residual**2 / (priors.TAIL_DF * scale2))
        log_f[0] += np.log1p(-self.rate)[:, None]
        variance = KIND_VARIANCE + total
        off = residual - KIND_SHIFT
        log_f[1:] = -0.5 * (off * off / variance + np.log(variance))
        log_f[1:] += np.log(self.rate)[:, None] + KIND_LOG_SHARE
        log_f += self.signs
        return residual, scale2, variance, log_f

    def _step(self) -> None:
        residual, scale2, variance, log_f = self._densities()
        classes = _softmax(log_f)
        weight_t = (priors.TAIL_DF + 1) / (priors.TAIL_DF + residual**2 / scale2)
        bad = classes[1:] / variance
        weight = classes[0] * weight_t / scale2 + bad.sum(0)
        pull = weight * residual - (bad * KIND_SHIFT).sum(0)
        matrix = self._normal(weight)
        gradient = self._project(pull) - (self.mean - self.prior_mean) @ self.precision
        self.mean = self.mean + np.linalg.solve(matrix, gradient[..., None])[..., 0]
        z2 = residual**2 / scale2
        strength = classes[0] * (self.readings.count == 1)
        share = np.exp(2 * (self.level[:, None] + self.extra))[:, self.readings.cell]
        share = share / (share + self.readings.noise)
        slope = (strength * (weight_t * z2 - 1) * share) @ self.cell_hot - self.extra / priors.CELL_SPREAD_SD**2
        curve = 2 * (strength * share) @ self.cell_hot * 0.8 + 1 / priors.CELL_SPREAD_SD**2
        self.extra = np.clip(self.extra + slope / curve, -0.6, 0.6)

    def _normal(self, weight: Floats) -> Floats:
        """Prior precision plus the weighted normal matrix of the design (one-hot centres, warm-up fade)."""
        matrix = np.repeat(self.precision[None], len(weight), axis=0)
        diagonal = np.arange(self.size - 1)
        matrix[:, diagonal, diagonal] += weight @ self.hot
        cross = (weight * self.fade) @ self.hot
        matrix[:, :-1, -1] += cross
        matrix[:, -1, :-1] += cross
        matrix[:, -1, -1] += (weight * self.fade**2).sum(-1)
        return matrix

    def _project(self, pull: Floats) -> Floats:
        return np.concatenate([pull @ self.hot, (pull * self.fade).sum(-1, keepdims=True)], axis=1)

    def _side_modes(self) -> Floats:
        """Widening of the variance for the modes beside the one that is expanded: the more mishits, the more of them."""
        return 1 + SIDE_MODES * np.maximum(self.rate - SIDE_MODES_FROM, 0.0)

    def _laplace(self) -> Posterior:
        residual, scale2, variance, log_f = self._densities()
        classes = _softmax(log_f)
        df = priors.TAIL_DF
        slope = np.empty_like(log_f)
        bend = np.empty_like(log_f)
        slope[0] = (df + 1) * residual / (df * scale2 + residual**2)
        bend[0] = -(df + 1) * (df * scale2 - residual**2) / (df * scale2 + residual**2) ** 2
        slope[1:] = (residual - KIND_SHIFT) / variance
        bend[1:] = -1 / variance
        mean_slope = (classes * slope).sum(0)
        curvature = mean_slope**2 - (classes * (slope**2 + bend)).sum(0)
        least = 0.15 * (classes[0] / scale2 + (classes[1:] / variance).sum(0))
        matrix = self._normal(np.maximum(curvature, least))
        log_det = np.linalg.slogdet(matrix)[1]
        offset = self.mean - self.prior_mean
        quadratic = np.einsum("gi,ij,gj->g", offset, self.precision, offset)
        fit = log_sum(log_f).sum(-1)
        strength = classes[0] * (self.readings.count == 1)
        spread_curve = 2 * 0.8 * strength @ self.cell_hot + 1 / priors.CELL_SPREAD_SD**2
        spread_prior = -0.5 * (self.extra**2).sum(-1) / priors.CELL_SPREAD_SD**2
        spread_occam = -0.5 * np.log(spread_curve * priors.CELL_SPREAD_SD**2).sum(-1)
        evidence = fit - 0.5 * quadratic - 0.5 * (log_det - self.log_det_prior) + self.log_prior
        evidence += spread_prior + spread_occam
        top = float(evidence.max())
        weight = np.exp(evidence - top)
        weight /= weight.sum()
        keep = weight > LIGHT
        weight = weight[keep] / weight[keep].sum()
        return Posterior(
            weight=weight,
            mean=self.mean[keep],
            covariance=np.linalg.inv(matrix[keep]) * self._side_modes()[keep, None, None],
            log_spread=(self.level[:, None] + self.extra)[keep],
            log_spread_sd=1 / np.sqrt(spread_curve[keep]),
            rate=self.rate[keep],
            level=self.level[keep],
            classes=np.einsum("g,kgn->nk", weight, classes[:, keep]),
        )


def _softmax(log_f: Floats) -> Floats:
    raised = np.exp(log_f - log_f.max(0))
    return np.asarray(raised / raised.sum(0))


def log_sum(log_f: Floats) -> Floats:
    """Log of the sum of densities over the classes, the first axis."""
    top = log_f.max(0)
    return np.asarray(top + np.log(np.exp(log_f - top).sum(0)))


def _allowed(known: NDArray[np.intp]) -> Floats:
    """Log factors (n, 1 + kinds) for what the player noted: a noted strike is believed, nineteen times in twenty."""
    factor = np.zeros((len(known), 1 + len(priors.KINDS)))
    named = {1: "fat", 2: "thin", 3: "toe"}
    kinds = {code: [k for k, kind in enumerate(priors.KINDS, start=1) if kind == name] for code, name in named.items()}
    for row, code in enumerate(known):
        if code == 0:
            factor[row, 1:] = np.log(0.05)
        elif code > 0:
            factor[row] = np.log(0.05)
            factor[row, kinds[int(code)]] = 0.0
    return factor
