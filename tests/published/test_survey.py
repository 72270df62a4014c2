"""The hole survey against published examples and independent libraries; the source stands beside each check."""

from __future__ import annotations

import math
import random

import numpy as np
import pytest
from scipy.optimize import least_squares, minimize
from scipy.spatial import procrustes
from scipy.spatial.transform import Rotation
from scipy.stats import chi2, norm
from shapely import MultiPoint, minimum_bounding_radius

from siteapp.trade import survey
from siteapp.trade.survey import HeightReading, Hole, TapeReading, adjust, best_fit, offer_up
from siteapp.trade.survey.hole import reach_of_error
from siteapp.trade.survey.pose import Bolts
from siteapp.trade.survey.readings import tape_sd_mm

TRIPOD = {"A": (0.0, 0.0), "B": (2000.0, 0.0), "C": (2000.0, 1500.0), "D": (0.0, 1500.0)}


def tapes_to(point: str, distances: dict[str, float], sd_mm: float = 1.0) -> list[TapeReading]:
    return [TapeReading(known, point, distance, sd_mm) for known, distance in distances.items()]


def test_ghilanis_example_of_three_distances_to_one_station() -> None:
    # Ghilani, Adjustment Computations, chapter 14, worksheet "Example 14.2": inputs read; results computed with scipy's
    # least_squares (the book prints 6861.32, 3727.82 and ±0.10, from memory). Feet there: the unit does not matter.
    near = {"A": (865.4, 4527.15), "B": (2432.55, 2047.25), "C": (2865.22, 27.15), "U": (6860.0, 3727.0)}
    result = adjust(tapes_to("U", {"A": 6049.00, "B": 4736.83, "C": 5446.49}), near, fixed="ABC")
    assert result.points["U"] == pytest.approx((6861.31678772, 3727.81856571), abs=1e-5)
    assert result.residuals == pytest.approx((-0.0373726460566, 0.0767928418709, -0.0473655769829), abs=1e-6)
    assert result.reference_sd == pytest.approx(0.0976593729183, abs=1e-6)
    spread = np.sqrt(np.diag(result.covariance))[-2:] * result.reference_sd
    assert spread == pytest.approx((0.0775263494158, 0.154248908531), abs=1e-6)
    assert result.suspects == ()


def test_four_tapes_to_one_hole() -> None:
    # Invented readings; computed with scipy 1.17.1 and, for the redundancies, statsmodels' influence measures.
    near = {**TRIPOD, "U": (700.0, 400.0)}
    result = adjust(tapes_to("U", {"A": 837.9, "B": 1333.6, "C": 1674.0, "D": 1312.6}), near, fixed="ABCD")
    assert result.points["U"] == pytest.approx((730.659159644, 409.350799586), abs=1e-4)
    assert result.residuals == pytest.approx(
        (-0.385292849519, 0.114454491036, -0.458292315637, 0.17510866642), abs=1e-4
    )
    assert result.redundancy == pytest.approx((0.57193389599, 0.550367376478, 0.522157489411, 0.355541238121), abs=1e-5)
    assert result.standardised == pytest.approx((-0.509469314, 0.154278887, -0.634222755, 0.293672074), abs=1e-4)
    assert np.array(result.covariance)[-2:, -2:] == pytest.approx(
        np.array([[0.394805947798, -0.0453130144882], [-0.0453130144882, 0.695791538361]]), abs=1e-5
    )
    assert result.reference_sd is not None
    squares = result.reference_sd**2 * 2
    assert squares == pytest.approx(0.402245302036, abs=1e-5)
    # Two degrees of freedom: within the 95 % bounds of chi-square, computed with scipy.
    assert chi2.ppf(0.025, 2) < squares < chi2.ppf(0.975, 2)


