#!/usr/bin/env python3
"""The assessment of the demonstration job, in vectorised NumPy: what `scatter` is compared with.

What it is.  Every check and value that `check` and `scatter` give for the built-in demonstration
job (a seat on the insert, no feeler gaps, frame held all round), for many samples at once:
arrays over samples, or over samples x stations along the bond; a loop over the trial angles.
Seven entries are drawn: torque, thread friction, seat friction, shear strength of the glue,
thickness of the glue, engaged length and pedal force. A sample's preload serves as high without
loss and as low with it. The torque window is left out, as in `scatter`.

Source.  The engineering basis and the agreed interface (numbers of sections in the comments are
those of the basis), the built-in tables as `insertwright tables` prints them, and the job file.
For values that those only name (the limits of removal, the wall for hoop, the ductile torque) the
formula that `explain` prints. Nothing is taken from the program's source. Methods and their
sources: see the basis, section by section.

How to run.
    python3 -m venv venv && venv/bin/pip install numpy
    venv/bin/python assess.py check PROGRAM [POINTS [SEED]]   compare with the program
    venv/bin/python assess.py time [PROGRAM]                  microseconds a sample, and `scatter`'s
    venv/bin/python assess.py job                             the spreads, as options of `scatter`
OPENBLAS_NUM_THREADS=1 before `time` takes the linear algebra to one thread; it makes no
difference, the systems of equations being 4 to 8 unknowns each.
Written and measured with Python 3.11.7, NumPy 2.4.6, insertwright 0.1.0.

Style.  What a competent engineer writes: invariants hoisted, systems of equations solved in
batches, U² compared instead of U, rocking solved for 1 N and scaled. Not used: knowledge of where
the worst point turns out to lie, compiled code, lower precision. The search for the worst point
takes about four fifths of the time and stands here in two styles, `plain` (expressions) and `reused`
(no temporaries); small calls (a few hundred samples) stay in the cache and are quickest, so `time`
gives whole batches and chunks.

What it leaves out, to NumPy's advantage.  A seat that opens under load would need the contact
solved by iteration; here it is only noticed and refused. Rocking with complex roots (a softer
glue or a stiffer sleeve) likewise. Random numbers and percentiles are timed apart. The worst
point of the glue is sought at fixed stations and angles only.

Units inside: N, mm, MPa (so N·mm, 1/K); results carry the units of the JSON output.
"""
import json
import os
import subprocess
import sys
import time

import numpy as np

# --- The job (demonstration job; every figure of it is invented) --------------------------------

SETBACK = 1.0
D_O, L = 42.0, 34.0  # insert; glued over its whole length
FRAME_OD, WIDTH = 56.0, 68.0
VOIDS = 0.05
T_CURE, T_COLD, T_HOT, T_ROOM = 60.0, -10.0, 45.0, 20.0
BORE, FLANGE_D, FLANGE_T, OUTBOARD = 29.0, 44.0, 4.0, 4.0
MAKER_LOW, MAKER_HIGH = 35e3, 50e3
PEDAL_OFFSET, CRANK, CHAINRING, CHAINLINE = 150.0, 170.0, 80.0, 45.0
INCLINATION, CRANK_ANGLE = np.radians(7.5), np.radians(45.0)  # JIS D 9301, ISO 4210-6

# Insert: 4130. Fitting: 6061-T6. Frame: glass-epoxy. (rows of the built-in tables)
E_I, NU_I, G_I, SY_I, TAU_I, A_I = 200e3, 0.32, 75.8e3, 517.0, 393.0, 11.3e-6
E_FIT, NU_FIT, SY_FIT, TAU_FIT = 68.3e3, 0.33, 248.0, 186.0
E_FR, NU_FR, G_FR, A_FR = 18.9e3, 0.27, 7.4e3, 11.5e-6
PLY_TENSION, PLY_SHEAR = 20.0, 40.0
# Glue: the job's own row. Its shear strength is drawn.
G_A, NU_A, SIGMA_A, GAMMA_P, A_A = 800.0, 0.38, 45.0, 0.3, 60e-6
AGEING, HOT_T, HOT_FACTOR, ENDURANCE_SHARE = 0.75, 80.0, 0.7, 0.3
PREPARATION = 0.8  # grit-blasted-primed
RELAXATION, F_Z = 0.05, 0.003  # section 4: seat wholly on the insert; settling, not retightened

# Thread 1.37 in x 24 tpi, cycle form (section 2), and its limits of size (row of the tables).
D, P, ALPHA = 1.37 * 25.4, 25.4 / 24, np.radians(30.0)
DEPTH = P * np.sqrt(3) / 2 - P / 3
D2 = D - DEPTH
D1 = D3 = D - 2 * DEPTH
EXT_MAJOR, EXT_PITCH, INT_MINOR, INT_PITCH = 34.592, 34.076, 33.906, 34.414
INCOMPLETE = P  # default: one pitch

NEED = {"strip.external": 2.0, "strip.internal": 2.0, "hoop": 1.5, "neck": 1.5, "flange": 1.5,
        "bond.tightening": 3.0, "bond.removal": 1.5, "bond.service.cold": 3.0,
        "bond.service.hot": 3.0, "bond.endurance": 1.5, "seat.crush": 2.0, "seat.open": 1.2,
        "seat.slip": 1.2, "torque.maker": 1.0, "engagement": 1.0}
SERVICEABILITY = ("seat.slip", "torque.maker", "engagement")

# Where the glue is looked at: stations before, along and behind the thread; trial angles.
N_BEFORE, N_THREAD, N_BEHIND = 4, 26, 20
ANGLES = np.linspace(0.0, np.pi / 2, 25)

# --- What no sample changes ---------------------------------------------------------------------

TAN_A = np.tan(ALPHA)
R2 = D2 / 2
LEAD = np.arctan(P / (np.pi * D2))
ALPHA_N = np.arctan(TAN_A * np.cos(LEAD))

# Seat ring, all of it on the insert (section 6).
RI, RO = D / 2, min(FLANGE_D, D_O) / 2
W_RING = RO - RI
SEAT_A = np.pi * (RO**2 - RI**2)
SEAT_I = np.pi * (RO**4 - RI**4) / 4
K_C = E_I / ((1 - NU_I**2) * W_RING)
K_S = K_C * SEAT_A
R_SEAT = (2 / 3) * (RO**3 - RI**3) / (RO**2 - RI**2)

# Bars (section 7). The neck is the root, so the fitting is one bar.
EA_FIT = E_FIT * np.pi / 4 * (D3**2 - BORE**2)
EA_INS = E_I * np.pi / 4 * (D_O**2 - D**2)
GJ_INS = G_I * np.pi / 32 * (D_O**4 - D**4)

