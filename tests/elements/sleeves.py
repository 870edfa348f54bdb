#!/usr/bin/env python3
"""Bonded sleeves by finite elements: an independent check of the glue's load path.

What it is. Fitting, insert, glue and frame as one body of revolution of quadratic elements, each region with
its own elastic constants, solved with scikit-fem, a general-purpose finite-element library. It shares no
line and no idealisation with the program: walls shear and bend, the section warps, the frame gives way.

How to make the results again (outside the crate's build, about two minutes on one core):

    python3 -m venv venv
    venv/bin/pip install scikit-fem==12.0.2 numpy==2.4.6 scipy==1.17.1
    venv/bin/python sleeves.py cases.toml results.toml [NAME ...]

Cases stand in `cases.toml`, which the Rust test `tests/elements.rs` reads as well; results go to
`results.toml`. With names only those cases are run; the others stay in the file as they are.

`sleeves.py verify` holds the elements against closed forms: rigid movements, a cantilever, torsion, Lamé.

Units: mm, N, MPa, N·mm inside; the results name theirs. x runs inward from the face, r from the axis.

Choices.
- Harmonic 0. The fitting hangs on the insert by flank springs along x (section 12 of the engineering basis,
  `flanks`, worked out here anew); they carry no radial force, as in the ladder. It is pulled by F, evenly over
  its end at x = 0; the seat presses evenly on the insert's face (share s) and on the frame's (1 − s).
- Dilating. The same with flanks that press radially as well, against the walls of the elements, in place of the
  radial term of section 12, which lets the insert dilate as if nothing stood around it.
- Torsion. The thread's torque enters the insert's bore spread as the thread load just found; the seat's torque
  evenly over the faces.
- Harmonic 1. As section 8 has it: V_b and M_b enter the insert's bore over n..n + L_e as an even traction
  across the axis and an even couple. No fitting, no seat.
- Thermal. Frame free, bore empty, all parts cooled by `cooling`; the adhesive expands too.
- The frame is clamped (all displacements nothing) at its inner end (`inboard`), which is the bond's end unless
  `frame_beyond` is given, or all along its outer surface (`all-round`).
- Stresses at mid-layer: mean of the Gauss points nearest to it on either side (2 by 2 points, where stresses of
  quadratic elements are best), interpolated along x. At the ends of the layer theory is singular at the corners
  and zero at the free face: stations nearer than `away` (1 mm, or twice the glue's thickness) to either end are
  given but not to be compared. `end_means` are the means over the first and the last millimetre.
- `settled`: largest change over the stations away from the ends, against the largest value, from the mesh before
  (elements twice as long and thick) to the one quoted.
"""

import sys
import tomllib
from math import log, pi, radians, tan

import numpy as np
import scipy
import skfem
from scipy.sparse import coo_matrix
from scipy.sparse.linalg import splu
from skfem import Basis, BilinearForm, ElementQuad2, ElementVector, FacetBasis, LinearForm, MeshQuad

REGIONS = ("fitting", "insert", "glue", "frame")
STATIONS = 49


# ---------------------------------------------------------------- mesh


def graded(a, b, at_a, at_b, most, growth=1.6):
    """Lines from a to b whose steps grow from `at_a` and `at_b` at the ends up to `most`."""

    def walk(first, length):
        steps, h = [], first
        while sum(steps) < length:
            steps.append(h)
            h = min(h * growth, most)
        return steps

    half = 0.5 * (b - a)
    left, right = np.array(walk(at_a, half)), np.array(walk(at_b, half))
    left, right = left * half / left.sum(), right * half / right.sum()
    return np.concatenate([[a], a + np.cumsum(left), b - np.cumsum(right)[::-1][1:], [b]])


def halved(lines, times):
    for _ in range(times):
        lines = np.sort(np.concatenate([lines, 0.5 * (lines[1:] + lines[:-1])]))
    return lines


def joined(pieces):
    return np.concatenate([p[:-1] for p in pieces[:-1]] + [pieces[-1]])


