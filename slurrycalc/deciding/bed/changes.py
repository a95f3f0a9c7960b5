"""What moves a bed's level between readings: an exchange, an unknown step, new bottles; a trial's r."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from slurrycalc.deciding.bed.nodes import Flags, Nodes, along, renewed
from slurrycalc.deciding.bed.prior import BUFFERING_NODES, Floats, buffering_nodes


def exchanged(nodes: Nodes, fraction: object, mix: object, u_mix: object) -> Nodes:
    """Replace a part of each bed by fresh mix.

    Parameters
    ----------
    nodes : Nodes
        As they stand on that day.
    fraction : float or array
        Part of the volume, 0 to 1; 0 leaves a bed as it is. [1]
    mix, u_mix : float or array
        pH of the mix as measured, and its standard uncertainty without what all readings share. [pH]

    Returns
    -------
    Nodes
        C' = (1 - f) C + f r and φ = f r / C': the level moves by φ (mix - level), the rate becomes v C / C'.
        Where the mix ages to the bed's capacity, C is 1 before and after.
    """
    f = along(fraction)
    done = f > 0.0
    if not done.any():
        return nodes
    nodes = _opened(nodes)
    prior, kept = nodes.grid.prior, nodes.kept
    before, after, phi = _mixed(nodes, f)
    thinned = np.where(kept > 0.0, before / after, 1.0)  # the same load of acid on the new capacity
    level, rate, a, k, u = nodes.moments
    gap = along(mix) - level
    uneven = (phi * along(u_mix)) ** 2 + (prior.placement_share * phi) ** 2 * (gap * gap + a)
    moments = np.empty(np.broadcast_shapes(nodes.moments.shape, (5, *phi.shape)))
    moments[0] = level + phi * gap
    moments[1] = thinned * rate
    moments[2] = (1.0 - phi) ** 2 * a + uneven + np.where(done, prior.placement_fixed**2, 0.0)
    moments[3] = (1.0 - phi) * thinned * k
    moments[4] = thinned**2 * u + np.where(done, prior.exchange_rate**2, 0.0)
    stay = (1.0 - f) ** prior.scatter_stays
    weight, moments = renewed(nodes.weight, moments, 2, stay, nodes.grid.scatter_weight)
    return replace(
        nodes,
        weight=weight,
        moments=moments,
        capacity=np.where(kept > 0.0, after, 1.0),
        taught=nodes.taught | done.reshape(-1),
    )


def exchange_step(
    nodes: Nodes, fraction: object, mix: object, u_mix: object
) -> tuple[Floats, Floats, Floats]:
    """Give the step that an exchange makes at each node: weight, mean [pH] and variance [pH^2]."""
    nodes = _opened(nodes)
    _, _, phi = _mixed(nodes, along(fraction))
    prior = nodes.grid.prior
    level, a = nodes.moments[0], nodes.moments[2]
    gap = along(mix) - level
    variance = phi**2 * (a + along(u_mix) ** 2 + prior.placement_share**2 * (gap * gap + a))
    return nodes.weight, phi * gap, variance + prior.placement_fixed**2


def _mixed(nodes: Nodes, f: Floats) -> tuple[Floats, Floats, Floats]:
    """Give the capacity before and after an exchange, and the weight φ that fresh mix has in the bed's pH."""
    before = np.where(nodes.kept > 0.0, nodes.capacity, 1.0)
    after = (1.0 - f) * before + f * nodes.ratio
    return before, after, f * nodes.ratio / after


def ratio_tried(nodes: Nodes, log_ratio: object, u: object, on: Flags | None = None) -> Nodes:
    """Take in what a trial in jars says of r, fresh mix over the bed as it is now.

    Parameters
    ----------
    nodes : Nodes
    log_ratio, u : float or array
        ln r and its standard uncertainty. [1]
    on : array of bool, optional
        Beds for which there was one.

    Returns
    -------
    Nodes
        Before any exchange the nodes of r are laid about the trial's; afterwards they are weighed by it.
    """
    nodes = _opened(nodes)
    beds = nodes.beds
    tried = np.ones(beds, dtype=bool) if on is None else on
    found = np.broadcast_to(np.asarray(log_ratio, dtype=float), (beds,))
    spread = np.broadcast_to(np.asarray(u, dtype=float), (beds,))
    new = (tried & ~nodes.taught).reshape(-1, 1, 1, 1)
    ratio, _, share = buffering_nodes(nodes.grid.prior, spread, found)
    own = nodes.weight.sum(axis=3, keepdims=True) * share
    weight = np.where(new, own, nodes.weight)
    known = (tried & nodes.taught).reshape(-1, 1, 1, 1)
    if known.any():
        # A node stands for all ratios half-way to its neighbours.
        between = nodes.grid.prior.buffering**2 / 12.0
        off = np.log(nodes.ratio / nodes.capacity) - along(found)
        log_weight = np.where(known, -0.5 * off * off / (along(spread) ** 2 + between), 0.0)
        weight = weight * np.exp(log_weight - log_weight.max(axis=3, keepdims=True))
        weight = np.maximum(weight / weight.sum(axis=(1, 2, 3), keepdims=True), np.finfo(float).tiny)
    return replace(nodes, weight=weight, ratio=np.where(new, ratio, nodes.ratio), taught=nodes.taught | tried)


def disturbed(nodes: Nodes, on: Flags | None = None) -> Nodes:
    """Free level and rate: calcium, charcoal, a new mix, an exchange whose part or mix is not on record."""
    prior = nodes.grid.prior
    moved = (np.ones(nodes.beds, dtype=bool) if on is None else on).reshape(-1, 1, 1, 1)
    moments = nodes.moments.copy()
    moments[2] += np.where(moved, prior.disturbed_level**2, 0.0)
    moments[4] += np.where(moved, prior.disturbed_rate**2, 0.0)
    stay = np.where(moved, 1.0 - prior.disturbed_scatter, 1.0)
    weight, moments = renewed(nodes.weight, moments, 2, stay, nodes.grid.scatter_weight)
    return replace(nodes, weight=weight, moments=moments)


def bench_moved(nodes: Nodes, u: object) -> Nodes:
    """Let the level as it is measured move by an unknown amount, u [pH], as with new bottles or electrode."""
    moments = nodes.moments.copy()
    moments[2] += along(u) ** 2
    return replace(nodes, moments=moments)


def _opened(nodes: Nodes) -> Nodes:
    """Lay out the nodes of r, where none has been needed so far."""
    if nodes.ratio.shape[3] > 1:
        return nodes
    spread = np.full(nodes.beds, nodes.grid.prior.buffering)
    ratio, kept, share = buffering_nodes(nodes.grid.prior, spread, np.zeros(nodes.beds))
    many = 2 * len(BUFFERING_NODES)
    return replace(
        nodes,
        weight=nodes.weight * share,
        moments=np.repeat(nodes.moments, many, axis=4),
        ratio=ratio,
        kept=np.broadcast_to(kept, ratio.shape),
        capacity=np.ones(ratio.shape),
    )