# Neck and flange (section 4).
NECK_A = np.pi / 4 * (D3**2 - BORE**2)
NECK_J = np.pi / 32 * (D3**4 - BORE**4)
R_NECK = D3 / 2
FLANGE_PER_N = 6 * abs(R_SEAT - R_NECK) / (2 * np.pi * R_NECK) / FLANGE_T**2

# Rocking (section 8): the insert as a beam with shear.
EI = E_I * np.pi / 64 * (D_O**4 - D**4)
KGA = 2 * (1 + NU_I) / (4 + 3 * NU_I) * G_I * np.pi / 4 * (D_O**2 - D**2)
E_A = 2 * G_A * (1 + NU_A)
E_C = E_A * (1 - NU_A) / ((1 + NU_A) * (1 - 2 * NU_A))


def tooth(c, e, nu, radial):
    """Deflection of a tooth along the axis per load per length of helix (section 12)."""
    b = P / 2
    a = b + 2 * c * TAN_A
    bending = (1 - nu**2) * 0.75 * ((1 - (2 - b / a) ** 2 + 2 * np.log(a / b)) / TAN_A**3
                                    - 4 * (c / a) ** 2 * TAN_A)
    shear = (1 + nu) * 1.2 / TAN_A * np.log(a / b)
    tilt = (1 - nu**2) * 12 * c / (np.pi * a**2) * (c - b / 2 * TAN_A)
    root = (1 - nu**2) * 2 / np.pi * (P / a * np.log((P + a / 2) / (P - a / 2))
                                      + 0.5 * np.log(4 * P**2 / a**2 - 1))
    return (bending + shear + tilt + root + radial * 0.5 * TAN_A**2 * D2 / P) / e


_m = BORE / D2
K_FLANK = (np.pi * D2 / P) / (
    tooth((D2 - D3) / 2, E_FIT, NU_FIT, (1 + _m**2) / (1 - _m**2) - NU_FIT)
    + tooth((D - D2) / 2, E_I, NU_I, (D_O**2 + D2**2) / (D_O**2 - D2**2) + NU_I))


def strip_per_length():
    """Stripping and hoop yield per engaged length; all three grow with it (section 3)."""
    t_ext = P / 2 + (EXT_PITCH - INT_MINOR) * TAN_A
    t_int = P / 2 + (EXT_MAJOR - INT_PITCH) * TAN_A
    area_ext, area_int = np.pi * INT_MINOR * t_ext / P, np.pi * EXT_MAJOR * t_int / P
    f_ext, f_int = TAU_FIT * area_ext, TAU_I * area_int
    rs = f_int / f_ext
    if rs <= 1:
        c2 = 0.897
    else:
        r = min(rs, 2.2)
        c2 = 5.594 - 13.682 * r + 14.107 * r**2 - 6.057 * r**3 + 0.9353 * r**4
    if rs >= 1:
        c3 = 0.897
    else:
        r = max(rs, 0.4)
        c3 = 0.728 + 1.769 * r - 2.896 * r**2 + 1.296 * r**3
    c2, c3 = min(c2, 1.0), min(c3, 1.0)
    k = D_O / D
    assert k < 1.4  # the thin sleeve of this job; the published C1 is for thicker ones
    cs = D / 2 / E_I * ((k**2 + 1) / (k**2 - 1) + NU_I)
    cf = D2 / 2 / E_FIT * ((1 + _m**2) / (1 - _m**2) - NU_FIT)

    def dilation(f, c, t):
        kappa_f = 2 * TAN_A**2 * (cs + cf) / (np.pi * D2 * t) * f
        return min(0.75, 1 / (1 + kappa_f * c))

    d_ext, d_int = dilation(f_ext, c2, t_ext), dilation(f_int, c3, t_int)
    hoop = SY_I * np.pi * D2 * (k**2 - 1) / ((k**2 + 1) * TAN_A)
    return (f_ext * c2 * d_ext, f_int * c3 * d_int, hoop,
            area_ext, area_int, c2, c3, min(d_ext, d_int))


(STRIP_EXT, STRIP_INT, HOOP, AREA_EXT, AREA_INT, C2, C3, DILATION) = strip_per_length()


def bearing_load(a):
    """Radial load of this side's bearing per pedal force, pedal of this side (+1) or the other."""
    y_d, y_n = WIDTH / 2 + OUTBOARD, -(WIDTH / 2 + OUTBOARD)
    radial, axial = np.cos(INCLINATION), np.sin(INCLINATION)
    chain = radial * CRANK * np.cos(CRANK_ANGLE) / CHAINRING
    span = y_d - y_n
    v_p, h_p = CRANK * np.sin(CRANK_ANGLE), -CRANK * np.cos(CRANK_ANGLE)
    r_v = radial * (a * PEDAL_OFFSET - y_n) / span - a * axial * v_p / span
    r_h = chain * (CHAINLINE - y_n) / span - a * axial * h_p / span
    return np.hypot(r_v, r_h), (axial if a > 0 else 0.0), chain


PEDALS = [bearing_load(+1), bearing_load(-1)]  # section 5
VALUES_PEDAL = int(np.argmax([p[0] for p in PEDALS]))  # the one with the larger reaction


# --- The three elastic problems, solved anew for every sample ------------------------------------


def stations(le):
    """Places along the bond: x, in three blocks divided at the ends of the thread."""
    end = SETBACK + le[:, None]
    before = np.broadcast_to(np.linspace(0, SETBACK, N_BEFORE, endpoint=False), (le.size, N_BEFORE))
    thread = SETBACK + le[:, None] * np.linspace(0, 1, N_THREAD)
    behind = end + (L - end) * np.linspace(0, 1, N_BEHIND + 1)[1:]
    return before, thread, behind


