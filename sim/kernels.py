"""Every compiled loop of the engine; the only door to numba.

A wall is handed over as three arrays: `knots` (n, m + 1) [mm], `coef` (n, m, 3) and `count` (n,): on piece
j of column i the radius is coef[0] + coef[1] t + coef[2] t^2 with t = depth - knots[i, j]. All kernels work on
the columns first <= i < last, so no two threads write one column. Everything stands in one file: the disk
cache of compiled code does not notice edits in another file.
"""

from __future__ import annotations

import math
from pathlib import Path
from typing import Any

import numpy as np
from numba import njit as _njit

TURN = 2.0 * math.pi
SNAP = 1e-9  # mm: two knots closer than this are one
FINE, OVERFLOW, CLOSED = 0, 1, 2


def njit(function: Any) -> Any:
    """Compile once, keep the result on disk, let go of the interpreter lock while running."""
    return _njit(cache=True, nogil=True, error_model="numpy")(function)


@njit
def _square(a, b, c, t):
    """Integral of (a + b x + c x^2)^2 from 0 to t."""
    return t * (
        a * a + t * (a * b + t * ((b * b + 2 * a * c) / 3 + t * (b * c / 2 + t * c * c / 5)))
    )


@njit
def _roots(a, b, c, t):
    """Roots of a + b x + c x^2 strictly inside (0, t), ascending; nan where there is none."""
    first, second = math.nan, math.nan
    if abs(c) * t < 1e-14 * (abs(b) + 1e-300):
        if b != 0.0:
            x = -a / b
            if 0.0 < x < t:
                first = x
        return first, second
    disc = b * b - 4 * a * c
    if disc <= 0.0:
        return first, second
    half = -0.5 * (b + math.copysign(math.sqrt(disc), b))
    x, y = half / c, (a / half if half != 0.0 else math.nan)
    if y < x:
        x, y = y, x
    if 0.0 < x < t:
        first = x
    if 0.0 < y < t:
        if math.isnan(first):
            first = y
        else:
            second = y
    return first, second


@njit
def _free_square(a, b, c, old, limit, t, x0, chord):
    """One old piece of length t under the new parabola a + b x + c x^2, re-melting held to `limit`.

    Returns the integral of the new radius squared, and the derivative part: the integral of
    2 r P over the free stretches, P = x (chord - x) with x from the first contact (x0 here).
    """
    da, db, dc = a - old[0] - limit, b - old[1], c - old[2]
    r1, r2 = _roots(da, db, dc, t)
    total, slope, lo = 0.0, 0.0, 0.0
    for k in range(3):
        hi = r1 if k == 0 else (r2 if k == 1 else t)
        if math.isnan(hi):
            hi = t
        if hi <= lo:
            continue
        mid = 0.5 * (lo + hi)
        if da + mid * (db + mid * dc) > 0.0:
            oa = old[0] + limit
            total += _square(oa, old[1], old[2], hi) - _square(oa, old[1], old[2], lo)
        else:
            total += _square(a, b, c, hi) - _square(a, b, c, lo)
            # Three-point Gauss is exact here: the integrand is of fourth degree.
            g, m, s = 0.5 * (hi - lo), mid, math.sqrt(0.6) * 0.5 * (hi - lo)
            for n in range(3):
                x = m if n == 1 else (m - s if n == 0 else m + s)
                weight = 8.0 / 9.0 if n == 1 else 5.0 / 9.0
                p = (x0 + x) * (chord - x0 - x)
                slope += weight * g * 2.0 * (a + x * (b + x * c)) * p
        lo = hi
    return total, slope