def test_five_tapes_that_are_left_when_a_wrong_one_is_taken_out() -> None:
    # Invented readings; computed with scipy 1.17.1.
    near = {
        "A": (0.0, 0.0),
        "B": (2000.0, 0.0),
        "D": (0.0, 1500.0),
        "E": (1000.0, 0.0),
        "F": (0.0, 750.0),
        "U": (730.0, 410.0),
    }
    good = {"A": 837.9, "B": 1333.6, "D": 1312.6, "E": 490.6, "F": 805.5}
    result = adjust(tapes_to("U", good), near, fixed="ABDEF")
    assert result.points["U"] == pytest.approx((730.692746017, 409.935007366), abs=1e-4)
    assert result.standardised == pytest.approx(
        (-0.129319250156, 0.31171522201, -0.365512906225, -0.147779068638, 0.527020386723), abs=1e-4
    )
    # The same with a sixth that is 15 mm out: it is named, set aside, and the rest come out as before.
    wrong = TapeReading("C", "U", math.dist((2000, 1500), (730.69, 409.94)) + 15, 1.0)
    spoilt = adjust([*tapes_to("U", good), wrong], {**near, "C": (2000.0, 1500.0)}, fixed="ABCDEF")
    assert spoilt.suspects == spoilt.set_aside == (wrong,)
    assert spoilt.points["U"] == pytest.approx(result.points["U"], abs=1e-4)


def test_baardas_figures_are_quantiles_of_the_normal_distribution() -> None:
    # Baarda 1968 prints 3.29 and 4.13 (from memory); computed with scipy.stats.norm.
    assert pytest.approx(norm.ppf(1 - 0.001 / 2), rel=1e-12) == survey.CRITICAL
    assert pytest.approx(norm.ppf(1 - 0.001 / 2) + norm.ppf(0.8), rel=1e-12) == survey.FINDABLE
    assert (round(survey.CRITICAL, 2), round(survey.FINDABLE, 2)) == (3.29, 4.13)


def test_a_class_two_tape() -> None:
    # 0.3 mm + 0.2 mm per metre: Measuring Instruments Directive, class II, from memory.
    assert [tape_sd_mm(1000 * metres) for metres in (1, 2, 5)] == pytest.approx([0.5, 0.7, 1.3])


def test_a_free_network_against_scipys_least_squares() -> None:
    # Independent: scipy.optimize.least_squares on the same distances and heights; its places are compared by what does
    # not depend on the datum, their distances from one another, and so is the covariance, by the spread of a distance.
    chance = random.Random(4)
    true = {"A": (0.0, 0.0), "B": (1210.0, 4.0), "C": (1190.0, 795.0), "D": (-5.0, 803.0), "E": (600.0, 400.0)}
    labels = list(true)
    tapes = [
        TapeReading(a, b, math.dist(true[a], true[b]) + chance.gauss(0, 0.4), 0.5)
        for a in labels
        for b in labels
        if a < b
    ]
    heights = [HeightReading(label, true[label][1] - 300 + chance.gauss(0, 1)) for label in labels]
    result = adjust([*tapes, *heights], true)

    def off(unknown: np.ndarray) -> np.ndarray:
        xy, line = unknown[:-1].reshape(-1, 2), unknown[-1]
        place = dict(zip(labels, xy, strict=True))
        ours = [(math.dist(place[t.a], place[t.b]) - t.distance_mm) / 0.5 for t in tapes]
        return np.array([*ours, *((place[h.label][1] - line - h.height_mm) / h.sd_mm for h in heights)])

    theirs = least_squares(
        off, np.array([*(value for place in true.values() for value in place), 300.0]), xtol=1e-14, ftol=1e-14
    )
    xy = theirs.x[:-1].reshape(-1, 2)
    placed = np.array([result.points[label] for label in labels])
    assert result.reference_sd == pytest.approx(math.sqrt(2 * theirs.cost / (len(theirs.fun) - 9)), rel=1e-6)
    cofactor = np.linalg.pinv(theirs.jac.T @ theirs.jac, rcond=1e-10)[:-1, :-1]
    for a, b in [(0, 2), (1, 3), (0, 4)]:
        assert math.dist(placed[a], placed[b]) == pytest.approx(math.dist(xy[a], xy[b]), abs=1e-4)
        step = (placed[b] - placed[a]) / math.dist(placed[a], placed[b])
        along = np.zeros(10)
        along[2 * a : 2 * a + 2], along[2 * b : 2 * b + 2] = -step, step
        scale = max(1.0, result.reference_sd or 0.0) ** 2
        assert along @ np.array(result.covariance) @ along == pytest.approx(
            scale * (along @ cofactor @ along), rel=1e-4
        )