def ladder(le, k_g, blocks):
    """Section 7: fitting and insert as bars, flank springs, glue to a frame that is held.

    Two unit cases: the fitting pulled by 1 N, the insert pushed by 1 N at the face. In each part
    the solution is a sum of exponentials, scaled to 1 at the end that they decay from; eight
    constants follow from the ends and the two borders.
    """
    n, m = le.size, SETBACK
    mu0 = np.sqrt(k_g / EA_INS)
    # Over the thread: mu^4 - (A + B)·mu^2 + A·B - C = 0.
    a = K_FLANK / EA_FIT
    b = (K_FLANK + k_g) / EA_INS
    root = np.sqrt((a - b) ** 2 + 4 * a * K_FLANK / EA_INS)
    mu = [np.sqrt((a + b + root) / 2), np.sqrt((a + b - root) / 2)]
    fit = [K_FLANK / (K_FLANK - EA_FIT * q**2) for q in mu]  # fitting's share of each mode
    e0 = np.exp(-mu0 * m)
    ec = np.exp(-mu0 * (L - m - le))
    eb = [np.exp(-q * le) for q in mu]

    # Unknowns: before (from the face, from the border), thread (two modes, two ways), behind.
    mat = np.zeros((n, 8, 8))
    rhs = np.zeros((n, 8, 2))
    # Face: force in the insert is what the seat pushes with.
    mat[:, 0, 0], mat[:, 0, 1] = -mu0 * EA_INS, mu0 * EA_INS * e0
    rhs[:, 0, 1] = -1.0
    # Inner end of the insert: free.
    mat[:, 1, 6], mat[:, 1, 7] = -mu0 * ec, mu0
    # First border: insert's displacement and force go on, the fitting carries 1 N.
    mat[:, 2, 0], mat[:, 2, 1] = e0, 1.0
    mat[:, 3, 0], mat[:, 3, 1] = -mu0 * e0, mu0
    # Second border: insert's displacement and force go on, the fitting ends.
    mat[:, 5, 6], mat[:, 5, 7] = 1.0, ec
    mat[:, 6, 6], mat[:, 6, 7] = -mu0, mu0 * ec
    rhs[:, 4, 0] = 1.0 / EA_FIT
    for j in (0, 1):
        f, g = 2 + 2 * j, 3 + 2 * j  # decaying inward, decaying outward
        mat[:, 2, f], mat[:, 2, g] = -1.0, -eb[j]
        mat[:, 3, f], mat[:, 3, g] = mu[j], -mu[j] * eb[j]
        mat[:, 4, f], mat[:, 4, g] = -mu[j] * fit[j], mu[j] * fit[j] * eb[j]
        mat[:, 5, f], mat[:, 5, g] = -eb[j], -1.0
        mat[:, 6, f], mat[:, 6, g] = mu[j] * eb[j], -mu[j]
        mat[:, 7, f], mat[:, 7, g] = -mu[j] * fit[j] * eb[j], mu[j] * fit[j]
    c = np.linalg.solve(mat, rhs)

    # Displacement of the insert at the stations, for both cases.
    before, thread, behind = blocks
    end = (m + le)[:, None]
    m0 = mu0[:, None]
    modes = [np.exp(-m0 * before), np.exp(-m0 * (m - before))]
    modes_t = []
    for q in mu:
        modes_t += [np.exp(-q[:, None] * (thread - m)), np.exp(-q[:, None] * (end - thread))]
    modes_b = [np.exp(-m0 * (behind - end)), np.exp(-m0 * (L - behind))]
    u = []
    for case in (0, 1):
        k = c[:, :, case, None]
        u.append(np.concatenate([
            k[:, 0] * modes[0] + k[:, 1] * modes[1],
            k[:, 2] * modes_t[0] + k[:, 3] * modes_t[1] + k[:, 4] * modes_t[2] + k[:, 5] * modes_t[3],
            k[:, 6] * modes_b[0] + k[:, 7] * modes_b[1]], axis=1))

    # Preload: both together. k_t, thread load by modes (its integral is 1), share of the first turn.
    both = c.sum(axis=2)
    u_seat = both[:, 0] + both[:, 1] * e0
    u_fit = sum(fit[j] * (both[:, 2 + 2 * j] + both[:, 3 + 2 * j] * eb[j]) for j in (0, 1))
    k_t = 1.0 / (u_seat - (u_fit - m / EA_FIT))
    load = [K_FLANK * (1 - fit[j]) * both[:, 2 + 2 * j + w] for j in (0, 1) for w in (0, 1)]
    first = 0.0
    for j in (0, 1):
        first = first + load[2 * j] / mu[j] * (1 - np.exp(-mu[j] * P)) \
            + load[2 * j + 1] / mu[j] * (np.exp(-mu[j] * (le - P)) - eb[j])
    return u[0], u[1], k_t, first, (mu, load, modes_t, eb)


def torsion(le, k_q, thread_load, blocks):
    """Section 7: twist of the insert per N·mm from the thread (spread as its load) and the seat."""
    mu, load, modes_t, eb = thread_load
    n, m = le.size, SETBACK
    q0 = np.sqrt(k_q / GJ_INS)
    e0, et, ec = np.exp(-q0 * m), np.exp(-q0 * le), np.exp(-q0 * (L - m - le))
    # Particular solution over the thread, mode by mode; its value and slope at both borders.
    part = [load[2 * j + w] / (k_q - GJ_INS * mu[j] ** 2) for j in (0, 1) for w in (0, 1)]
    at_a = part[0] + part[1] * eb[0] + part[2] + part[3] * eb[1]
    at_b = part[0] * eb[0] + part[1] + part[2] * eb[1] + part[3]
    slope_a = mu[0] * (part[1] * eb[0] - part[0]) + mu[1] * (part[3] * eb[1] - part[2])
    slope_b = mu[0] * (part[1] - part[0] * eb[0]) + mu[1] * (part[3] - part[2] * eb[1])
    mat = np.zeros((n, 6, 6))
    rhs = np.zeros((n, 6, 2))
    mat[:, 0, 0], mat[:, 0, 1] = -1.0, e0
    rhs[:, 0, 1] = -1.0 / (GJ_INS * q0)
    mat[:, 1, 4], mat[:, 1, 5] = -ec, 1.0
    mat[:, 2, 0], mat[:, 2, 1], mat[:, 2, 2], mat[:, 2, 3] = e0, 1.0, -1.0, -et
    mat[:, 3, 0], mat[:, 3, 1], mat[:, 3, 2], mat[:, 3, 3] = -e0, 1.0, 1.0, -et
    mat[:, 4, 2], mat[:, 4, 3], mat[:, 4, 4], mat[:, 4, 5] = et, 1.0, -1.0, -ec
    mat[:, 5, 2], mat[:, 5, 3], mat[:, 5, 4], mat[:, 5, 5] = -et, 1.0, 1.0, -ec
    rhs[:, 2, 0], rhs[:, 3, 0] = at_a, slope_a / q0
    rhs[:, 4, 0], rhs[:, 5, 0] = -at_b, -slope_b / q0
    c = np.linalg.solve(mat, rhs)
    before, thread, behind = blocks
    end = (m + le)[:, None]
    q = q0[:, None]
    hom = [np.exp(-q * before), np.exp(-q * (m - before)), np.exp(-q * (thread - m)),
           np.exp(-q * (end - thread)), np.exp(-q * (behind - end)), np.exp(-q * (L - behind))]
    twist = []
    for case in (0, 1):
        k = c[:, :, case, None]
        twist.append(np.concatenate([k[:, 2 * i] * hom[2 * i] + k[:, 2 * i + 1] * hom[2 * i + 1]
                                     for i in (0, 1, 2)], axis=1))
    over = slice(N_BEFORE, N_BEFORE + N_THREAD)
    for p, mode in zip(part, modes_t, strict=True):
        twist[0][:, over] += p[:, None] * mode
    return twist