def build(c, times, fitting):
    """Mesh, and which elements belong to which region."""
    eta, L = c["eta"], c["L"]
    fine = 0.5 * eta
    steps = {0.0: fine, c["n"]: 0.4, c["n"] + c["L_e"]: 0.4, L: fine}
    end = L + c.get("frame_beyond", 0.0)
    steps.setdefault(end, 1.0)
    marks = sorted(steps)
    x = joined([graded(a, b, steps[a], steps[b], 1.2) for a, b in zip(marks, marks[1:])])
    ri, ro = c["d"] / 2, c["D_o"] / 2
    rf, rout = ro + eta, c["frame_outer"] / 2
    wall = max((rout - rf) / 5, 0.4)
    pieces = [
        graded(ri, ro, 0.5, fine, 0.6),
        np.linspace(ro, rf, 3),
    ]
    # The seat's edge must be a line of the mesh, or the load is not the one asked for.
    seat = c.get("seat_outer", c["frame_outer"]) / 2
    edges = [(rf, seat, fine, wall), (seat, rout, wall, wall)] if seat < rout else [(rf, rout, fine, wall)]
    pieces += [graded(a, b, at_a, at_b, 2.5) for a, b, at_a, at_b in edges]
    if fitting:
        r3 = c["d3"] / 2
        pieces = [np.linspace(c["d_i"] / 2, r3, 4), np.array([r3, ri])] + pieces
    # The empty strip between fitting and insert stays one cell wide: it is taken out.
    r = joined([halved(p, times) if len(p) > 2 else p for p in pieces])
    x = halved(x, times)
    mesh = MeshQuad.init_tensor(x, r)
    mx, mr = mesh.p[:, mesh.t].mean(axis=1)
    inside = {
        "fitting": (mr < c["d3"] / 2) & (mx < c["n"] + c["L_e"]) if fitting else mx < -1,
        "insert": (mr > ri) & (mr < ro) & (mx < L),
        "glue": (mr > ro) & (mr < rf) & (mx < L),
        "frame": mr > rf,
    }
    kept = np.nonzero(np.any([inside[k] for k in REGIONS], axis=0))[0]
    owner = np.select([inside[k] for k in REGIONS], range(4), -1)[kept]
    return mesh.restrict(kept), {k: np.nonzero(owner == i)[0] for i, k in enumerate(REGIONS)}


def elastic(c, region):
    if region == "glue":
        G, nu = c["G_a"], c["nu_a"]
    else:
        nu = c[f"nu_{region}"]
        G = c[f"E_{region}"] / (2 * (1 + nu))
    return 2 * G * nu / (1 - 2 * nu), G


# ---------------------------------------------------------------- strains of the three families


def strains0(u, r):
    """Axial and radial displacement, the same all round: xx, rr, tt, xr."""
    g = u.grad
    return g[0, 0], g[1, 1], u[1] / r, g[0, 1] + g[1, 0]


def strains1(u, r):
    """Axial and radial as cos φ, hoop as sin φ: xx, rr, tt, xr (cos φ), xt, rt (sin φ)."""
    g = u.grad
    return (
        g[0, 0],
        g[1, 1],
        (u[1] + u[2]) / r,
        g[0, 1] + g[1, 0],
        g[2, 0] - u[0] / r,
        g[2, 1] - (u[2] + u[1]) / r,
    )


def normal(e, lam, G):
    trace = lam * (e[0] + e[1] + e[2])
    return [trace + 2 * G * k for k in e[:3]]


def stiffness(strains):
    def form(u, v, w):
        r = w.x[1]
        e, f = strains(u, r), strains(v, r)
        s = normal(e, w.lam, w.G) + [w.G * k for k in e[3:]]
        return sum(a * b for a, b in zip(s, f)) * r

    return BilinearForm(form)


@BilinearForm
def twist(u, v, w):
    r = w.x[1]
    return w.G * (u.grad[0] * v.grad[0] + (u.grad[1] - u / r) * (v.grad[1] - v / r)) * r


# ---------------------------------------------------------------- one solution


