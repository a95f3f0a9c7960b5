"""The model of a bed against another's state space, with known variances."""

from __future__ import annotations

from datetime import timedelta

import numpy as np
import pytest
import statsmodels.api as sm
from statsmodels.tsa.statespace.kalman_smoother import KalmanSmoother

from slurrycalc.deciding.bed import Prior, advanced, bed, day_mean, observed, unread
from slurrycalc.deciding.days import DAYS_PER_MONTH
from slurrycalc.verify.recompute import CALCULATORS
from tests.deciding.bed.records import FIRST, made_up


@pytest.mark.parametrize(
    ("q", "sigma", "seed"), [(0.0, 0.1, 1), (0.02, 0.1, 2), (0.06, 0.03, 3), (0.2, 0.5, 4)]
)
def test_one_node_is_the_local_linear_trend_of_statsmodels(q: float, sigma: float, seed: int) -> None:
    read = made_up(seed, 30)
    months = np.array([(each.day - FIRST).days / DAYS_PER_MONTH for each in read])
    y = np.array([each.mean for each in read])
    h = np.diff(months, append=months[-1] + 1.0)

    theirs = KalmanSmoother(k_endog=1, k_states=2, k_posdef=2)
    theirs.bind(y[:, None])
    theirs["design"] = np.array([[1.0, 0.0]])
    theirs["obs_cov"] = np.array([[sigma**2 / 2 + 0.012**2]])
    theirs["transition"] = np.array([[np.ones_like(h), h], [np.zeros_like(h), np.ones_like(h)]])
    theirs["selection"] = np.eye(2)
    theirs["state_cov"] = q**2 * np.array([[h**3 / 3, h**2 / 2], [h**2 / 2, h]])
    theirs.initialize_known(np.array([y[0], 0.0]), np.diag([100.0, 0.01]))
    found = theirs.filter()

    prior = Prior.known(sigma, q)
    nodes = unread(y[0], prior)
    for k, each in enumerate(read):
        # The sum of squares within a day says nothing of a known scatter: left out of their likelihood.
        nodes = observed(advanced(nodes, months[k]), each.mean, 2, 0.0, each.u)
        nodes_likelihood = nodes.log_likelihood[0] + (k + 1) * np.log(sigma)
        level, rate, a, cov, u = (float(part.item()) for part in nodes.moments)
        assert [level, rate] == pytest.approx(found.filtered_state[:, k], abs=1e-8)
        assert np.array([[a, cov], [cov, u]]) == pytest.approx(found.filtered_state_cov[:, :, k], abs=1e-8)
        assert nodes_likelihood == pytest.approx(found.llf_obs[: k + 1].sum(), abs=1e-8)


def test_the_record_of_a_bed_is_filtered_as_its_months_are() -> None:
    read = made_up(6, 9)
    nodes = unread(read[0].mean, Prior())
    for each in read:
        nodes = advanced(nodes, (each.day - FIRST).days / DAYS_PER_MONTH)
        nodes = observed(nodes, each.mean, each.jars, each.squares, each.u)
    whole = bed(read).nodes
    assert nodes.weight == pytest.approx(whole.weight, abs=1e-14)
    assert nodes.moments == pytest.approx(whole.moments, abs=1e-12)


def test_the_nile_is_filtered_as_statsmodels_does_it() -> None:
    flow = sm.datasets.nile.load_pandas().data["volume"].to_numpy(dtype=float)
    theirs = sm.tsa.UnobservedComponents(flow, "llevel")
    theirs.ssm.initialize_known(np.array([flow[0]]), np.array([[1e7]]))
    found = theirs.filter([15099.0, 1469.1])
    got = CALCULATORS["local_level"](
        {
            "series": flow.tolist(),
            "reading_variance": 15099.0,
            "level_variance": 1469.1,
            "prior_variance": 1e7,
        }
    )
    assert got["level"] == pytest.approx(found.filtered_state[0, -1], abs=1e-8)
    assert got["variance"] == pytest.approx(found.filtered_state_cov[0, 0, -1], abs=1e-6)
    assert got["log_likelihood"] == pytest.approx(found.llf_obs[1:].sum(), abs=1e-8)


def test_the_weights_of_nodes_follow_the_likelihood_of_each() -> None:
    read = [day_mean(FIRST + timedelta(days=30 * k), [6.0 + 0.2 * (k % 2)] * 2, 0.012) for k in range(8)]
    one, other = (Prior.known(sigma) for sigma in (0.05, 0.2))
    alone = [bed(read, prior).nodes.log_likelihood[0] for prior in (one, other)]
    from dataclasses import replace

    both = bed(read, replace(one, scatter=(0.05, 0.2), scatter_expected=(0.1, 2.0)))
    prior_odds = (0.05 / 0.2) ** -2 * np.exp(-(0.1**2) * (1 / 0.05**2 - 1 / 0.2**2))
    small, large = both.nodes.weight[0, 0, :, 0]
    assert np.log(small / large) == pytest.approx(np.log(prior_odds) + alone[0] - alone[1], abs=1e-9)