def rocking(le, eta, r_b, x):
    """Section 8: Timoshenko beam on two springs, for 1 N at the bearing: w and psi at x.

    Each end of the line load sends out decaying waves; the free ends send back what is missing.
    """
    k_n, k_s = E_C / eta, G_A / eta
    k_l = (1 - VOIDS) * np.pi * r_b * (k_n + k_s)
    k_r = (1 - VOIDS) * np.pi * r_b**3 * k_s
    # Line load and line couple whose resultant about the face is V = 1, M = e.
    q = 1.0 / le
    couple = -(OUTBOARD + SETBACK + le / 2) / le
    w_p, psi_p = q / k_l, couple / (k_r + KGA)
    # Roots of KGA·EI·r^4 - (KGA·k_r + k_l·EI)·r^2 + k_l·(KGA + k_r) = 0.
    b, c4 = KGA * k_r + k_l * EI, k_l * (KGA + k_r)
    disc = b**2 - 4 * KGA * EI * c4
    if np.any(disc <= 0):
        raise ValueError("complex roots: another regime than this job's")
    r = np.sqrt((b[:, None] + np.sqrt(disc)[:, None] * np.array([1.0, -1.0])) / (2 * KGA * EI))
    ph = r - (k_l[:, None] / KGA) / r  # psi of a mode exp(+r·x) with w = 1
    mo = r * ph  # its moment over EI
    sh = k_l[:, None] / r  # its shear force
    # A step of the load at s: left e^{r(x-s)}·(odd + even)/2, right e^{-r(x-s)}·(odd - even)/2.
    det_e = mo[:, 1] - mo[:, 0]
    even = np.stack([w_p * mo[:, 1] / det_e, -w_p * mo[:, 0] / det_e], axis=1)
    det_o = ph[:, 0] * sh[:, 1] - ph[:, 1] * sh[:, 0]
    odd = np.stack([psi_p * (sh[:, 1] + KGA * ph[:, 1]) / det_o,
                    -psi_p * (KGA * ph[:, 0] + sh[:, 0]) / det_o], axis=1)
    left, right = (odd + even) / 2, (odd - even) / 2
    # What the two steps leave at the ends (moment and shear), and the waves that take it away.
    s1, s2 = SETBACK, SETBACK + le
    in1, in2 = np.exp(-r * s1), np.exp(-r * s2[:, None])
    out1, out2 = np.exp(-r * (L - s1)), np.exp(-r * (L - s2)[:, None])
    m_0 = (mo * left * (in1 - in2)).sum(axis=1)
    v_0 = (sh * left * (in1 - in2)).sum(axis=1)
    m_l = (mo * right * (out1 - out2)).sum(axis=1)
    v_l = -(sh * right * (out1 - out2)).sum(axis=1)
    el = np.exp(-r * L)
    mat = np.empty((le.size, 4, 4))
    mat[:, 0, :2], mat[:, 0, 2:] = mo, mo * el
    mat[:, 1, :2], mat[:, 1, 2:] = -sh, sh * el
    mat[:, 2, :2], mat[:, 2, 2:] = mo * el, mo
    mat[:, 3, :2], mat[:, 3, 2:] = -sh * el, sh
    ends = np.linalg.solve(mat, -np.stack([m_0, v_0, m_l, v_l], axis=1)[:, :, None])[:, :, 0]

    inside = (x >= s1) & (x <= s2[:, None])
    w = np.where(inside, w_p[:, None], 0.0)
    psi = np.where(inside, psi_p[:, None], 0.0)
    for j in (0, 1):
        rj, pj = r[:, j, None], ph[:, j, None]
        for s, sign in ((np.full_like(le, s1)[:, None], 1.0), (s2[:, None], -1.0)):
            wave = np.exp(-rj * np.abs(x - s))
            before = (x < s) if sign > 0 else (x <= s)
            wave *= sign * np.where(before, left[:, j, None], right[:, j, None])
            w += wave
            psi += pj * np.where(before, wave, -wave)
        from_0 = ends[:, j, None] * np.exp(-rj * x)
        from_l = ends[:, 2 + j, None] * np.exp(-rj * (L - x))
        w += from_0
        w += from_l
        psi += pj * (from_l - from_0)
    return w, psi, k_n, k_s


# --- The glue's use -------------------------------------------------------------------------------


def strengths(factor, tau_p):
    """Tension, shear of an elastic peak, shear without ductility; each the lesser of glue and ply.

    `factor` holds preparation; the laminate's first ply is not cut by it (section 10).
    """
    ply = factor / PREPARATION
    sigma = min(factor * SIGMA_A, ply * PLY_TENSION)
    effective = factor * tau_p * np.sqrt(1 + 2 * GAMMA_P / (tau_p / G_A))
    return (sigma, np.minimum(effective, ply * PLY_SHEAR),
            np.minimum(factor * tau_p, ply * PLY_SHEAR))


def heat(t):
    """1 at 20 °C, straight line to the row's hot temperature."""
    return 1.0 if t <= T_ROOM else 1 - (1 - HOT_FACTOR) * (t - T_ROOM) / (HOT_T - T_ROOM)


# The search for the worst point takes most of the time, so it stands here twice: in plain
# expressions, as one writes it first, and with its arrays reused, as one has it after profiling.


def service_plain(sigma_th, peel, tau_0s, rock_x, rock_f, sigma, tau, tau_elastic):
    """Highest U over stations, angles and preloads, with ductility and without.

    No torsion in service. U² is compared and its root taken once.
    """
    n_0, n_1 = (sigma_th / sigma)[:, None], peel / sigma
    k, k_elastic = (1 / tau**2)[:, None], (1 / tau_elastic**2)[:, None]
    top = top_elastic = 0.0
    for phi in ANGLES:
        c, s = np.cos(phi), np.sin(phi)
        n2 = np.maximum(n_0 + n_1 * c, 0.0) ** 2
        for tau_0 in tau_0s:
            t2 = (tau_0 + rock_x * c) ** 2 + (rock_f * s) ** 2
            top = np.maximum(top, (n2 + t2 * k).max(axis=1))
            top_elastic = np.maximum(top_elastic, (n2 + t2 * k_elastic).max(axis=1))
    return np.sqrt(top), np.sqrt(top_elastic)


def endurance_plain(sigma_th, peel, tau_static, tau_half, rock_x, rock_f, sigma, tau, sigma_e, tau_e):
    """Highest U(static + p/2) + U(p/2 against the endurance strengths); peel, rock_* are halves."""
    n_0, n_1, m_1 = (sigma_th / sigma)[:, None], peel / sigma, peel / sigma_e
    k, k_e = (1 / tau**2)[:, None], (1 / tau_e**2)[:, None]
    top = 0.0
    for phi in ANGLES:
        c, s = np.cos(phi), np.sin(phi)
        f2 = (rock_f * s) ** 2
        x = rock_x * c
        once = np.sqrt(np.maximum(n_0 + n_1 * c, 0.0) ** 2 + ((tau_static + x) ** 2 + f2) * k)
        often = np.sqrt((m_1 * c) ** 2 + ((tau_half + x) ** 2 + f2) * k_e)
        top = np.maximum(top, (once + often).max(axis=1))
    return top