class Model:
    """One mesh with one kind of displacement: 2 components, 1 (hoop alone) or 3."""

    def __init__(self, c, times, components, fitting):
        self.c = c
        self.mesh, self.regions = build(c, times, fitting)
        q = ElementQuad2()
        self.element = q if components == 1 else ElementVector(q, components)
        self.components = components
        self.basis = Basis(self.mesh, self.element, intorder=5)
        form = twist if components == 1 else stiffness(strains0 if components == 2 else strains1)
        self.K = 0
        for region in REGIONS:
            if len(self.regions[region]):
                part = Basis(self.mesh, self.element, elements=self.regions[region], intorder=5)
                lam, G = elastic(c, region)
                self.K = self.K + form.assemble(part, lam=lam, G=G)
        self.f = np.zeros(self.basis.N)
        # One number per degree of freedom: its component, and its place rounded so that it can be looked up.
        self.place = np.round(self.basis.doflocs, 7)
        component = np.zeros(self.basis.N, dtype=int)
        if components > 1:
            seen = {}
            for dof in np.lexsort((np.arange(self.basis.N), self.place[1], self.place[0])):
                key = tuple(self.place[:, dof])
                component[dof] = seen.get(key, 0)
                seen[key] = component[dof] + 1
        self.component = component

    def at(self, x=None, r=None, component=None):
        hit = np.ones(self.basis.N, dtype=bool)
        if x is not None:
            hit &= abs(self.place[0] - x) < 1e-6
        if r is not None:
            hit &= abs(self.place[1] - r) < 1e-6
        if component is not None:
            hit &= self.component == component
        return np.nonzero(hit)[0]

    def face(self, x, r_from, r_to, component, traction):
        """Even traction (N/mm² per radian is the same number) on a ring at x; adds to the load."""
        facets = self.mesh.facets_satisfying(
            lambda p: (abs(p[0] - x) < 1e-6) & (p[1] > r_from) & (p[1] < r_to), boundaries_only=True
        )
        side = FacetBasis(self.mesh, self.element, facets=facets, intorder=5)
        pick = (lambda v: v) if self.components == 1 else (lambda v: v[component])
        load = LinearForm(lambda v, w: pick(v) * w.x[1]).assemble(side)
        self.f += traction * load
        return load

    def line(self, r, component, a, b):
        """Degrees of freedom along a surface from x = a to b, rising with x, and the mass matrix of that line."""
        dofs = self.at(r=r, component=component)
        xs = self.place[0, dofs]
        order = np.argsort(xs)
        dofs, xs = dofs[order], xs[order]
        keep = (xs > a - 1e-6) & (xs < b + 1e-6)
        dofs, xs = dofs[keep], xs[keep]
        assert len(dofs) % 2 == 1, (len(dofs), a, b)
        local = np.array([[4, 2, -1], [2, 16, 2], [-1, 2, 4]]) / 30
        M = np.zeros((len(dofs), len(dofs)))
        for k in range(0, len(dofs) - 2, 2):
            M[k : k + 3, k : k + 3] += local * (xs[k + 2] - xs[k])
        return dofs, xs, M

    def clamp(self):
        c = self.c
        if c["hold"] == "inboard":
            # What ends there and belongs to the frame; the glue's own edge stays free but for the shared corner.
            end = c["L"] + c.get("frame_beyond", 0.0)
            rf = c["D_o"] / 2 + c["eta"]
            dofs = self.at(x=end)
            return dofs[self.place[1, dofs] > rf - 1e-6]
        return self.at(r=c["frame_outer"] / 2)

    def solve(self, fixed):
        free = np.setdiff1d(np.arange(self.basis.N), fixed)
        A = self.K.tocsc()[free][:, free]
        self.u = np.zeros(self.basis.N)
        self.u[free] = splu(A, permc_spec="COLAMD").solve(self.f[free])
        return self.u

    def middle(self, stress):
        """Stresses at mid-layer along x: places, list of stresses. `stress(u, r)` gives them at any point."""
        c = self.c
        g = 0.5 - 0.5 / 3**0.5
        points = np.array([[g, g, 1 - g, 1 - g], [g, 1 - g, g, 1 - g]])
        rb = (c["D_o"] + c["eta"]) / 2
        r_all = self.mesh.p[1, self.mesh.t]
        glue = self.regions["glue"]
        near = glue[(abs(r_all[:, glue] - rb) < 1e-6).any(axis=0)]
        b = Basis(self.mesh, self.element, elements=near, quadrature=(points, np.full(4, 0.25)))
        x, r = np.asarray(b.global_coordinates())
        values = [np.asarray(s) for s in stress(b.interpolate(self.u), r)]
        # The two points of each element that lie nearest to the middle.
        order = np.argsort(abs(r - rb), axis=1)[:, :2]
        pick = lambda v: np.take_along_axis(v, order, axis=1).ravel()
        x = np.round(pick(x), 7)
        places, where = np.unique(x, return_inverse=True)
        count = np.bincount(where)
        assert (count == 2).all()
        return places, [np.bincount(where, pick(v)) / count for v in values]