@njit
def _limited(right, top, bottom, za, zb, ra, rb, c, limit, target):
    """Curvature c that conserves q where the depth of fusion binds, by a bracketed Newton search.

    The old pieces are right[top] down to right[bottom]; `target` is the integral of the new radius
    squared. More c is more metal, so the integral falls with c.
    """
    chord = zb - za
    slope = (rb - ra) / chord
    high, low = c, -math.inf
    step = abs(c) + 1.0 / chord
    for _ in range(200):
        total, fall = 0.0, 0.0
        for j in range(top, bottom - 1, -1):
            x0 = right[j, 0] - za
            x1 = (right[j - 1, 0] if j > bottom else zb) - za
            part, part_fall = _free_square(
                ra + x0 * (slope - c * chord + c * x0),
                slope - c * chord + 2 * c * x0,
                c,
                right[j, 1:],
                limit,
                x1 - x0,
                x0,
                chord,
            )
            total += part
            fall += part_fall
        off = total - target
        if abs(off) <= 1e-14 * target:
            break
        if off > 0.0:
            low = c
        else:
            high = c
        trial = c + off / fall if fall > 0.0 else -math.inf
        if math.isinf(low):
            if not trial < c:
                trial = c - step
            trial = max(trial, c - step)
            step *= 2.0
        elif not (low < trial < high):
            trial = 0.5 * (low + high)
        if trial == c:
            break
        c = trial
    return c