def service_reused(sigma_th, peel, tau_0s, rock_x, rock_f, sigma, tau, tau_elastic):
    """As `service_plain`, arrays reused."""
    n_0, n_1 = (sigma_th / sigma)[:, None], peel / sigma
    k, k_elastic = (1 / tau**2)[:, None], (1 / tau_elastic**2)[:, None]
    rock_f2 = rock_f**2
    top, top_elastic = np.zeros_like(peel), np.zeros_like(peel)
    n2, f2, x, t2, u2 = (np.empty_like(peel) for _ in range(5))
    for phi in ANGLES:
        c, s = np.cos(phi), np.sin(phi)
        np.multiply(n_1, c, out=n2)
        n2 += n_0
        np.maximum(n2, 0.0, out=n2)
        n2 *= n2
        np.multiply(rock_f2, s * s, out=f2)
        np.multiply(rock_x, c, out=x)
        for tau_0 in tau_0s:
            np.add(tau_0, x, out=t2)
            t2 *= t2
            t2 += f2
            np.multiply(t2, k, out=u2)
            u2 += n2
            np.maximum(top, u2, out=top)
            np.multiply(t2, k_elastic, out=u2)
            u2 += n2
            np.maximum(top_elastic, u2, out=top_elastic)
    return np.sqrt(top.max(axis=1)), np.sqrt(top_elastic.max(axis=1))


def endurance_reused(sigma_th, peel, tau_static, tau_half, rock_x, rock_f, sigma, tau, sigma_e, tau_e):
    """As `endurance_plain`, arrays reused."""
    n_0, n_1, m2 = (sigma_th / sigma)[:, None], peel / sigma, (peel / sigma_e) ** 2
    k, k_e = (1 / tau**2)[:, None], (1 / tau_e**2)[:, None]
    rock_f2 = rock_f**2
    top = np.zeros_like(peel)
    once, often, f2, x, t2 = (np.empty_like(peel) for _ in range(5))
    for phi in ANGLES:
        c, s = np.cos(phi), np.sin(phi)
        np.multiply(rock_f2, s * s, out=f2)
        np.multiply(rock_x, c, out=x)
        np.multiply(n_1, c, out=once)
        once += n_0
        np.maximum(once, 0.0, out=once)
        once *= once
        np.add(tau_static, x, out=t2)
        t2 *= t2
        t2 += f2
        t2 *= k
        once += t2
        np.sqrt(once, out=once)
        np.multiply(m2, c * c, out=often)
        np.add(tau_half, x, out=t2)
        t2 *= t2
        t2 += f2
        t2 *= k_e
        often += t2
        np.sqrt(often, out=often)
        once += often
        np.maximum(top, once, out=top)
    return top.max(axis=1)


STYLES = {"plain": (service_plain, endurance_plain), "reused": (service_reused, endurance_reused)}


# --- The assessment -------------------------------------------------------------------------------