def integral(c, xs, values):
    """Over the layer: the places are Gauss points in pairs, so each pair has half of its element."""
    width = (xs[1::2] - xs[::2]) * 3**0.5
    assert abs(width.sum() - c["L"]) < 1e-3, (width.sum(), c["L"])
    return float(np.sum(np.repeat(width / 2, 2) * values))


def flanks(c, radial=True):
    """Flank springs per axial length, section 12 (after Yamamoto), N/mm²; `radial`: with what the walls give."""
    P, d = c["P"], c["d"]
    d2, d3 = d - 0.649519 * P, c["d3"]
    t, ct = tan(radians(30)), 1 / tan(radians(30))

    def tooth(depth, nu):
        b = P / 2
        a = b + 2 * depth * t
        return (
            (1 - nu**2) * 0.75 * ((1 - (2 - b / a) ** 2 + 2 * log(a / b)) * ct**3 - 4 * (depth / a) ** 2 * t)
            + (1 + nu) * 1.2 * ct * log(a / b)
            + (1 - nu**2) * 12 * depth / (pi * a**2) * (depth - b / 2 * t)
            + (1 - nu**2) * 2 / pi * (P / a * log((P + a / 2) / (P - a / 2)) + 0.5 * log(4 * P**2 / a**2 - 1))
        )

    m = c["d_i"] / d2
    D = c["D_o"]
    ext, ins = tooth((d2 - d3) / 2, c["nu_fitting"]), tooth((d - d2) / 2, c["nu_insert"])
    if radial:
        ext += ((1 + m * m) / (1 - m * m) - c["nu_fitting"]) * t * t * d2 / P / 2
        ins += ((D * D + d2 * d2) / (D * D - d2 * d2) + c["nu_insert"]) * t * t * d2 / P / 2
    return pi * d2 / P / (ext / c["E_fitting"] + ins / c["E_insert"])


# ---------------------------------------------------------------- the four load cases