def test_a_rigid_fit_against_scipys_rotation() -> None:
    # Computed with scipy.spatial.transform.Rotation.align_vectors, in the plane z = 0.
    chance = random.Random(7)
    for _ in range(20):
        template = {str(n): (chance.uniform(0, 2000), chance.uniform(0, 1500)) for n in range(chance.randint(2, 8))}
        angle = chance.uniform(-math.pi, math.pi)
        measured = {
            label: (
                math.cos(angle) * x - math.sin(angle) * y + 300 + chance.gauss(0, 3),
                math.sin(angle) * x + math.cos(angle) * y - 70 + chance.gauss(0, 3),
            )
            for label, (x, y) in template.items()
        }
        fit = best_fit(template, measured)
        drawn, found = np.array(list(template.values())), np.array(list(measured.values()))
        # One vector straight out of the wall, the same for both, holds scipy's turn in the plane.
        out = np.array([[0.0, 0.0, 1e4]])
        flat = [np.vstack([np.pad(xy - xy.mean(axis=0), ((0, 0), (0, 1))), out]) for xy in (found, drawn)]
        turned, left = Rotation.align_vectors(*flat)
        ours = math.radians(fit.rotation_deg)
        expected = np.array([[math.cos(ours), -math.sin(ours)], [math.sin(ours), math.cos(ours)]])
        assert turned.as_matrix()[:2, :2] == pytest.approx(expected, abs=1e-6)
        assert fit.rms_mm * math.sqrt(len(template)) == pytest.approx(left, abs=1e-4)


def test_a_mirrored_figure_is_not_fitted_by_mirroring() -> None:
    # SciPy's documentation of spatial.procrustes (from memory): b is a doubled and mirrored, and procrustes, which may
    # mirror and scale, leaves nothing over. A rigid fit must leave something, and say that the mirror image fits.
    a = [[1, 3], [1, 2], [1, 1], [2, 1]]
    b = [[4, -2], [4, -4], [4, -6], [2, -6]]
    assert procrustes(np.array(a, float), np.array(b, float))[2] == pytest.approx(0, abs=1e-12)
    template = {str(n): (10.0 * x, 10.0 * y) for n, (x, y) in enumerate(a)}
    measured = {str(n): (5.0 * x, 5.0 * y) for n, (x, y) in enumerate(b)}
    fit = best_fit(template, measured)
    assert fit.rms_mm > 1
    assert fit.mirrored
    assert fit.mirrored_rms_mm == pytest.approx(0, abs=1e-9)


def test_two_holes_a_pitch_apart_share_the_error() -> None:
    # By hand: 2.4 mm too far apart is 1.2 mm at each.
    holes = [Hole("A", 0, 0, 10, 13), Hole("B", 800, 0, 10, 13)]
    result = offer_up(holes, {"A": (0.0, 0.0), "B": (802.4, 0.0)})
    assert result.least_slack_mm == pytest.approx(1.5 - 1.2, abs=1e-5)
    assert (result.shift_x_mm, result.shift_y_mm) == pytest.approx((1.2, 0.0), abs=1e-3)
    assert result.rotation_deg == pytest.approx(0, abs=1e-3)
    assert result.verdict == "met"


