"""The law of warming against certified sets, another library, a closed form, and itself a thousand times."""

from __future__ import annotations

import math
import random

import pytest

from siteapp.trade.heat import fit_exponential, heat_test, heat_verdict, three_point_final

# NIST StRD, nonlinear regression, Misra1a (lower difficulty), y = b1(1 − exp(−b2 x)); data and certified values from
# memory: https://www.itl.nist.gov/div898/strd/nls/data/misra1a.shtml
MISRA_X = [77.6, 114.9, 141.1, 190.8, 239.9, 289.0, 332.8, 378.4, 434.8, 477.3, 536.8, 593.1, 689.1, 760.0]
MISRA_Y = [10.07, 14.73, 17.94, 23.93, 29.61, 35.18, 40.02, 44.82, 50.76, 55.05, 61.01, 66.40, 75.47, 81.78]
MISRA = {"b1": 2.3894212918e02, "b2": 5.5015643181e-04, "sd1": 2.7070075241, "sd2": 7.2668688436e-06}
MISRA_RSS = 1.2455138894e-01
# The same collection, BoxBOD (higher difficulty), from memory: its distant start (1, 1) leads many programs astray.
BOX_X = [1.0, 2.0, 3.0, 5.0, 7.0, 10.0]
BOX_Y = [109.0, 149.0, 149.0, 191.0, 213.0, 224.0]
BOX = {"b1": 2.1380940889e02, "b2": 5.4723748542e-01, "sd1": 1.2354515176e01, "sd2": 1.0455993237e-01}
BOX_RSS = 1.1680088766e03
# A log of 90 min made from the law (T∞ 68 °C, τ 35 min) with noise; fit and interval computed with lmfit 1.3.4
# (Model.fit, conf_interval) and scipy 1.17.1.
SOAK = list(zip(range(0, 100, 10), [20.1, 31.6, 41.1, 48.0, 52.5, 56.4, 59.7, 61.1, 63.2, 64.3], strict=True))


@pytest.mark.parametrize(
    ("x", "y", "certified", "rss"), [(MISRA_X, MISRA_Y, MISRA, MISRA_RSS), (BOX_X, BOX_Y, BOX, BOX_RSS)]
)
def test_certified_sets_of_the_same_law_are_met(
    x: list[float], y: list[float], certified: dict[str, float], rss: float
) -> None:
    fit = fit_exponential(x, y, start_c=0.0)
    rate = 1 / fit.time_constant_min
    assert fit.final_c == pytest.approx(certified["b1"], rel=1e-6)
    assert rate == pytest.approx(certified["b2"], rel=1e-6)
    assert fit.final_c_se == pytest.approx(certified["sd1"], rel=1e-6)
    assert fit.time_constant_se * rate**2 == pytest.approx(certified["sd2"], rel=1e-6)
    assert fit.rss == pytest.approx(rss, rel=1e-8)


def test_a_log_of_ninety_minutes_leads_where_another_library_says() -> None:
    found = heat_test(SOAK)
    assert found.final_c == pytest.approx(67.8537005393, abs=1e-3)
    assert found.time_constant_min == pytest.approx(34.7060370857, abs=1e-3)
    assert found.start_c == pytest.approx(19.974127966, abs=1e-3)
    assert found.final_c_low == pytest.approx(66.975956212, abs=0.05)
    assert found.final_c_high == pytest.approx(68.8005127281, abs=0.05)
    assert found.plateau_c is None
    assert not found.long_enough


def test_the_interval_is_lmfits_by_live_run() -> None:
    import lmfit  # https://lmfit.github.io/lmfit-py/confidence.html
    import numpy as np

    rng = np.random.default_rng(20261126)
    t = np.arange(0.0, 120.0, 7.5)
    y = 71.0 - 49.0 * np.exp(-t / 41.0) + rng.normal(0.0, 0.5, len(t))
    model = lmfit.Model(lambda x, final, start, tau: final - (final - start) * np.exp(-x / tau))
    result = model.fit(y, x=t, final=70.0, start=20.0, tau=40.0)
    low, _best, high = (value for prob, value in result.conf_interval(sigmas=[0.95])["final"] if prob in {0.95, 0.0})
    fit = fit_exponential(t.tolist(), y.tolist())
    assert fit.final_c == pytest.approx(result.params["final"].value, abs=1e-3)
    assert fit.final_c_se == pytest.approx(result.params["final"].stderr, rel=1e-3)
    assert (fit.final_c_low, fit.final_c_high) == pytest.approx((low, high), abs=5e-3)


# For the law itself three equally spaced readings tell where it leads, in closed form: with r = exp(−Δ/τ),
# c1 − c0 = (T∞ − T0)(1 − r) and c2 − c1 = r(c1 − c0), so T∞ = c0 + (c1 − c0)/(1 − r). High-school algebra.
@pytest.mark.parametrize(("final_c", "start_c", "tau", "step"), [(68, 20, 35, 20), (140, 18, 90, 15), (45, 22, 12, 30)])
def test_three_readings_lead_where_the_closed_form_says(
    final_c: float, start_c: float, tau: float, step: float
) -> None:
    told = [final_c - (final_c - start_c) * math.exp(-at * step / tau) for at in range(3)]
    assert three_point_final(*told) == pytest.approx(final_c, abs=1e-9)


# 1 − exp(−2) = 0.864664716763: after two time constants 86 % of the rise is done.
def test_after_two_time_constants_the_fit_has_seen_the_share_of_the_rise_that_the_law_gives() -> None:
    t = [2.0 * at for at in range(36)]
    y = [20 + 50 * (1 - math.exp(-at / 35)) for at in t]
    found = heat_test(zip(t, y, strict=True))
    assert (y[-1] - 20) / (found.final_c - 20) == pytest.approx(0.864664716763, abs=1e-6)


def test_the_interval_holds_the_truth_ninety_five_times_in_a_hundred() -> None:
    rng = random.Random(68)
    held = 0
    for _run in range(2000):
        final_c, tau = rng.uniform(45, 110), rng.uniform(15, 60)
        spacing, noise = rng.choice((2.5, 5.0, 7.5)), rng.uniform(0.1, 0.6)
        t = [spacing * at for at in range(int(rng.uniform(1.5, 4) * tau / spacing) + 4)]
        y = [final_c - (final_c - 20) * math.exp(-at / tau) + rng.gauss(0, noise) for at in t]
        fit = fit_exponential(t, y)
        held += fit.final_c_low <= final_c <= fit.final_c_high
    assert 0.93 <= held / 2000 <= 0.97


def test_a_log_made_from_the_law_is_not_met_before_it_stands_still() -> None:
    """The fit is right to a thousandth here, and still it is only an estimate."""
    t = [2.0 * at for at in range(46)]
    y = [20 + 30 * (1 - math.exp(-at / 35)) for at in t]
    found = heat_test(zip(t, y, strict=True))
    assert found.final_c == pytest.approx(50, abs=1e-3)
    told = heat_verdict(found, {"laminate": 90.0}, room_now_c=20, hottest_room_c=25)
    assert told.verdict == "cannot tell"
    assert told.expected_c is None