def axial(c, times, dilating=False):
    """Load of thread and seat: shear at mid-layer, thread load along x, k_t.

    `dilating`: the flanks press radially too, and the walls themselves give way instead of the term of section 12.
    """
    m = Model(c, times, 2, True)
    F, s = c["F"], c["seat_share"]
    ri, ro, rf = c["d"] / 2, c["D_o"] / 2, c["D_o"] / 2 + c["eta"]
    rs = c.get("seat_outer", c["frame_outer"]) / 2
    pull = m.face(0, c["d_i"] / 2, c["d3"] / 2, 0, -F / (pi * (c["d3"] ** 2 - c["d_i"] ** 2) / 4))
    on_insert = m.face(0, ri, ro, 0, s * F / (pi * (ro**2 - ri**2)))
    on_frame = m.face(0, rf, rs, 0, (1 - s) * F / (pi * (rs**2 - rf**2)))
    k = flanks(c, not dilating)
    # How far the flanks close: insert less fitting, and by the flank's slope what the radii give.
    parts = [(c["d3"] / 2, 0, -1.0), (ri, 0, 1.0)]
    if dilating:
        parts += [(c["d3"] / 2, 1, tan(radians(30))), (ri, 1, -tan(radians(30)))]
    lines = [(m.line(r, component, c["n"], c["n"] + c["L_e"]), weight) for r, component, weight in parts]
    (_, xs, M), _ = lines[0]
    i, j = np.meshgrid(range(len(xs)), range(len(xs)), indexing="ij")
    for (one, _, _), p in lines:
        for (two, _, _), q in lines:
            S = p * q * k / (2 * pi) * M
            m.K = m.K + coo_matrix((S.ravel(), (one[i].ravel(), two[j].ravel())), m.K.shape).tocsr()
    u = m.solve(m.clamp())
    lam, G = elastic(c, "glue")

    def stress(v, r):
        e = strains0(v, r)
        return [G * e[3], normal(e, lam, G)[1]]

    # What the glue does to the insert against a pull outward: u falls inward where the insert is pulled.
    x, (tau, sigma) = m.middle(stress)
    slip = sum(weight * u[dofs] for (dofs, _, _), weight in lines)
    mean = lambda load: load @ u / load.sum()
    seat = s * mean(on_insert) + (1 - s) * (mean(on_frame) if s < 1 else 0)
    rb = (c["D_o"] + c["eta"]) / 2
    # Share of the first turn: the slip's integral over the first pitch, trapezoids on the fine line.
    line = np.interp(np.linspace(c["n"], c["n"] + c["P"], 201), xs, k * slip)
    return {
        "x": x,
        "fields": {"shear": tau, "across": sigma},
        "totals": {"force": 2 * pi * rb * integral(c, x, tau)},
        "numbers": {
            "thread_stiffness": F / (seat - mean(pull)),
            "first_turn": float(np.mean(line)) * c["P"] / F,
            "flanks": k,
        },
        "spread": (M @ slip) * k / F,
    }


def torsion(c, times, spread):
    m = Model(c, times, 1, False)
    ri, ro, rf = c["d"] / 2, c["D_o"] / 2, c["D_o"] / 2 + c["eta"]
    rs = c.get("seat_outer", c["frame_outer"]) / 2
    s = c["seat_share"]
    even = lambda T, a, b: T / (2 * pi * (b**3 - a**3) / 3)
    m.face(0, ri, ro, 0, even(s * c["T_seat"], ri, ro))
    m.face(0, rf, rs, 0, even((1 - s) * c["T_seat"], rf, rs))
    dofs, _, _ = m.line(ri, 0, c["n"], c["n"] + c["L_e"])
    m.f[dofs] += c["T_thread"] * spread / ri / (2 * pi)
    m.solve(m.clamp())
    _, G = elastic(c, "glue")
    # The glue holds the insert back: the turn falls from insert to frame.
    x, (tau,) = m.middle(lambda v, r: [-G * (v.grad[1] - v / r)])
    rb = (c["D_o"] + c["eta"]) / 2
    return {"x": x, "fields": {"shear": tau}, "totals": {"torque": 2 * pi * rb**2 * integral(c, x, tau)}}


def rocking(c, times):
    m = Model(c, times, 3, False)
    ri = c["d"] / 2
    q = c["V"] / c["L_e"]
    couple = (c["M"] + c["V"] * (c["n"] + c["L_e"] / 2)) / c["L_e"]
    for component, load in ((1, q / (2 * pi)), (2, -q / (2 * pi)), (0, couple / (pi * ri))):
        dofs, _, M = m.line(ri, component, c["n"], c["n"] + c["L_e"])
        m.f[dofs] += load * M.sum(axis=1)
    m.solve(m.clamp())
    lam, G = elastic(c, "glue")

    def stress(v, r):
        e = strains1(v, r)
        return [-normal(e, lam, G)[1], G * e[3], G * e[5]]

    x, (peel, along, around) = m.middle(stress)
    rb = (c["D_o"] + c["eta"]) / 2
    force = pi * rb * (peel + around)
    return {
        "x": x,
        "fields": {"peel": peel, "along": along, "around": around},
        "totals": {
            "force": integral(c, x, force),
            "moment": -integral(c, x, force * x + pi * rb**2 * along),
        },
    }