def assess(torque, mu_t, mu_s, tau_p, eta, engaged, force, style="reused"):
    """All checks (ratios) and values for arrays of samples. Torque in N·mm, the rest in N, mm, MPa."""
    worst_service, worst_endurance = STYLES[style]
    v = {}
    one = np.ones_like(torque)
    le = np.maximum(engaged - INCOMPLETE, 0.0)
    # Stripping, hoop (section 3).
    cap = {"strip.external": STRIP_EXT * le, "strip.internal": STRIP_INT * le, "hoop": HOOP * le}
    v["thread.engaged_effective"], v["thread.turns"] = le, le / P
    v["thread.shear_area.external"], v["thread.shear_area.internal"] = AREA_EXT * le, AREA_INT * le
    for name, c in cap.items():
        v[name + ".capacity"] = c

    # Preload (section 4).
    rho = np.arctan(mu_t / np.cos(ALPHA_N))
    high = torque / (R2 * np.tan(LEAD + rho) + mu_s * R_SEAT)
    t_thread = high * R2 * np.tan(LEAD + rho)
    t_seat = high * mu_s * R_SEAT
    undo_thread = high * R2 * np.tan(rho - LEAD)
    undo = undo_thread + t_seat
    v["preload.nominal"] = v["preload.high"] = high
    v["torque.pitch"] = high * P / (2 * np.pi) / 1e3
    v["torque.thread_friction"] = t_thread / 1e3 - v["torque.pitch"]
    v["torque.seat"] = t_seat / 1e3
    v["torque.loosening"] = v["bond.removal.torque"] = undo / 1e3
    v["torque.set_on_tool"] = torque / 1e3

    # Glue layer, ladder, torsion, rocking for this sample's thickness and engaged length.
    r_b = (D_O + eta) / 2
    stiff = G_A / eta
    k_g = (1 - VOIDS) * 2 * np.pi * r_b * stiff
    blocks = stations(le)
    x = np.concatenate(blocks, axis=1)
    u_f, u_p, k_t, first, thread_load = ladder(le, k_g, blocks)
    tw_thread, tw_seat = torsion(le, (1 - VOIDS) * 2 * np.pi * r_b**3 * stiff, thread_load, blocks)
    tau_f, tau_s = stiff[:, None] * u_f, stiff[:, None] * u_p  # axial glue shear per N
    tw = (stiff * r_b)[:, None]
    twist_thread, twist_seat = tw * tw_thread, tw * tw_seat  # torsional glue shear per N·mm
    w, psi, k_n, k_s = rocking(le, eta, r_b, x)
    peel_1 = np.abs(k_n[:, None] * w)  # per N at the bearing
    rock_x_1 = np.abs((k_s * r_b)[:, None] * psi)
    rock_f_1 = np.abs(k_s[:, None] * w)
    v["thread.stiffness"], v["thread.first_turn_share"] = k_t, first

    # Preload low: the larger of the two losses.
    loss_e = F_Z / (1 / k_t + 1 / K_S)
    loss_r = RELAXATION * high
    low = np.maximum(high - np.maximum(loss_e, loss_r), 0.0)
    v["preload.loss.embedding"], v["preload.loss.relaxation"], v["preload.low"] = loss_e, loss_r, low
    low = np.maximum(low, 0.01)

    # Seat, closed ring (section 6), for both pedals, at both preloads.
    k_tilt = K_C * SEAT_I + k_t * R2**2 / 2
    area = 2 * np.pi * r_b * L * (1 - VOIDS)
    pry = crush = 0.0
    open_ratio = slip_ratio = np.inf
    service = []  # per pedal and preload: V, force in the thread, net axial force
    for i, (radial, axial, chain) in enumerate(PEDALS):
        load_v, n_ext = radial * force, axial * force
        moment = load_v * OUTBOARD
        tilt = np.abs(moment) / k_tilt
        state = {}
        for f0, name in ((high, "high"), (low, "low")):
            z = f0 / K_S - n_ext / (K_S + k_t)
            if np.any(z < RO * tilt):
                raise ValueError("the seat opens: contact has to be solved by iteration")
            seat = K_S * z
            state[name] = (z, seat, seat + n_ext)
        z, seat, f_t = state["high"]
        pry_i = (f_t + k_t * R2 * tilt) / high
        peak_i = K_C * (z + RO * tilt)
        pry, crush = np.maximum(pry, pry_i), np.maximum(crush, peak_i)
        m_open = (low / K_S - n_ext / (K_S + k_t)) / RO * k_tilt
        open_ratio = np.minimum(open_ratio, m_open / np.abs(moment))
        _, seat_l, f_tl = state["low"]
        holds = mu_s * seat_l + np.maximum(f_tl, 0.0) * TAN_A / 2
        slip_ratio = np.minimum(slip_ratio, holds / load_v)
        service.append((load_v, [(f_t, seat), (f_tl, seat_l)], n_ext))
        if i == VALUES_PEDAL:
            v["pedal.radial"] = v["load.radial"] = load_v
            v["pedal.moment"] = v["load.moment"] = v["bond.rocking.moment"] = moment / 1e3
            v["pedal.axial"] = v["load.axial"] = n_ext
            v["pedal.chain"] = chain * force
            v["seat.pressure.mean"], v["seat.pressure.peak"] = seat / SEAT_A, peak_i
            v["seat.moment.open"], v["seat.pull.extra"] = m_open / 1e3, f_t - high
            v["seat.prying_factor"] = pry_i
            lever = moment / (RO**2 + R2**2 / 2)
            v["lever_out.pull"] = lever * RO
            v["lever_out.line_load"] = lever * (RO + R2) / (2 * np.pi * R2)
            n_b = f_t - seat
            v["bond.axial.force"], v["bond.axial.mean"] = n_b, n_b / area
            v["bond.axial.peak"] = np.abs(f_t[:, None] * tau_f + seat[:, None] * tau_s).max(axis=1)
            v["bond.rocking.peel"] = load_v * peel_1.max(axis=1)
            shear2 = 0.0
            for phi in ANGLES:
                shear2 = np.maximum(shear2, ((rock_x_1 * np.cos(phi)) ** 2
                                             + (rock_f_1 * np.sin(phi)) ** 2).max(axis=1))
            v["bond.rocking.shear"] = load_v * np.sqrt(shear2)

    # Neck and flange (sections 4 and 11), engagement.
    ratio = {}
    demand = pry * high
    for name, c in cap.items():
        ratio[name] = c / demand
    needed = le * demand * np.max([NEED[name] / c for name, c in cap.items()], axis=0)
    v["thread.engagement_needed"] = needed
    ratio["engagement"] = le / needed
    q = NEED["hoop"] * demand * TAN_A / (SY_I * np.pi * D2 * le)
    v["insert.wall_for_hoop"] = D * (np.sqrt((1 + q) / (1 - q)) - 1) / 2
    axial_s, shear_s, bend_s = high / NECK_A, t_thread * R_NECK / NECK_J, high * FLANGE_PER_N
    v["neck.stress.axial"], v["neck.stress.shear"], v["flange.stress"] = axial_s, shear_s, bend_s
    v["neck.stress.equivalent"] = np.sqrt(axial_s**2 + 3 * shear_s**2)
    ratio["neck"] = SY_FIT / np.sqrt((pry * axial_s) ** 2 + 3 * shear_s**2)
    ratio["flange"] = SY_FIT / (pry * bend_s)
    allowed = np.maximum(SY_FIT / NEED["neck"], axial_s)
    v["neck.removal.limit"] = np.sqrt((allowed**2 - axial_s**2) / 3) * NECK_J / R_NECK / 1e3
    ratio["seat.crush"] = SY_I / crush
    ratio["seat.open"], ratio["seat.slip"] = open_ratio, slip_ratio
    ratio["torque.maker"] = np.minimum(torque / MAKER_LOW, MAKER_HIGH / torque)

    # Thermal stress per kelvin below the cure (section 9).
    ri, rf = D / 2, FRAME_OD / 2
    c_i = r_b / E_I * ((r_b**2 + ri**2) / (r_b**2 - ri**2) - NU_I)
    c_o = r_b / E_FR * ((rf**2 + r_b**2) / (rf**2 - r_b**2) + NU_FR)
    radial_1 = ((A_I - A_FR) * r_b + eta * A_A * (1 + NU_A) / (1 - NU_A)) / (c_i + c_o + eta / E_C)
    ea_fr = E_FR * np.pi / 4 * (FRAME_OD**2 - (D_O + 2 * eta) ** 2)
    b = np.sqrt(k_g * (1 / EA_INS + 1 / ea_fr))[:, None]
    shear_1 = np.abs(stiff[:, None] * (A_I - A_FR) * np.sinh(b * (x - L / 2)) / (b * np.cosh(b * L / 2)))
    v["bond.thermal.radial.cold"] = (T_CURE - T_COLD) * radial_1
    v["bond.thermal.radial.hot"] = (T_CURE - T_HOT) * radial_1
    v["bond.thermal.shear.cold"] = (T_CURE - T_COLD) * shear_1.max(axis=1)

    # Tightening and removal: no rocking, so the same all round.
    k_room = T_CURE - T_ROOM
    thread_torque, seat_torque = t_thread[:, None], t_seat[:, None]
    torsion_on = np.abs(thread_torque * twist_thread + seat_torque * twist_seat)
    torsion_off = np.abs(undo_thread[:, None] * twist_thread + seat_torque * twist_seat)
    tau_pre = high[:, None] * (tau_f + tau_s)  # the ladder under the preload alone
    v["bond.torsion.torque"], v["bond.torsion.mean"] = torque / 1e3, torque / (r_b * area)
    v["bond.torsion.peak"] = torsion_on.max(axis=1)
    sigma, tau, _ = strengths(PREPARATION, tau_p)
    u2 = (np.maximum(k_room * radial_1, 0.0) / sigma) ** 2 + (
        (np.abs(tau_pre) + k_room * shear_1) ** 2 + torsion_on**2).max(axis=1) / tau**2
    mean = torque / r_b / (area * tau_p * PREPARATION)
    ratio["bond.tightening"] = 1 / np.maximum(np.sqrt(u2), mean)
    f_undo = PREPARATION * AGEING
    sigma, tau, _ = strengths(f_undo, tau_p)
    n2 = (np.maximum(k_room * radial_1, 0.0) / sigma) ** 2
    u2 = n2 + ((k_room * shear_1) ** 2 + torsion_off**2).max(axis=1) / tau**2
    mean = undo / r_b / (area * tau_p * f_undo)
    ratio["bond.removal"] = 1 / np.maximum(np.sqrt(u2), mean)
    # Highest removal torque: U and Um of it, in the same shares of thread and seat.
    room = (1 / NEED["bond.removal"] ** 2 - n2) * tau**2
    times = np.sqrt(np.maximum(room[:, None] - (k_room * shear_1) ** 2, 0.0)) / torsion_off
    limit = np.minimum(times.min(axis=1), 1 / (NEED["bond.removal"] * mean))
    v["bond.removal.limit"] = limit * undo / 1e3

    # Service, cold and hot, both pedals, preload high and low; endurance, cold and hot.
    elastic = 0.0
    endurance = 0.0
    for t, name in ((T_COLD, "cold"), (T_HOT, "hot")):
        factor = PREPARATION * AGEING * heat(t)
        sigma, tau, tau_el = strengths(factor, tau_p)
        sigma_th, shear_th = (T_CURE - t) * radial_1, abs(T_CURE - t) * shear_1
        sigma_e = min(factor * SIGMA_A, factor / PREPARATION * PLY_TENSION) * ENDURANCE_SHARE
        tau_e = tau_el * ENDURANCE_SHARE
        worst = 0.0
        for load_v, preloads, n_ext in service:
            lv = load_v[:, None]
            peel, rock_x, rock_f = lv * peel_1, lv * rock_x_1, lv * rock_f_1
            mean = n_ext / (area * tau_p * factor)
            tau_0s = [np.abs(f_t[:, None] * tau_f + seat[:, None] * tau_s) + shear_th
                      for f_t, seat in preloads]
            u, u_el = worst_service(sigma_th, peel, tau_0s, rock_x, rock_f, sigma, tau, tau_el)
            worst = np.maximum(worst, np.maximum(u, mean))
            elastic = np.maximum(elastic, np.maximum(u_el, mean))
            f_t, seat = preloads[0]
            half = (f_t[:, None] * tau_f + seat[:, None] * tau_s - tau_pre) / 2
            endurance = np.maximum(endurance, worst_endurance(
                sigma_th, peel / 2, np.abs(tau_pre + half) + shear_th, np.abs(half),
                rock_x / 2, rock_f / 2, sigma, tau, sigma_e, tau_e))
        ratio["bond.service." + name] = 1 / worst
    ratio["bond.endurance"] = 1 / endurance
    v["bond.service.elastic"] = 1 / elastic

    # The rest of the values.
    v["bond.radius"], v["bond.gap.side"], v["bond.gap.diameter"] = r_b, eta, 2 * eta
    v["bond.area"], v["bond.volume"] = area, 2 * np.pi * r_b * eta * L
    cut = PREPARATION * tau_p
    energy = 2 * 2 * np.pi * r_b * (1 - VOIDS) * eta * cut * (tau_p / G_A / 2 + GAMMA_P)
    gj_fr = G_FR * np.pi / 32 * (FRAME_OD**4 - (D_O + 2 * eta) ** 4)
    v["bond.ductile.axial"] = np.minimum(area * cut, np.sqrt(energy / (1 / EA_INS + 1 / ea_fr)))
    v["bond.ductile.torque"] = np.minimum(r_b * area * cut,
                                          np.sqrt(energy / (1 / GJ_INS + 1 / gj_fr))) / 1e3
    for name, constant in (("thread.pitch", P), ("thread.lead_angle", np.degrees(LEAD)),
                           ("thread.major", D), ("thread.pitch_diameter", D2),
                           ("thread.internal_minor", D1), ("thread.root", D3),
                           ("thread.stress_area", np.pi / 4 * ((D2 + D3) / 2) ** 2),
                           ("strip.dilation_factor", DILATION),
                           ("strip.bending_factor.external", C2),
                           ("strip.bending_factor.internal", C3),
                           ("insert.wall", (D_O - D) / 2), ("seat.share.insert", 1.0),
                           ("seat.radius_effective", R_SEAT), ("seat.area", SEAT_A),
                           ("seat.unsupported", FLANGE_D / 2 - RO), ("seat.stiffness", K_S),
                           ("seat.contact.preload", 1.0), ("seat.contact.load", 1.0),
                           ("bond.soft_wall_factor", 1.0)):
        v[name] = constant * one
    margin = np.stack([ratio[k] / NEED[k] - 1 for k in ratio if k not in SERVICEABILITY])
    v["lowest_margin"] = margin.min(axis=0)
    return ratio, v


