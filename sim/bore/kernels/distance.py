"""Distances of columns to a cylinder about another axis: least, largest, beyond, by cell; boring to
it.
"""

from __future__ import annotations

import math

from sim.bore.kernels.pieces import _piece_at, _roots
from sim.laws.compiled import SNAP, njit


@njit
def _distance(a, b, c, t, z0, sin, cos, shift):
    """Distance [mm] from a second axis of the wall point at depth z0 + t, see `extreme_columns`."""
    r = a + t * (b + t * c)
    z = z0 + t
    x = r * sin + shift[0] + shift[2] * z
    y = -r * cos + shift[1] + shift[3] * z
    return math.sqrt(x * x + y * y)


@njit
def _farthest(a, b, c, lo, hi, z0, sin, cos, shift, sign):
    """Largest (sign +1) or least distance, times sign, on lo..hi of a piece, and where: its ends
    and its vertex.
    """
    best, where = -math.inf, math.nan
    lean = shift[2] * sin - shift[3] * cos
    for k in range(3):
        t = lo if k == 0 else hi
        if k == 2:
            if c == 0.0:
                break
            t = -(b + lean) / (2 * c)
            if not lo < t < hi:
                break
        d = sign * _distance(a, b, c, t, z0, sin, cos, shift)
        if d != d:
            return d, t
        if d > best:
            best, where = d, t
    return best, where


@njit
def _crossings(a, b, c, lo, length, z0, sin, cos, shift, limit):
    """Distance less `limit` on lo..lo + length of a piece as a parabola through its two ends and
    its middle.

    Returns its three coefficients, from lo on, and its roots inside.
    """
    d0 = _distance(a, b, c, lo, z0, sin, cos, shift) - limit
    d1 = _distance(a, b, c, lo + 0.5 * length, z0, sin, cos, shift) - limit
    d2 = _distance(a, b, c, lo + length, z0, sin, cos, shift) - limit
    qc = 2 * (d0 - 2 * d1 + d2) / (length * length)
    qb = (d2 - d0) / length - qc * length
    r1, r2 = _roots(d0, qb, qc, length)
    return d0, qb, qc, r1, r2


@njit
def extreme_columns(first, last, clock, knots, coef, count, shift, spans, sign, out):
    """Largest (sign +1) or smallest (sign -1) distance of each column from a second axis.

    shift (x, y, x per mm, y per mm): the column axis less the second axis at depth 0, and its
    slope. spans (n, k, 2): depth ranges looked at, empty where hi <= lo. out (n, 2): distance and
    depth; nan where the column has nothing to look at, or a wall that is not a number. Read at
    knots and vertices.
    """
    for i in range(first, last):
        sin, cos = math.sin(clock[i]), math.cos(clock[i])
        best, where = -math.inf, math.nan
        for s in range(spans.shape[1]):
            lo_z, hi_z = spans[i, s, 0], spans[i, s, 1]
            if not hi_z > lo_z or best != best:
                continue
            for j in range(_piece_at(knots[i], count[i], lo_z), count[i]):
                z0 = knots[i, j]
                if z0 > hi_z or best != best:
                    break
                lo, hi = max(lo_z, z0) - z0, min(hi_z, knots[i, j + 1]) - z0
                if hi < lo:
                    continue
                a, b, c = coef[i, j, 0], coef[i, j, 1], coef[i, j, 2]
                d, t = _farthest(a, b, c, lo, hi, z0, sin, cos, shift, sign)
                if d > best or d != d:
                    best, where = d, z0 + t
        out[i, 0] = sign * best if best > -math.inf else math.nan
        out[i, 1] = where


@njit
def extreme_draws(first, last, clock, knots, coef, count, shifts, spans, out):
    """Largest distance of each column from a second axis, one axis a draw (see `extreme_columns`,
    `lay_draws`).
    """
    n = len(clock) // len(shifts)
    for d in range(first, last):
        extreme_columns(d * n, (d + 1) * n, clock, knots, coef, count, shifts[d], spans, 1.0, out)


