"""The law of warming fitted to readings: where it leads, with an interval. An early warning, never a measurement."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from siteapp.trade.errors import TradeError, in_range

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

COLDEST_C, HOTTEST_C = -40.0, 1000.0
LONGEST_MIN = 20_160.0  # two weeks
FEWEST = 4  # readings at different times: one more than the law has unknowns
MOST_POINTS = 400  # more are put into bins of equal time, whose means are fitted
CONFIDENCE = 0.95
SHORTEST_SHARE, LONGEST_SHARE = 0.01, 1000.0  # of the time logged: how far τ is looked for
GRID = 160
OPEN_C = 1e6  # an upper end further away than this is no end

SOURCE = (
    "T(t) = T∞ − (T∞ − T0)·exp(−t/τ), Newton's law for one body and a constant fire, by nonlinear least squares; "
    "95 % profile interval of T∞ by the F-test"
)
ASSUMPTIONS = (
    "the fire gives the same from its lighting on, and one body warms as a whole",
    "the interval covers the noise of the readings, not a wrong law: a slow wall behind a fast face fools it",
)


@dataclass(frozen=True)
class Fit:
    """The law fitted: temperatures in °C, times in min, `_se` standard errors.

    `final_c_low` and `final_c_high` are the ends of the 95 % profile interval of where it leads, −∞ or ∞ where the
    readings set none. `r2` is 1 − rss/tss. `dof` is readings less unknowns.
    """

    final_c: float
    start_c: float
    time_constant_min: float
    final_c_se: float
    time_constant_se: float
    final_c_low: float
    final_c_high: float
    rss: float
    r2: float
    dof: int


def three_point_final(first_c: float, second_c: float, third_c: float) -> float:
    """Where three readings at equal spacing lead: (c1² − c0·c2)/(2·c1 − c0 − c2), °C, −40…1000 each.

    Exact for the law of one body; an estimate. Raises TradeError outside the range, and when the second step is not
    smaller than the first, since then they lead nowhere.
    """
    told = ("first reading", first_c), ("second reading", second_c), ("third reading", third_c)
    for name, value in told:
        in_range(name, value, COLDEST_C, HOTTEST_C, "°C")
    one, two = second_c - first_c, third_c - second_c
    if one == 0 or not 0 <= two / one < 1:
        message = (
            f"second step is {two:g} °C after a first of {one:g} °C; allowed is a smaller one of the same direction"
        )
        raise TradeError(message)
    return first_c + one / (1 - two / one)


def fit_exponential(minutes: Sequence[float], celsius: Sequence[float], *, start_c: float | None = None) -> Fit:
    """Fit the law to readings: `minutes` 0…20 160 and `celsius` −40…1000, as many of each, in any order.

    `start_c` fixes T0; otherwise it is fitted too. At least 4 different times (3 with `start_c`). Source: SOURCE,
    checked against NIST StRD Misra1a and BoxBOD and lmfit. Assumes ASSUMPTIONS. Raises TradeError outside the ranges,
    and for readings that are all alike.
    """
    import numpy as np

    if len(minutes) != len(celsius):
        message = f"readings are {len(celsius)} for {len(minutes)} times; allowed is one for each"
        raise TradeError(message)
    for at in minutes:
        in_range("time", at, 0, LONGEST_MIN, "min")
    for value in celsius:
        in_range("surface temperature", value, COLDEST_C, HOTTEST_C, "°C")
    unknowns = 3 if start_c is None else 2
    if len(set(minutes)) < unknowns + 1:
        message = f"readings at different times are {len(set(minutes))}; allowed is {unknowns + 1} or more"
        raise TradeError(message)
    law = _Law(np.asarray(minutes, dtype=float), np.asarray(celsius, dtype=float), start_c)
    return law.fit()


class _Law:
    """The readings, and the least squares of them for each time constant: what else is unknown enters linearly."""

    def __init__(self, t: Any, y: Any, start: float | None) -> None:
        import numpy as np

        self.np, self.t, self.y, self.start = np, t, y, start
        span = float(t.max() - t.min())
        self.grid = np.geomspace(span * SHORTEST_SHARE, span * LONGEST_SHARE, GRID)
        self.count, self.unknowns = len(t), 3 if start is None else 2
        self.tss = float(((y - y.mean()) ** 2).sum())
        if self.tss == 0:
            message = f"readings are all {y[0]:g} °C; allowed are readings that differ"
            raise TradeError(message)
        # What does not change with the final temperature is worked out once.
        self.decay = np.exp(-np.outer(1 / self.grid, t))
        self.decay2 = (self.decay**2).sum(axis=1)

    def fit(self) -> Fit:
        """The best law, its errors and its interval."""
        tau = self._lowest(self._free(self.decay), lambda at: float(self._free(self._decay(at))[0]))
        final, first = self._linear(self._decay(tau))
        parameters = self._polished([float(final[0]), float(first[0]), tau])
        final_c, start, tau = parameters
        residuals, slopes = self._residuals(parameters)
        rss = float(residuals @ residuals)
        dof = self.count - self.unknowns
        errors = self._errors(slopes, rss / dof)
        low, high = self._ends(final_c, rss, dof, errors[0])
        return Fit(final_c, start, tau, errors[0], errors[-1], low, high, rss, 1 - rss / self.tss, dof)

    def _decay(self, tau: float) -> Any:
        return self.np.exp(-self.t / tau)[None, :]

    def _linear(self, decay: Any) -> tuple[Any, Any]:
        """Final and start temperature for each row of `decay`."""
        np, y, n = self.np, self.y, self.count
        if self.start is not None:
            grown = 1 - decay
            gain = (grown @ (y - self.start)) / np.maximum((grown**2).sum(axis=1), 1e-300)
            return self.start + gain, np.full(len(decay), self.start)
        mean_e = decay.mean(axis=1)
        spread = np.maximum((decay**2).sum(axis=1) - n * mean_e**2, 1e-300)
        fall = (decay @ y - n * mean_e * y.mean()) / spread
        final = y.mean() - fall * mean_e
        return final, final + fall

    def _free(self, decay: Any) -> Any:
        """Sum of squares for each row of `decay`, final and start temperature at their best."""
        final, first = self._linear(decay)
        residuals = self.y[None, :] - final[:, None] - (first - final)[:, None] * decay
        return (residuals**2).sum(axis=1)

    def _held(self, final: float, decay: Any, decay2: Any) -> Any:
        """The same with the final temperature held."""
        off = self.y - final
        if self.start is not None:
            return ((off[None, :] - (self.start - final) * decay) ** 2).sum(axis=1)
        along = decay @ off
        return float(off @ off) - along**2 / self.np.maximum(decay2, 1e-300)

    def _lowest(self, on_grid: Any, at: Callable[[float], float]) -> float:
        from scipy.optimize import minimize_scalar  # type: ignore[import-untyped]

        best = int(self.np.argmin(on_grid))
        low, high = self.grid[max(best - 1, 0)], self.grid[min(best + 1, GRID - 1)]
        found = minimize_scalar(
            lambda log: at(math.exp(log)), bounds=(math.log(low), math.log(high)), method="bounded",
            options={"xatol": 1e-7},
        )  # fmt: skip
        return math.exp(found.x)

    def _least_held(self, final: float) -> float:
        def at(tau: float) -> float:
            decay = self._decay(tau)
            return float(self._held(final, decay, (decay**2).sum(axis=1))[0])

        return at(self._lowest(self._held(final, self.decay, self.decay2), at))

    def _residuals(self, parameters: list[float]) -> tuple[Any, Any]:
        np = self.np
        final, start, tau = parameters
        decay = self._decay(tau)[0]
        residuals = self.y - (final - (final - start) * decay)
        columns = [1 - decay, decay, -(final - start) * decay * self.t / tau**2]
        if self.start is not None:
            columns = [columns[0], columns[2]]
        return residuals, np.stack(columns, axis=1)

    def _polished(self, parameters: list[float]) -> list[float]:
        """A few Gauss-Newton steps, each taken only when it lowers the sum of squares."""
        np = self.np
        for _step in range(8):
            residuals, slopes = self._residuals(parameters)
            step = np.linalg.lstsq(slopes, residuals, rcond=None)[0]
            change = [step[0], step[1], step[2]] if self.start is None else [step[0], 0.0, step[1]]
            new = [float(old + more) for old, more in zip(parameters, change, strict=True)]
            if new[2] <= 0 or not all(math.isfinite(value) for value in new):
                break
            after = self._residuals(new)[0]
            if not float(after @ after) <= float(residuals @ residuals):
                break
            parameters = new
        return parameters

    def _errors(self, slopes: Any, variance: float) -> list[float]:
        np = self.np
        covariance = np.linalg.pinv(slopes.T @ slopes) * variance
        return [float(math.sqrt(max(value, 0.0))) for value in np.diag(covariance)]

    def _ends(self, best: float, rss: float, dof: int, error: float) -> tuple[float, float]:
        from scipy.stats import f  # type: ignore[import-untyped]

        most = rss * (1 + float(f.ppf(CONFIDENCE, 1, dof)) / dof)
        step = min(max(error, 1e-6 * max(1.0, abs(best))), 1000.0)
        return self._end(best, -step, most), self._end(best, step, most)

    def _end(self, best: float, step: float, most: float) -> float:
        from scipy.optimize import brentq

        if self._least_held(best) >= most:
            return best  # readings without noise leave nothing to either side
        inside, reach = best, step
        while self._least_held(best + reach) < most:
            inside, reach = best + reach, reach * 2
            if abs(reach) > OPEN_C:
                return math.copysign(math.inf, step)
        low, high = sorted((inside, best + reach))
        return float(brentq(lambda final: self._least_held(final) - most, low, high, xtol=1e-5, rtol=1e-9))
