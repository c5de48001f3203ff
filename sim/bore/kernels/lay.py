"""The lay kernel: one layer of beads on every clock column; many draws of it side by side."""

from __future__ import annotations

import math

import numpy as np

from sim.bore.kernels.pieces import _roots, _square
from sim.laws.arc_ends import with_ends
from sim.laws.bow import conserving, reaches_axis
from sim.laws.compiled import SNAP, TURN, njit
from sim.laws.tie_in import farther

FINE, OVERFLOW, CLOSED = 0, 1, 2


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

    path: (phi, depth, arcs, start_clock, turning) the torch's way, see `sim.bore.torch_way.Path`.
    bead: (q, width, rules); q [mm3/rad] and width [mm] per column, rules: see
    `sim.bore.lay.Conditions.rules`. noise: (q_turn, w_turn, q_along, along_step) factors by turn
    and along the bead. out: (knots, coef, count, under, status, remelted); under (n, passes) is the
    wall radius under the torch before each bead, nan where the arc is off. log: (rows, first) what
    each pass changed, or rows of no length. rows (n, room, 5): depths from and to, radius there and
    in the middle of them; first (n, passes + 1): row with which a pass begins.
    """
    phis, depths, arcs, start_clock, turning = path
    log_rows, log_first = log
    logged = log_rows.shape[1]
    qs, widths, rules = bead
    tie_in, fusion, hump, hump_angle, taper_angle = rules[0], rules[1], rules[2], rules[3], rules[4]
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
            q = with_ends(q, phi - arcs[arc, 0], arcs[arc, 1] - phi, hump, hump_angle, taper_angle)
            # the two contact points
            za = zc - 0.5 * width
            zb = zc + 0.5 * width
            if not math.isnan(nearest):
                e = farther(abs(zc - nearest), width, tie_in)
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
            # the crown: chord minus c P
            w = zb - za
            slope = (rb - ra) / w
            curve = conserving(q, w, ra, rb, total)
            if math.isnan(curve) or reaches_axis(curve, w, slope, ra):
                status[i] = CLOSED
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
                if (
                    da > 0.0
                    or da + t * (db + t * dc) > 0.0
                    or (dc < 0.0 < db and -db / (2 * dc) < t and da - db * db / (4 * dc) > 0.0)
                ):
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
                    log_rows[i, written, 3] = left[m, 1] + 0.5 * t * (
                        left[m, 2] + 0.5 * t * left[m, 3]
                    )
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
def lay_draws(first, last, clock, knots, coef, count, path, bead, noise, out):
    """`lay_columns` for draws first..last-1 of one job, each with an equal run of columns, one draw
    after the other.

    bead: (q, width, rules): per column, and a row of rules a draw; noise: the factors of
    `lay_columns`, one row a draw, and along_step.
    """
    qs, widths, each = bead
    q_turn, w_turn, q_along, along_step = noise
    n = len(clock) // len(each)
    log = (np.empty((0, 0, 5)), np.empty((0, 0), dtype=np.int64))
    for d in range(first, last):
        mine = (qs, widths, each[d])
        own = (q_turn[d], w_turn[d], q_along[d], along_step)
        lay_columns(d * n, (d + 1) * n, clock, knots, coef, count, path, mine, own, out, log)