def test_shifting_alone_is_the_smallest_circle_around_the_misfits() -> None:
    # Computed with shapely's minimum_bounding_radius; the first row also stands in the check values, 1.0795526.
    chance = random.Random(2)
    rows = [[(1.0, 0.2), (-0.6, 0.9), (0.1, -1.1), (0.4, 0.5)]]
    rows += [[(chance.gauss(0, 2), chance.gauss(0, 2)) for _ in range(chance.randint(2, 9))] for _ in range(15)]
    for row in rows:
        number = len(row)
        spots = np.array([(500.0 * n, 300.0 * (n % 2)) for n in range(number)])
        bolts = Bolts(spots, spots + np.array(row), np.zeros(number), np.tile([1.0, 0.0], (number, 1)))
        place = bolts.least(np.zeros(number), 0.0, shares=np.ones((number, 1)), extra_cost=(1.0,), extra_low=None)
        assert place is not None
        assert place.extra[0] == pytest.approx(minimum_bounding_radius(MultiPoint(row)), abs=1e-5)
    assert minimum_bounding_radius(MultiPoint(rows[0])) == pytest.approx(1.07955260067, abs=1e-9)


def test_the_most_room_against_a_brute_force_search() -> None:
    # Independent: scipy's Nelder–Mead from many starts, on the plain distances (slots by their own geometry).
    chance = random.Random(11)
    for _ in range(3):
        number = chance.randint(2, 7)
        holes = [
            Hole(
                str(n),
                chance.uniform(0, 1500),
                chance.uniform(0, 900),
                10,
                18,
                chance.choice([0, 0, 20]),
                chance.uniform(0, 180),
            )
            for n in range(number)
        ]
        measured = {h.label: (h.x_mm + 4 + chance.gauss(0, 2), h.y_mm - 6 + chance.gauss(0, 2)) for h in holes}
        result = offer_up(holes, measured)
        spots = np.array([(h.x_mm, h.y_mm) for h in holes])
        bolts = np.array(list(measured.values()))
        middle = spots.mean(axis=0)

        def tightest(at: np.ndarray, holes=holes, spots=spots, bolts=bolts, middle=middle) -> float:
            turn = math.radians(min(max(at[2], -0.3), 0.3))
            cos, sin = math.cos(turn), math.sin(turn)
            there = (spots - middle) @ np.array([[cos, sin], [-sin, cos]]) + middle + at[:2]
            short = []
            for hole, spot, bolt in zip(holes, there, bolts, strict=True):
                angle = math.radians(hole.slot_deg) + turn
                axis = np.array([math.cos(angle), math.sin(angle)])
                along = min(max(float((bolt - spot) @ axis), -hole.slot_mm / 2), hole.slot_mm / 2)
                short.append(float(np.hypot(*(bolt - spot - along * axis))) - 4)
            return max(short)

        starts = [(4 + chance.gauss(0, 1.5), -6 + chance.gauss(0, 1.5), chance.uniform(-0.3, 0.3)) for _ in range(8)]
        options = {"xatol": 1e-8, "fatol": 1e-9, "maxiter": 3000}
        best = min(minimize(tightest, start, method="Nelder-Mead", options=options).fun for start in starts)
        assert result.least_slack_mm is not None
        # Never worse than the search; the search itself may stop a little short.
        assert result.least_slack_mm >= -best - 1e-5
        assert result.least_slack_mm == pytest.approx(-best, abs=2e-3)


def test_the_reach_of_an_error_in_the_plane() -> None:
    # Circular errors: √χ²(2); along one line: the normal's two-sided quantile. Computed with scipy.
    assert reach_of_error(np.eye(2) * 4.0, 0.05) == pytest.approx(2 * math.sqrt(chi2.ppf(0.95, 2)), rel=1e-6)
    assert reach_of_error(np.diag([9.0, 0.0]), 0.05) == pytest.approx(3 * norm.ppf(0.975), rel=2e-2)
    # Between them, against a million draws of numpy's generator.
    draws = np.random.default_rng(3).normal(size=(1_000_000, 2)) * [2.0, 0.7]
    reach = reach_of_error(np.diag([4.0, 0.49]), 0.01)
    assert float((np.hypot(*draws.T) > reach).mean()) == pytest.approx(0.01, abs=5e-4)