# --- Samples --------------------------------------------------------------------------------------


def draw(n, seed):
    """Normals give two standard deviations and are cut at four; ranges are rectangular (section 14)."""
    rng = np.random.default_rng(seed)

    def normal(mid, two_sd):
        z = rng.standard_normal(n)
        while np.any(out := np.abs(z) > 4):
            z[out] = rng.standard_normal(out.sum())
        return mid + two_sd / 2 * z

    return dict(torque=normal(40e3, 1.6e3), mu_t=rng.uniform(0.08, 0.16, n),
                mu_s=rng.uniform(0.08, 0.16, n), tau_p=rng.uniform(34.0, 42.0, n),
                eta=rng.uniform(0.20, 0.30, n), engaged=rng.uniform(11.5, 12.5, n),
                force=normal(1000.0, 100.0))


JOB = ["tightening.torque=40 N·m ± 4 %", "tightening.thread_friction=0.08 .. 0.16",
       "tightening.seat_friction=0.08 .. 0.16",
       'adhesive."demonstration film".shear_strength=34 .. 42 MPa',
       "bond.thickness=0.20 .. 0.30 mm", "thread.engaged=11.5 .. 12.5 mm",
       "pedalling.force=1000 N ± 10 %", "insert.face_offset=0.15 mm"]


def run(binary, *args):
    """The program's JSON; its exit codes 0, 1 and 4 are answers (see the interface)."""
    done = subprocess.run([binary, *args], capture_output=True, text=True)
    if done.returncode not in (0, 1, 4):
        sys.exit(done.stderr)
    return json.loads(done.stdout)


def with_sets(sets):
    return [a for s in sets for a in ("--set", s)]