@njit
def lay_columns(first, last, clock, knots, coef, count, path, bead, noise, out, log):
    """Lay one layer on columns first..last-1.

    path: (phi, depth, arcs, start_clock, turning) the torch's way, see `sim.path.Path`.
    bead: (q, width, tie_in, fusion, hump, hump_angle, taper_angle); q [mm3/rad] and width [mm] per column.
    noise: (q_turn, w_turn, q_along, along_step) factors by turn and along the bead.
    out: (knots, coef, count, under, status, remelted); under (n, passes) is the wall radius under the torch
    before each bead, nan where the arc is off.
    log: (rows, first) what each pass changed, or rows of no length. rows (n, room, 5): depths from and to, radius
    there and in the middle of them; first (n, passes + 1): row with which a pass begins.
    """
    phis, depths, arcs, start_clock, turning = path
    log_rows, log_first = log
    logged = log_rows.shape[1]
    qs, widths, tie_in, fusion, hump, hump_angle, taper_angle = bead
    q_turn, w_turn, q_along, along_step = noise
    out_knots, out_coef, out_count, under, status, limited = out
    cap = out_coef.shape[1]
    left = np.empty((cap + 4, 4))
    right = np.empty((cap + 4, 4))
    last_phi = phis[-1]
    for i in range(first, last):
        nr = count[i]
        nl = 0
        end = knots[i, nr]
        for j in range(nr):
            right[nr - 1 - j, 0] = knots[i, j]
            right[nr - 1 - j, 1] = coef[i, j, 0]
            right[nr - 1 - j, 2] = coef[i, j, 1]
            right[nr - 1 - j, 3] = coef[i, j, 2]
        phi = (turning * (clock[i] - start_clock)) % TURN
        seg = 0
        arc = 0
        turn = -1
        written = 0
        nearest = math.nan
        while phi <= last_phi:
            turn += 1
            while phi > phis[seg + 1]:
                seg += 1
            zc = depths[seg]
            if depths[seg + 1] != zc:
                zc += (depths[seg + 1] - zc) * (phi - phis[seg]) / (phis[seg + 1] - phis[seg])
            while arc < len(arcs) and phi > arcs[arc, 1]:
                arc += 1
            if arc == len(arcs) or phi < arcs[arc, 0]:
                under[i, turn] = math.nan
                nearest = math.nan
                phi += TURN
                if logged:
                    log_first[i, turn + 1] = written
                continue
            # the bead's volume per radian and width here
            whole = int(phi / TURN)
            q = qs[i] * q_turn[whole]
            width = widths[i] * w_turn[whole]
            if len(q_along) > 1:
                x = phi / along_step
                n = int(x)
                q *= q_along[n] + (x - n) * (q_along[n + 1] - q_along[n])
            since = phi - arcs[arc, 0]
            if since < hump_angle:
                q *= 1.0 + hump * 0.5 * (1.0 + math.cos(math.pi * since / hump_angle))
            until = arcs[arc, 1] - phi
            if until < taper_angle:
                q *= until / taper_angle
            # the two contact points
            za = zc - 0.5 * width
            zb = zc + 0.5 * width
            if not math.isnan(nearest):
                d = abs(zc - nearest)
                if 0.5 * width < d < width:
                    reach = min(1.0, ((width - d) / (0.262 * width)) ** 2)
                    e = tie_in * (d - 0.5 * width) * reach
                    if nearest < zc:
                        za -= e
                    else:
                        zb += e
            nearest = zc
            if nl + nr + 8 > cap:
                status[i] = OVERFLOW
                break
            # bring the gap to za: pieces before it stand on the left, from it on the right
            while nl > 0 and right[nr - 1, 0] > za + SNAP:
                nl -= 1
                right[nr, 0] = left[nl, 0]
                right[nr, 1] = left[nl, 1]
                right[nr, 2] = left[nl, 2]
                right[nr, 3] = left[nl, 3]
                nr += 1
            while nr > 1 and right[nr - 2, 0] < za + SNAP:
                nr -= 1
                left[nl, 0] = right[nr, 0]
                left[nl, 1] = right[nr, 1]
                left[nl, 2] = right[nr, 2]
                left[nl, 3] = right[nr, 3]
                nl += 1
            z0 = right[nr - 1, 0]
            if abs(z0 - za) <= SNAP:
                za = z0
            if za > z0:
                t = za - z0
                left[nl, 0] = z0
                left[nl, 1] = right[nr - 1, 1]
                left[nl, 2] = right[nr - 1, 2]
                left[nl, 3] = right[nr - 1, 3]
                nl += 1
                right[nr - 1, 0] = za
                right[nr - 1, 1] += t * (right[nr - 1, 2] + t * right[nr - 1, 3])
                right[nr - 1, 2] += 2 * t * right[nr - 1, 3]
            # walk the old wall to zb: integral of r^2, radius under the torch, and the last piece
            ra = right[nr - 1, 1]
            j = nr - 1
            total = 0.0
            torch = math.nan
            while True:
                z0 = right[j, 0]
                z1 = right[j - 1, 0] if j > 0 else end
                if abs(z1 - zb) <= SNAP:
                    zb = z1
                hi = min(z1, zb)
                a, b, c = right[j, 1], right[j, 2], right[j, 3]
                if z0 <= zc <= hi:
                    t = zc - z0
                    torch = a + t * (b + t * c)
                total += _square(a, b, c, hi - z0)
                if zb <= z1:
                    break
                j -= 1
            t = zb - z0
            rb = a + t * (b + t * c)
            under[i, turn] = torch
            # closed form: chord minus c P conserves q in cylinder coordinates
            w = zb - za
            slope = (rb - ra) / w
            known = 2 * q + w * (ra * ra + ra * rb + rb * rb) / 3 - total
            i_lp = (ra + rb) * w * w * w / 12
            i_pp = w**5 / 30
            disc = i_lp * i_lp - i_pp * known
            if disc <= 0.0:
                status[i] = CLOSED
                break
            curve = known / (i_lp + math.sqrt(disc))
            if curve * w > abs(slope) and 4 * curve * ra <= (slope - curve * w) ** 2:
                status[i] = CLOSED  # the crest would reach the axis
                break
            # does re-melting go deeper than the depth of fusion allows?
            binds = False
            for m in range(nr - 1, j - 1, -1):
                x0 = right[m, 0] - za
                x1 = (right[m - 1, 0] if m > j else zb) - za
                dc = curve - right[m, 3]
                db = slope - curve * w + 2 * curve * x0 - right[m, 2]
                da = ra + x0 * (slope - curve * w + curve * x0) - right[m, 1] - fusion
                t = x1 - x0
                if da > 0.0 or da + t * (db + t * dc) > 0.0 or (dc < 0.0 < db and -db / (2 * dc) < t and da - db * db / (4 * dc) > 0.0):
                    binds = True
            rest_a, rest_b, rest_c = right[j, 1], right[j, 2], right[j, 3]
            rest_z = right[j, 0]
            begun = nl
            if not binds:
                left[nl, 0] = za
                left[nl, 1] = ra
                left[nl, 2] = slope - curve * w
                left[nl, 3] = curve
                nl += 1
            else:
                limited[i] += 1
                curve = _limited(right, nr - 1, j, za, zb, ra, rb, curve, fusion, total - 2 * q)
                was_free = False
                for m in range(nr - 1, j - 1, -1):
                    x0 = right[m, 0] - za
                    t = (right[m - 1, 0] if m > j else zb) - za - x0
                    na = ra + x0 * (slope - curve * w + curve * x0)
                    nb = slope - curve * w + 2 * curve * x0
                    da, db, dc = na - right[m, 1] - fusion, nb - right[m, 2], curve - right[m, 3]
                    r1, r2 = _roots(da, db, dc, t)
                    lo = 0.0
                    for k in range(3):
                        hi = r1 if k == 0 else (r2 if k == 1 else t)
                        if math.isnan(hi):
                            hi = t
                        if hi <= lo + SNAP:
                            continue
                        mid = 0.5 * (lo + hi)
                        free = da + mid * (db + mid * dc) <= 0.0
                        if not (free and was_free):
                            if nl + nr + 8 > cap:
                                status[i] = OVERFLOW
                                break
                            left[nl, 0] = za + x0 + lo
                            if free:
                                left[nl, 1] = na + lo * (nb + lo * curve)
                                left[nl, 2] = nb + 2 * lo * curve
                                left[nl, 3] = curve
                            else:
                                left[nl, 1] = (
                                    right[m, 1] + fusion + lo * (right[m, 2] + lo * right[m, 3])
                                )
                                left[nl, 2] = right[m, 2] + 2 * lo * right[m, 3]
                                left[nl, 3] = right[m, 3]
                            nl += 1
                        was_free = free
                        lo = hi
                if status[i] != FINE:
                    break
            # what is left of the last old piece, beyond zb
            nr = j + 1
            z1 = right[j - 1, 0] if j > 0 else end
            if zb < z1:
                t = zb - rest_z
                right[j, 0] = zb
                right[j, 1] = rest_a + t * (rest_b + t * rest_c)
                right[j, 2] = rest_b + 2 * t * rest_c
                right[j, 3] = rest_c
            else:
                nr = j
            phi += TURN
            if logged:
                if written + nl - begun > logged:
                    status[i] = OVERFLOW
                    break
                for m in range(begun, nl):
                    z1 = left[m + 1, 0] if m + 1 < nl else zb
                    t = z1 - left[m, 0]
                    log_rows[i, written, 0] = left[m, 0]
                    log_rows[i, written, 1] = z1
                    log_rows[i, written, 2] = left[m, 1]
                    log_rows[i, written, 3] = left[m, 1] + 0.5 * t * (left[m, 2] + 0.5 * t * left[m, 3])
                    log_rows[i, written, 4] = left[m, 1] + t * (left[m, 2] + t * left[m, 3])
                    written += 1
                log_first[i, turn + 1] = written
        for k in range(turn + 1, under.shape[1]):
            under[i, k] = math.nan
            if logged:
                log_first[i, k + 1] = written
        if status[i] != FINE:
            out_count[i] = 0
            continue
        for k in range(nl):
            out_knots[i, k] = left[k, 0]
            out_coef[i, k, 0] = left[k, 1]
            out_coef[i, k, 1] = left[k, 2]
            out_coef[i, k, 2] = left[k, 3]
        for k in range(nr):
            out_knots[i, nl + k] = right[nr - 1 - k, 0]
            out_coef[i, nl + k, 0] = right[nr - 1 - k, 1]
            out_coef[i, nl + k, 1] = right[nr - 1 - k, 2]
            out_coef[i, nl + k, 2] = right[nr - 1 - k, 3]
        out_knots[i, nl + nr] = end
        out_count[i] = nl + nr


