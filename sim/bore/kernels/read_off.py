"""What is read off columns: the ripple of a layer, and what a flat gauge foot rests on."""

from __future__ import annotations

import math

import numpy as np

from sim.bore.kernels.pieces import _piece_at
from sim.laws.compiled import SNAP, TURN, njit


@njit
def _least(knots, coef, n, lo_z, hi_z, base_knots, base_coef, base_n, sign):
    """Smallest (sign +1) or largest (-1) of radius less base radius within lo_z..hi_z, and its
    depth.
    """
    best, where = math.inf, math.nan
    j = _piece_at(knots, n, lo_z)
    k = _piece_at(base_knots, base_n, lo_z)
    z = lo_z
    while z < hi_z:
        to = min(hi_z, knots[j + 1], base_knots[k + 1])
        t, u = z - knots[j], z - base_knots[k]
        a = coef[j, 0] + t * (coef[j, 1] + t * coef[j, 2])
        b = coef[j, 1] + 2 * t * coef[j, 2]
        c = coef[j, 2] - base_coef[k, 2]
        a -= base_coef[k, 0] + u * (base_coef[k, 1] + u * base_coef[k, 2])
        b -= base_coef[k, 1] + 2 * u * base_coef[k, 2]
        length = to - z
        for e in range(3):
            x = 0.0 if e == 0 else length
            if e == 2:
                if c == 0.0:
                    break
                x = -b / (2 * c)
                if not 0.0 < x < length:
                    break
            value = sign * (a + x * (b + x * c))
            if value < best:
                best, where = value, z + x
        if to >= knots[j + 1]:
            j += 1
        if to >= base_knots[k + 1]:
            k += 1
        z = to
        if j >= n or k >= base_n:
            break
    return sign * best, where


@njit
def ripple_columns(first, last, clock, wall, base, path, setback, margin, out):
    """Ripple of a layer per column: mean over its turns of crest minus deeper neighbouring valley.

    wall and base: (knots, coef, count); the base wall is taken off first (worn form removed). The
    crest of a bead is sought within half a pitch of where it sits, `setback` [mm] behind the torch
    line; the valley between two neighbouring crests. Turns within `margin` [mm] of the first or
    last depth of the way are left out, closing turns with them, at every clock the same. out (n,):
    ripple [mm], nan where fewer than two turns are left.
    """
    knots, coef, count = wall
    base_knots, base_coef, base_count = base
    phis, depths, arcs, start_clock, turning = path
    most = int(phis[-1] / TURN) + 2
    centre, crest, where, valley = np.empty(most), np.empty(most), np.empty(most), np.empty(most)
    for i in range(first, last):
        phi = (turning * (clock[i] - start_clock)) % TURN
        seg, arc, n = 0, 0, 0
        while phi <= phis[-1]:
            while phi > phis[seg + 1]:
                seg += 1
            z = depths[seg] + (depths[seg + 1] - depths[seg]) * (phi - phis[seg]) / (
                phis[seg + 1] - phis[seg]
            )
            while arc < len(arcs) and phi > arcs[arc, 1]:
                arc += 1
            if (
                arc < len(arcs)
                and phi >= arcs[arc, 0]
                and (n == 0 or abs(z - centre[n - 1]) > SNAP)
            ):
                centre[n] = z
                n += 1
            phi += TURN
        out[i] = math.nan
        if n < 4:
            continue
        feed = 1.0 if centre[n - 1] > centre[0] else -1.0
        for k in range(n):
            half = 0.5 * abs(centre[min(k + 1, n - 1)] - centre[max(k - 1, 0)])
            if 0 < k < n - 1:
                half *= 0.5
            at = centre[k] - feed * setback
            lo, hi = max(at - half, knots[i, 0]), min(at + half, knots[i, count[i]])
            crest[k], where[k] = _least(
                knots[i], coef[i], count[i], lo, hi, base_knots[i], base_coef[i], base_count[i], 1.0
            )
        for k in range(n - 1):
            lo, hi = min(where[k], where[k + 1]), max(where[k], where[k + 1])
            valley[k], _ = _least(
                knots[i],
                coef[i],
                count[i],
                lo,
                hi,
                base_knots[i],
                base_coef[i],
                base_count[i],
                -1.0,
            )
        total, kept = 0.0, 0
        for k in range(1, n - 1):
            if min(abs(centre[k] - depths[0]), abs(centre[k] - depths[-1])) >= margin - SNAP:
                total += max(valley[k - 1], valley[k]) - crest[k]
                kept += 1
        if kept > 1:
            out[i] = total / kept


@njit
def foot_columns(first, last, knots, coef, count, depth, half, out):
    """Smallest radius [mm] under a gauge foot of half length `half` at each depth, into out (n,
    n_depth).
    """
    for i in range(first, last):
        for k in range(len(depth)):
            lo_z, hi_z = depth[k] - half, depth[k] + half
            best = math.inf
            for j in range(_piece_at(knots[i], count[i], lo_z), count[i]):
                z0 = knots[i, j]
                if z0 > hi_z:
                    break
                lo, hi = max(lo_z, z0) - z0, min(hi_z, knots[i, j + 1]) - z0
                a, b, c = coef[i, j, 0], coef[i, j, 1], coef[i, j, 2]
                best = min(best, a + lo * (b + lo * c), a + hi * (b + hi * c))
                if c > 0.0:
                    t = -b / (2 * c)
                    if lo < t < hi:
                        best = min(best, a + t * (b + t * c))
            out[i, k] = best