def thermal(c, times):
    m = Model(c, times, 2, False)
    for region, name in (("insert", "a_insert"), ("glue", "a_a"), ("frame", "a_frame")):
        lam, G = elastic(c, region)
        push = -(3 * lam + 2 * G) * c[name] * c["cooling"]
        part = Basis(m.mesh, m.element, elements=m.regions[region], intorder=5)
        m.f += LinearForm(lambda v, w: push * (v.grad[0, 0] + v.grad[1, 1] + v[1] / w.x[1]) * w.x[1]).assemble(part)
    m.solve(m.at(x=0.0, r=c["frame_outer"] / 2, component=0))
    lam, G = elastic(c, "glue")
    free = (3 * lam + 2 * G) * c["a_a"] * c["cooling"]

    def stress(v, r):
        e = strains0(v, r)
        return [normal(e, lam, G)[1] + free, G * e[3]]

    x, (across, tau) = m.middle(stress)
    return {"x": x, "fields": {"across": across, "shear": tau}, "totals": {}}


# ---------------------------------------------------------------- the elements against closed forms


def verify():
    """One tube of one material: rigid movements, Lamé's cylinder, torsion, a cantilever in harmonic 1."""
    E, nu, a, b, L = 70000.0, 0.3, 17.5, 23.0, 160.0
    c = {"d": 2 * a, "D_o": 40.0, "eta": 0.2, "frame_outer": 2 * b, "n": 0.2, "L_e": 0.6, "L": L, "hold": "inboard"}
    c |= {"G_a": E / 2.6, "nu_a": nu, "E_insert": E, "nu_insert": nu, "E_frame": E, "nu_frame": nu}
    G, I = E / 2.6, pi / 4 * (b**4 - a**4)
    # For these, glue and insert end where the frame does, so the clamp has to hold all three.
    whole = lambda m: m.at(x=L)

    m = Model(c, 0, 3, False)
    x, r = m.basis.doflocs
    for name, move in (("shift", [0 * x, 0 * x + 1, 0 * x - 1]), ("turn", [-r, x, -x])):
        u = np.choose(m.component, move)
        print(f"rigid {name}: {abs(m.K @ u).max() / (abs(m.K) @ abs(u)).max():.1e} of the forces that cancel")
    m.f[m.at(x=0.0)] = 0
    area = pi * (b * b - a * a)
    m.face(0, a, b, 1, 1000.0 / area), m.face(0, a, b, 2, -1000.0 / area)
    m.solve(whole(m))
    got = m.u[m.at(x=0.0, r=20.0, component=1)][0]
    k = a / b
    kappa = 6 * (1 + nu) * (1 + k * k) ** 2 / ((7 + 6 * nu) * (1 + k * k) ** 2 + (20 + 12 * nu) * k * k)
    beam = 1000 * L**3 / (3 * E * I) + 1000 * L / (kappa * G * area)
    print(f"cantilever: {got / beam:.4f} of Timoshenko's beam (Cowper's coefficient)")

    m = Model(c, 0, 1, False)
    side = FacetBasis(m.mesh, m.element, facets=m.mesh.facets_satisfying(lambda p: abs(p[0]) < 1e-6), intorder=5)
    m.f += 1e5 / (2 * I) * LinearForm(lambda v, w: v * w.x[1] ** 2).assemble(side)
    m.solve(whole(m))
    print(f"torsion: {m.u[m.at(x=0.0, r=20.0)][0] / 20 / (1e5 * L / (G * 2 * I)):.8f} of T·L/(G·J)")

    m = Model(c, 0, 2, False)
    side = FacetBasis(m.mesh, m.element, facets=m.mesh.facets_satisfying(lambda p: abs(p[1] - a) < 1e-6), intorder=5)
    m.f += LinearForm(lambda v, w: 10 * v[1] * w.x[1]).assemble(side)
    m.solve(m.at(x=L, r=b, component=0))
    exact = 10 * a / E * ((b * b + a * a) / (b * b - a * a) + nu)
    print(f"pressure in the bore: {m.u[m.at(x=0.0, r=a, component=1)][0] / exact:.8f} of Lamé's movement")