@njit
def _piece_at(knots, n, z):
    """Index of the piece that holds depth z (the later one at a knot), by bisection."""
    lo, hi = 0, n - 1
    while lo < hi:
        mid = (lo + hi + 1) // 2
        if knots[mid] <= z:
            lo = mid
        else:
            hi = mid - 1
    return lo


@njit
def sample_columns(first, last, knots, coef, count, depth, out):
    """Radius [mm] at the ascending depths `depth` into out (n, n_depth)."""
    for i in range(first, last):
        j = 0
        for k in range(len(depth)):
            z = depth[k]
            while j + 1 < count[i] and knots[i, j + 1] <= z:
                j += 1
            t = z - knots[i, j]
            out[i, k] = coef[i, j, 0] + t * (coef[i, j, 1] + t * coef[i, j, 2])


@njit
def integrate_columns(first, last, knots, coef, count, z0, z1, out):
    """Integrals over depth z0..z1 of r and of r^2 into out (n, 2) [mm2, mm3]; exact."""
    for i in range(first, last):
        linear, square = 0.0, 0.0
        for j in range(_piece_at(knots[i], count[i], z0), count[i]):
            lo, hi = max(z0, knots[i, j]), min(z1, knots[i, j + 1])
            if hi <= lo:
                if knots[i, j] >= z1:
                    break
                continue
            a, b, c = coef[i, j, 0], coef[i, j, 1], coef[i, j, 2]
            t0, t1 = lo - knots[i, j], hi - knots[i, j]
            a, b, t = a + t0 * (b + t0 * c), b + 2 * t0 * c, t1 - t0
            linear += t * (a + t * (b / 2 + t * c / 3))
            square += _square(a, b, c, t)
        out[i, 0] = linear
        out[i, 1] = square


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
    """Largest (sign +1) or least distance, times sign, on lo..hi of a piece, and where: its ends and its vertex."""
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
        if d > best:
            best, where = d, t
    return best, where


