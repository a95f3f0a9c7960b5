"""Gathering a batch anew changes no number, no doubt and no correlation."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from uncertainties import UFloat, covariance_matrix, ufloat

from slurrycalc.metrology.batch import Batch
from slurrycalc.metrology.batches import means, split
from slurrycalc.metrology.remark import Refusal


def numbers(n: int, seed: int) -> list[UFloat]:
    rng = np.random.default_rng(seed)
    inputs = [ufloat(0.0, 0.02) for _ in range(4)]
    found = []
    for _ in range(n):
        shared = sum(w * each for w, each in zip(rng.normal(size=4), inputs, strict=True) if w > 0.0)
        found.append(rng.normal(5.6, 0.1) + ufloat(0.0, 0.01) + shared)
    return found


def covariances(batch: Batch) -> np.ndarray:
    return np.array(covariance_matrix([batch.number(i) for i in range(len(batch))]))


@given(st.lists(st.integers(0, 3), min_size=1, max_size=9), st.integers(0, 999))
def test_means_are_those_of_separate_numbers(marks: list[int], seed: int) -> None:
    _, group = np.unique(marks, return_inverse=True)
    separate = numbers(len(marks), seed)
    found = means(Batch.of(separate), group)
    averaged = []
    for g in range(int(group.max()) + 1):
        own = [y for y, mark in zip(separate, group, strict=True) if mark == g]
        averaged.append(sum(own[1:], start=own[0]) / len(own))
    assert found.values == pytest.approx([y.n for y in averaged])
    assert covariances(found) == pytest.approx(np.array(covariance_matrix(averaged)), abs=1e-15)


@given(st.lists(st.integers(0, 3), min_size=1, max_size=9), st.integers(0, 999))
def test_parts_hold_their_own_and_stay_correlated(marks: list[int], seed: int) -> None:
    _, owner = np.unique(marks, return_inverse=True)
    separate = numbers(len(marks), seed)
    whole = Batch.of(separate)
    parts = split(whole, owner)
    again = [part.number(i) for part in parts for i in range(len(part))]
    order = np.argsort(owner, kind="stable")
    assert [y.n for y in again] == [separate[i].n for i in order]
    expected = np.array(covariance_matrix([whole.number(i) for i in order]))
    assert np.array(covariance_matrix(again)) == pytest.approx(expected, abs=1e-15)
    for part in parts:
        assert len(part.inputs) == len(set(part.loadings.col.tolist()))


@pytest.mark.parametrize("group", [[0], [0, 1, 3], [-1, 0, 1], [0.5, 1.0, 2.0], [[0, 1, 2]]])
def test_numbers_that_do_not_fit_are_refused(group: list[int]) -> None:
    for gather in (means, split):
        with pytest.raises(Refusal):
            gather(Batch.of([5.4, 5.5, 5.6]), group)