# ---------------------------------------------------------------- running and writing


def away(c):
    return max(2 * c["eta"], 1.0)


def sampled(c, found):
    xs = np.linspace(0, c["L"], STATIONS)
    return xs, {k: np.interp(xs, found["x"], v) for k, v in found["fields"].items()}


def end_means(c, found):
    """Each stress averaged over the first and the last millimetre, where single points mean nothing."""
    near, far = np.linspace(0, 1, 2001), np.linspace(c["L"] - 1, c["L"], 2001)
    return {k: [float(np.mean(np.interp(p, found["x"], v))) for p in (near, far)] for k, v in found["fields"].items()}


def run(name, c, levels):
    out, before = {}, None
    for times in levels:
        found = {"axial": axial(c, times)}
        found["dilating"] = axial(c, times, True)
        found["torsion"] = torsion(c, times, found["axial"]["spread"])
        found["rocking"] = rocking(c, times)
        found["thermal"] = thermal(c, times)
        now = {k: sampled(c, v) for k, v in found.items()}
        out = {}
        for kind, (xs, fields) in now.items():
            inner = (xs >= away(c) - 1e-9) & (xs <= c["L"] - away(c) + 1e-9)
            entry = {"totals": found[kind]["totals"], "numbers": dict(found[kind].get("numbers", {}))}
            entry["fields"] = fields
            entry["ends"] = end_means(c, found[kind])
            if before:
                old = before[kind][1]
                scale = {k: np.max(abs(v[inner])) for k, v in fields.items()}
                entry["settled"] = {k: float(np.max(abs(v - old[k])[inner]) / scale[k]) for k, v in fields.items()}
            out[kind] = entry
        before = now
    return out


def number(v):
    text = f"{float(v):.6g}"
    return text if any(ch in text for ch in ".en") else text + ".0"


def main(arguments):
    if arguments == ["verify"]:
        return verify()
    with open(arguments[0], "rb") as file:
        book = tomllib.load(file)
    wanted = arguments[2:]
    lines = [
        "# Glue stresses of bonded sleeves by finite elements: computed here with a general-purpose element library.",
        "# Made by sleeves.py from cases.toml; do not edit. Stresses in MPa at mid-layer, along x from 0 to L.",
        'basis = "computed here with a general-purpose element library"',
        f'made_with = "scikit-fem {skfem.__version__}, numpy {np.__version__}, scipy {scipy.__version__}, '
        f'python {sys.version.split()[0]}"',
        f"stations = {STATIONS}",
    ]
    kept = {}
    if wanted:
        with open(arguments[1]) as file:
            for part in file.read().split("\n\n")[1:]:
                kept[part.split("]")[0].removeprefix("[case.")] = part.rstrip("\n").split("\n")
    for name, own in book["case"].items():
        if wanted and name not in wanted:
            lines += ["", *kept[name]]
            continue
        c = {**book["common"], **own}
        out = run(name, c, book["levels"])
        lines += ["", f"[case.{name}]", f"away = {number(away(c))} # mm"]
        for kind, entry in out.items():
            lines.append(f"[case.{name}.{kind}]")
            for group in ("totals", "numbers"):
                lines += [f"{k} = {number(v)}" for k, v in entry[group].items()]
            lines += [f"{k} = [{', '.join(number(v) for v in vs)}]" for k, vs in entry["fields"].items()]
            ends = ", ".join(f"{k} = [{number(a)}, {number(b)}]" for k, (a, b) in entry["ends"].items())
            lines.append(f"end_means = {{ {ends} }}")
            lines.append(
                "settled = { " + ", ".join(f"{k} = {number(v)}" for k, v in entry.get("settled", {}).items()) + " }"
            )
            print(name, kind, {k: number(v) for k, v in (entry["totals"] | entry["numbers"]).items()},
                  {k: f"{v:.1e}" for k, v in entry.get("settled", {}).items()}, flush=True)
    with open(arguments[1], "w") as file:
        file.write("\n".join(lines) + "\n")


if __name__ == "__main__":
    main(sys.argv[1:])