@njit
def _crossings(a, b, c, lo, length, z0, sin, cos, shift, limit):
    """Distance less `limit` on lo..lo + length of a piece as a parabola through its two ends and its middle.

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

    shift (x, y, x per mm, y per mm): the column axis less the second axis at depth 0, and its slope. spans
    (n, k, 2): depth ranges looked at, empty where hi <= lo. out (n, 2): distance and depth; nan where the
    column has nothing to look at. Read at knots and vertices.
    """
    for i in range(first, last):
        sin, cos = math.sin(clock[i]), math.cos(clock[i])
        best, where = -math.inf, math.nan
        for s in range(spans.shape[1]):
            lo_z, hi_z = spans[i, s, 0], spans[i, s, 1]
            if not hi_z > lo_z:
                continue
            for j in range(_piece_at(knots[i], count[i], lo_z), count[i]):
                z0 = knots[i, j]
                if z0 > hi_z:
                    break
                lo, hi = max(lo_z, z0) - z0, min(hi_z, knots[i, j + 1]) - z0
                if hi < lo:
                    continue
                a, b, c = coef[i, j, 0], coef[i, j, 1], coef[i, j, 2]
                d, t = _farthest(a, b, c, lo, hi, z0, sin, cos, shift, sign)
                if d > best:
                    best, where = d, z0 + t
        out[i, 0] = sign * best if best > -math.inf else math.nan
        out[i, 1] = where


@njit
def lay_draws(first, last, clock, knots, coef, count, path, bead, noise, out):
    """`lay_columns` for draws first..last-1 of one job, each with an equal run of columns, one draw after the other.

    bead: (q, width, each): per column, and per draw (tie_in, fusion, hump, hump_angle, taper_angle); noise: the factors
    of `lay_columns`, one row a draw, and along_step.
    """
    qs, widths, each = bead
    q_turn, w_turn, q_along, along_step = noise
    n = len(clock) // len(each)
    log = (np.empty((0, 0, 5)), np.empty((0, 0), dtype=np.int64))
    for d in range(first, last):
        mine = (qs, widths, each[d, 0], each[d, 1], each[d, 2], each[d, 3], each[d, 4])
        own = (q_turn[d], w_turn[d], q_along[d], along_step)
        lay_columns(d * n, (d + 1) * n, clock, knots, coef, count, path, mine, own, out, log)


@njit
def extreme_draws(first, last, clock, knots, coef, count, shifts, spans, out):
    """Largest distance of each column from a second axis, one axis a draw (see `extreme_columns`, `lay_draws`)."""
    n = len(clock) // len(shifts)
    for d in range(first, last):
        extreme_columns(d * n, (d + 1) * n, clock, knots, coef, count, shifts[d], spans, 1.0, out)