def check_points(binary, points, seed):
    """Every ratio and value at some samples, beside `check` with the drawn values put in."""
    samples = draw(points, seed)
    styles = [assess(**samples, style=style) for style in STYLES]
    worst = {}
    for i in range(points):
        s = {k: float(a[i]) for k, a in samples.items()}
        sets = [f"tightening.torque={s['torque'] / 1e3!r} N·m ± 0 %",
                f"tightening.thread_friction={s['mu_t']!r}", f"tightening.seat_friction={s['mu_s']!r}",
                f"adhesive.\"demonstration film\".shear_strength={s['tau_p']!r} MPa",
                f"bond.thickness={s['eta']!r} mm", f"thread.engaged={s['engaged']!r} mm",
                f"pedalling.force={s['force']!r} N", "insert.face_offset=0.15 mm"]
        out = run(binary, "check", "--format", "json", *with_sets(sets))
        want = {"ratio " + c["id"]: c["ratio"] for c in out["checks"]}
        want |= {k: e["value"] for k, e in out["values"].items()}
        want["1 + lowest margin"] = 1 + min(c["margin"] for c in out["checks"] if c["kind"] == "strength")
        for ratio, values in styles:
            got = {"ratio " + k: r[i] for k, r in ratio.items()}
            got |= {k: r[i] for k, r in values.items() if k != "lowest_margin"}
            got["1 + lowest margin"] = 1 + values["lowest_margin"][i]
            if set(got) != set(want):
                sys.exit(f"only here: {sorted(set(got) - set(want))}; "
                         f"only there: {sorted(set(want) - set(got))}")
            for k in want:
                diff = got[k] / want[k] - 1 if want[k] else got[k]
                if abs(diff) >= abs(worst.get(k, (0.0,))[0]):
                    worst[k] = (diff, got[k], want[k])
    ratios = sum(k.startswith("ratio") for k in worst)
    print(f"{points} samples, {len(worst)} results each ({ratios} ratios, the rest values), both styles;")
    print("largest relative difference of each ratio, then of the ten worst values")
    ranked = sorted(worst.items(), key=lambda e: (not e[0].startswith("ratio"), -abs(e[1][0])))
    print(f"{'result':30}{'difference':>12}{'here':>14}{'program':>14}")
    for k, (diff, here, there) in ranked[:ratios + 10]:
        print(f"{k:30}{diff:12.1e}{here:14.7g}{there:14.7g}")
    bad = [k for k, e in worst.items() if not abs(e[0]) <= 1e-2]
    close = sum(abs(e[0]) <= 1e-3 for e in worst.values())
    print(f"{close} of {len(worst)} within 0.1 %; beyond 1 %: {bad or 'none'}")
    return bad


def check_scatter(binary, n=20000):
    """Median and 2.5/97.5 percentiles beside those of `scatter`: other random numbers, same study."""
    out = run(binary, "scatter", "--format", "json", "--samples", str(n), "--contributors", "0",
              *with_sets(JOB))
    parts = [assess(**draw(1000, 100 + i)) for i in range(n // 1000)]
    worst = (0.0, "")
    for k, band in list(out["ratios"].items()) + list(out["values"].items()):
        here = np.concatenate([(p[0] if k in out["ratios"] else p[1])[k] for p in parts])
        for q, name in ((2.5, "low"), (50, "median"), (97.5, "high")):
            diff = np.percentile(here, q) / band[name] - 1 if band[name] else abs(here).max()
            if abs(diff) > abs(worst[0]):
                worst = (diff, f"{k} ({name})")
    print(f"percentiles of {n} samples beside `scatter`: worst {worst[0]:+.2%}, {worst[1]}")
    return abs(worst[0]) > 0.03


def check(binary, points=40, seed=1):
    bad = check_points(binary, points, seed)
    return 1 if check_scatter(binary) or bad else 0


def best_of(times, call):
    """Least wall and least CPU time, in seconds."""
    wall = cpu = np.inf
    for _ in range(times):
        t, c = time.perf_counter(), time.process_time()
        call()
        wall, cpu = min(wall, time.perf_counter() - t), min(cpu, time.process_time() - c)
    return wall, cpu


def timing(binary=None):
    """Best of three, one process. A batch is one call, so that its arrays grow with it; the chunks
    are 1e5 samples in calls of that size."""
    print("NumPy", np.__version__, "Python", sys.version.split()[0],
          "OPENBLAS_NUM_THREADS =", os.environ.get("OPENBLAS_NUM_THREADS", "not set"),
          "cores", os.cpu_count(), "load", " ".join(f"{a:.2f}" for a in os.getloadavg()))
    print(f"stations {N_BEFORE + N_THREAD + N_BEHIND}, angles {ANGLES.size}; microseconds a sample")
    for style in STYLES:
        assess(**draw(1000, 0), style=style)  # warm
    print(f"{'samples':>17}" + "".join(f"{style + ' wall':>13}{style + ' CPU':>13}" for style in STYLES))
    figures = {}
    for n in (100, 300, 1000, 3000, 10000, 30000, 100000):
        samples = draw(n, 1)
        line = f"{n:17}"
        for style in STYLES:
            wall, cpu = best_of(3 if n >= 1000 else 10, lambda: assess(**samples, style=style))
            line += f"{wall / n * 1e6:13.1f}{cpu / n * 1e6:13.1f}"
            figures[style, n] = wall / n
        print(line, flush=True)
    n = 100000
    whole = draw(n, 1)
    for size in (100, 300):
        line = f"{n} / {size}".rjust(17)
        for style in STYLES:
            def chunks():
                for i in range(0, n, size):
                    assess(**{k: a[i:i + size] for k, a in whole.items()}, style=style)
            wall, cpu = best_of(3, chunks)
            figures[style, size] = min(wall / n, figures[style, size])
            line += f"{wall / n * 1e6:13.1f}{cpu / n * 1e6:13.1f}"
        print(line, flush=True)
    t_draw, _ = best_of(3, lambda: draw(n, 1))
    ratio, values = assess(**{k: a[:1000] for k, a in whole.items()})
    results = np.tile(np.stack([*ratio.values(), *values.values()]), n // 1000)
    results = np.random.default_rng(0).permuted(results, axis=1)
    t_perc, _ = best_of(1, lambda: np.percentile(results, [2.5, 50, 97.5], axis=1))
    print(f"not counted: drawing {t_draw / n * 1e6:.2f}, percentiles of {results.shape[0]} results "
          f"{t_perc / n * 1e6:.2f} (1e5 samples)")
    if binary:
        for threads in ("1", str(os.cpu_count())):
            args = ["scatter", "--format", "json", "--samples", str(n), "--contributors", "0",
                    "--threads", threads, *with_sets(JOB)]
            wall, _ = best_of(3, lambda: run(binary, *args))
            print(f"`scatter`, {n} samples, {threads} thread(s), drawing, percentiles, start and "
                  f"output included: {wall / n * 1e6:.2f}")
            for style in STYLES:
                times = {size: t / (wall / n) for (st, size), t in figures.items() if st == style}
                print(f"  NumPy, {style}: {min(times.values()):.1f} times that at the best size of a "
                      f"call ({min(times, key=times.get)}), {times[1000]:.1f} times at 1000, "
                      f"{times[10000]:.1f} at 10000, {times[n]:.1f} in one call")
    print("load", " ".join(f"{a:.2f}" for a in os.getloadavg()))


if __name__ == "__main__":
    if len(sys.argv) >= 3 and sys.argv[1] == "check":
        sys.exit(check(sys.argv[2], *(int(a) for a in sys.argv[3:])))
    elif len(sys.argv) in (2, 3) and sys.argv[1] == "time":
        timing(*sys.argv[2:])
    elif sys.argv[1:] == ["job"]:
        print(" ".join(f"--set '{s}'" for s in JOB))
    else:
        sys.exit(__doc__)