@njit
def beyond_columns(first, last, clock, knots, coef, count, shift, spans, limit, out, found):
    """Depth ranges in which the wall is farther than `limit` from a second axis (see
    extreme_columns).

    out (n, cap, 4): from, to, largest distance, its depth; found (n,): how many, -1 when cap was
    too small. On each piece the distance is taken as the parabola through its two ends and its
    middle.
    """
    for i in range(first, last):
        sin, cos = math.sin(clock[i]), math.cos(clock[i])
        n = 0
        for s in range(spans.shape[1]):
            lo_z, hi_z = spans[i, s, 0], spans[i, s, 1]
            if not hi_z > lo_z:
                continue
            is_open = False
            for j in range(_piece_at(knots[i], count[i], lo_z), count[i]):
                z0 = knots[i, j]
                if z0 >= hi_z or n < 0:
                    break
                lo, hi = max(lo_z, z0) - z0, min(hi_z, knots[i, j + 1]) - z0
                if hi <= lo:
                    continue
                a, b, c = coef[i, j, 0], coef[i, j, 1], coef[i, j, 2]
                length = hi - lo
                d0, qb, qc, r1, r2 = _crossings(a, b, c, lo, length, z0, sin, cos, shift, limit)
                at = 0.0
                for k in range(3):
                    to = r1 if k == 0 else (r2 if k == 1 else length)
                    if math.isnan(to):
                        to = length
                    if to <= at:
                        continue
                    mid = 0.5 * (at + to)
                    if d0 + mid * (qb + mid * qc) > 0.0:
                        if not is_open:
                            if n == out.shape[1]:
                                n = -1
                                break
                            out[i, n, 0] = z0 + lo + at
                            out[i, n, 2] = -math.inf
                            is_open = True
                            n += 1
                        out[i, n - 1, 1] = z0 + lo + to
                        for e in range(3):
                            t = at if e == 0 else to
                            if e == 2:
                                if qc >= 0.0:
                                    break
                                t = -qb / (2 * qc)
                                if not at < t < to:
                                    break
                            d = d0 + t * (qb + t * qc)
                            if d > out[i, n - 1, 2]:
                                out[i, n - 1, 2] = d
                                out[i, n - 1, 3] = z0 + lo + t
                    else:
                        is_open = False
                    at = to
        for k in range(max(n, 0)):
            out[i, k, 2] += limit
        found[i] = n


@njit
def cell_columns(first, last, clock, knots, coef, count, shift, edges, sign, out):
    """Largest (sign +1) or smallest (sign -1) distance from a second axis in every depth cell.

    edges (m + 1,) ascending depths; out (n, m). See `extreme_columns` for shift; nothing is lost
    between samples:
    each cell is read at its ends, at knots and at vertices.
    """
    for i in range(first, last):
        sin, cos = math.sin(clock[i]), math.cos(clock[i])
        j = _piece_at(knots[i], count[i], edges[0])
        for k in range(len(edges) - 1):
            lo_z, hi_z = edges[k], edges[k + 1]
            best = -math.inf
            while j + 1 < count[i] and knots[i, j + 1] <= lo_z:
                j += 1
            m = j
            while m < count[i] and knots[i, m] <= hi_z:
                z0 = knots[i, m]
                lo, hi = max(lo_z, z0) - z0, min(hi_z, knots[i, m + 1]) - z0
                a, b, c = coef[i, m, 0], coef[i, m, 1], coef[i, m, 2]
                d, _ = _farthest(a, b, c, lo, hi, z0, sin, cos, shift, sign)
                best = max(best, d)
                m += 1
            out[i, k] = sign * best


@njit
def bore_columns(
    first, last, clock, knots, coef, count, shift, limit, out_knots, out_coef, out_count
):
    """Turn each column to at least `limit` [mm] from a second axis (see extreme_columns); metal
    beyond stays.

    Where the tool cuts, the new piece is straight between the points where the clock ray meets the
    cylinder. out_count is -1 where the output was too small.
    """
    for i in range(first, last):
        sin, cos = math.sin(clock[i]), math.cos(clock[i])
        n = 0
        for j in range(count[i]):
            z0 = knots[i, j]
            length = knots[i, j + 1] - z0
            a, b, c = coef[i, j, 0], coef[i, j, 1], coef[i, j, 2]
            d0, qb, qc, r1, r2 = _crossings(a, b, c, 0.0, length, z0, sin, cos, shift, limit)
            at = 0.0
            for k in range(3):
                to = r1 if k == 0 else (r2 if k == 1 else length)
                if math.isnan(to):
                    to = length
                if to <= at + SNAP and not (k == 2 and at == 0.0):
                    continue
                if n == out_coef.shape[1]:
                    n = -1
                    break
                mid = 0.5 * (at + to)
                out_knots[i, n] = z0 + at
                if d0 + mid * (qb + mid * qc) >= 0.0:
                    out_coef[i, n, 0] = a + at * (b + at * c)
                    out_coef[i, n, 1] = b + 2 * at * c
                    out_coef[i, n, 2] = c
                else:
                    near = _ray(z0 + at, sin, cos, shift, limit)
                    out_coef[i, n, 0] = near
                    out_coef[i, n, 1] = (_ray(z0 + to, sin, cos, shift, limit) - near) / (to - at)
                    out_coef[i, n, 2] = 0.0
                n += 1
                at = to
            if n < 0:
                break
        if n > 0:
            out_knots[i, n] = knots[i, count[i]]
        out_count[i] = n


@njit
def _ray(z, sin, cos, shift, radius):
    """Distance along a clock ray from the column axis to a cylinder about the second axis at depth
    z.
    """
    dx, dy = shift[0] + shift[2] * z, shift[1] + shift[3] * z
    along, across = dx * sin - dy * cos, dx * cos + dy * sin
    return math.sqrt(radius * radius - across * across) - along