@njit
def beyond_columns(first, last, clock, knots, coef, count, shift, spans, limit, out, found):
    """Depth ranges in which the wall is farther than `limit` from a second axis (see extreme_columns).

    out (n, cap, 4): from, to, largest distance, its depth; found (n,): how many, -1 when cap was too small.
    On each piece the distance is taken as the parabola through its two ends and its middle.
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
def _least(knots, coef, n, lo_z, hi_z, base_knots, base_coef, base_n, sign):
    """Smallest (sign +1) or largest (-1) of radius less base radius within lo_z..hi_z, and its depth."""
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
def ripple_columns(first, last, clock, wall, base, path, setback, leave_out, out):
    """Ripple of a layer per column: mean over its turns of crest minus deeper neighbouring valley.

    wall and base: (knots, coef, count); the base wall is taken off first (worn form removed). The crest of a
    bead is sought within half a pitch of where it sits, `setback` [mm] behind the torch line; the valley
    between two neighbouring crests. The first and last `leave_out` turns are left out.
    out (n,): ripple [mm], nan where no crest is left.
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
            z = depths[seg] + (depths[seg + 1] - depths[seg]) * (phi - phis[seg]) / (phis[seg + 1] - phis[seg])
            while arc < len(arcs) and phi > arcs[arc, 1]:
                arc += 1
            if arc < len(arcs) and phi >= arcs[arc, 0] and (n == 0 or abs(z - centre[n - 1]) > SNAP):
                centre[n] = z
                n += 1
            phi += TURN
        out[i] = math.nan
        if n < 2 * leave_out + 3:
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
                knots[i], coef[i], count[i], lo, hi, base_knots[i], base_coef[i], base_count[i], -1.0
            )
        total = 0.0
        for k in range(leave_out, n - leave_out):
            total += max(valley[k - 1], valley[k]) - crest[k]
        out[i] = total / (n - 2 * leave_out)


@njit
def foot_columns(first, last, knots, coef, count, depth, half, out):
    """Smallest radius [mm] under a gauge foot of half length `half` at each depth, into out (n, n_depth)."""
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


@njit
def thin_columns(first, last, depth, radius, tolerance, knots, coef, count):
    """Straight pieces through radius (n, n_depth) at `depth`, knots dropped where `tolerance` [mm] allows.

    A piece runs on while every skipped point lies within the tolerance of it (the cone of slopes that
    still serve).
    """
    for i in range(first, last):
        n, at = 0, 0
        while at < len(depth) - 1:
            low, high = -math.inf, math.inf
            to = at + 1
            for k in range(at + 1, len(depth)):
                run = depth[k] - depth[at]
                slope = (radius[i, k] - radius[i, at]) / run
                if low <= slope <= high:
                    to = k
                low = max(low, slope - tolerance / run)
                high = min(high, slope + tolerance / run)
                if low > high:
                    break
            knots[i, n] = depth[at]
            coef[i, n, 0] = radius[i, at]
            coef[i, n, 1] = (radius[i, to] - radius[i, at]) / (depth[to] - depth[at])
            coef[i, n, 2] = 0.0
            n += 1
            at = to
        knots[i, n] = depth[-1]
        count[i] = n


@njit
def cell_columns(first, last, clock, knots, coef, count, shift, edges, sign, out):
    """Largest (sign +1) or smallest (sign -1) distance from a second axis in every depth cell.

    edges (m + 1,) ascending depths; out (n, m). See `extreme_columns` for shift; nothing is lost between samples:
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
def bore_columns(first, last, clock, knots, coef, count, shift, limit, out_knots, out_coef, out_count):
    """Turn each column to at least `limit` [mm] from a second axis (see extreme_columns); metal beyond stays.

    Where the tool cuts, the new piece is straight between the points where the clock ray meets the cylinder.
    out_count is -1 where the output was too small.
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
    """Distance along a clock ray from the column axis to a cylinder about the second axis at depth z."""
    dx, dy = shift[0] + shift[2] * z, shift[1] + shift[3] * z
    along, across = dx * sin - dy * cos, dx * cos + dy * sin
    return math.sqrt(radius * radius - across * across) - along


def compiled() -> bool:
    """Tell whether this machine holds the compiled engine already, newer than its source."""
    here = Path(__file__)
    folder = Path(lay_columns._cache.cache_path)
    built = list(folder.glob("kernels.lay_columns-*.nbi"))
    return any(path.stat().st_mtime >= here.stat().st_mtime for path in built)
