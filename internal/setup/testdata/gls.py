"""A reference for the estimate of all lengths of a job: every reading of a book as
a row of one whitened least-squares problem, solved in a batch by SciPy
(scipy.optimize.least_squares), the covariance from the Jacobian there [GUM] H.3.
Lengths are in mm. Writes the cases with what they come to as JSON."""
import json

import numpy as np
from scipy.optimize import least_squares

STEEL, ALU = 11.5e-6, 23e-6
THERMO = 1.0  # K
MIC_SHARE = 0.25  # of a piece's doubt, common to all pieces
REFIT = {"gap height": 0.003, "backlash": 0.004}
FACTOR = (0.70, 0.07)
METAL = {"width": ALU, "length": STEEL}
SEATS = {"side": {"L": 1.0, "R": 1.0}, "height": {"P": 1.0}, "backlash": {"R": 0.5, "L": -0.5}}


def came(tag, t, u=0.003):
    return {"came": tag, "t": t, "u": u}


def fit(seat, *tags):
    return {"fit": seat, "tags": list(tags)}


def read(what, by, u, *values, common=0.5, temp=None):
    return {"read": what, "with": by, "u": u, "common": common, "values": list(values), "temp": temp}


SHIMS = [came("a", 2.001), came("b", 1.998), came("c", 0.203), came("d", 0.152, 0.005), came("e", 0.298), came("f", 0.251), came("g", 0.402), came("h", 0.099)]
DEPTH = [came("p", 0.497), came("q", 0.203), came("r", 0.301, 0.004)]


def side(temp=None, by="inside micrometer"):
    return [read("width", by, 0.005, 170.621, 170.618, 170.626, temp=temp),
            read("length", "outside micrometer", 0.003, 166.342, 166.339, 166.340, temp=temp)]


def height():
    return [read("mandrel", "outside micrometer", 0.003, 30.002, 30.001), read("block", "outside micrometer", 0.003, 33.499, 33.502, 33.500)]


def lash(*v, u=0.005):
    return read("backlash", "dial", u, *v)


TRIAL1 = [fit("L", "a", "c"), fit("R", "b", "e"), lash(0.301, 0.305, 0.302, 0.299)]
TRIAL2 = [fit("L", "a", "e", "h"), fit("R", "b", "d"), lash(0.196, 0.199, 0.194, 0.197)]
TRIAL3 = [fit("L", "a", "g"), fit("R", "b", "h"), lash(0.158, 0.161, 0.157, 0.163)]
CASES = {
    "chain of two instruments": SHIMS + side() + [fit("L", "a", "c"), fit("R", "b", "f")],
    "chain of one instrument": SHIMS + side(by="outside micrometer") + [fit("L", "a"), fit("R", "b", "g")],
    "chain in the cold": SHIMS + side(temp=11.5) + [fit("L", "a", "c"), fit("R", "b", "f")],
    "packs measured whole": SHIMS + side(temp=23.0) + [
        fit("L", "a", "c", "d"), fit("R", "b", "f"),
        read("L thickness", "outside micrometer", 0.003, 2.361, 2.359), read("R thickness", "outside micrometer", 0.003, 2.247)],
    "length read twice": SHIMS + side() + side(temp=17.0) + [read("width", "other inside micrometer", 0.004, 170.629, common=0.2), fit("L", "a"), fit("R", "b", "g")],
    "one trial": DEPTH + height() + [fit("P", "p"), read("gap", "feelers", 0.010, 0.46, 0.47, 0.48)],
    "three trials": DEPTH + height() + [
        fit("P", "p"), read("gap", "feelers", 0.010, 0.46, 0.47, 0.48), fit("P", "r"), read("gap", "feelers", 0.010, 0.28, 0.27, 0.27),
        fit("P", "r", "q"), read("gap", "feelers", 0.010, 0.475, 0.481)],
    "one trial of an uncertain factor": SHIMS + TRIAL1 + [fit("L", "a", "e"), fit("R", "b", "c")],
    "two trials teach the factor": SHIMS + TRIAL1 + TRIAL2,
    "two trials foretell a third": SHIMS + TRIAL1 + TRIAL2 + [fit("L", "a", "g"), fit("R", "b", "h")],
    "three trials, one read twice": SHIMS + TRIAL1 + TRIAL2 + [lash(0.193, 0.195, 0.199, 0.192)] + TRIAL3,
    "all of a job": SHIMS + DEPTH + side(temp=14.0) + height() + [
        fit("P", "p"), read("gap", "feelers", 0.010, 0.46, 0.47, 0.48), fit("P", "r", "q"), read("gap", "feelers", 0.010, 0.475, 0.481, 0.469)]
    + TRIAL1 + [read("R thickness", "outside micrometer", 0.003, 2.301)] + TRIAL2 + TRIAL3 + [read("L thickness", "outside micrometer", 0.003, 2.399)],
}


class Problem:
    """Unknowns by name, and rows of (residual function, standard deviation)."""

    def __init__(self):
        self.names, self.start, self.rows = [], [], []

    def unknown(self, name, start, sd=None):
        if name not in self.names:
            self.names.append(name)
            self.start.append(start)
            if sd is not None:
                i = self.names.index(name)
                self.rows.append((lambda x, i=i: x[i] - start, sd))
        return self.names.index(name)

    def piece(self, tag, pieces):
        t, u = pieces[tag]
        own = self.unknown("piece " + tag, t, u * np.sqrt(1 - MIC_SHARE**2))
        mic = self.unknown("micrometer of the drawer", 0.0, 1.0)
        return lambda x: x[own] + MIC_SHARE * u * x[mic]

    def pack(self, tags, pieces):
        parts = [self.piece(t, pieces) for t in tags]
        return lambda x: sum(p(x) for p in parts)

    def move(self, name, packs, pieces):
        parts = [(per, self.pack(packs.get(seat, []), pieces)) for seat, per in SEATS[name].items()]
        return lambda x: sum(per * p(x) for per, p in parts)

    def see(self, entry, model):
        """All values of a set: own noise each, the instrument's error in common."""
        inst = self.unknown("error of " + entry["with"], 0.0, 1.0)
        share = entry["u"] * entry["common"]
        own = entry["u"] * np.sqrt(1 - entry["common"] ** 2)
        alpha, temp = METAL.get(entry["read"]), entry["temp"]
        values = np.array(entry["values"])
        warm = None
        if temp is not None and alpha is not None:
            values = values * (1 - (alpha - STEEL) * (temp - 20))
            if alpha != STEEL:
                warm = self.unknown("thermometer", 0.0, 1.0)
        slope = np.mean(values) * ((alpha or 0) - STEEL) * THERMO if warm is not None else 0.0
        for v in values:
            def residual(x, v=v):
                r = model(x) + share * x[inst] - v
                return r + slope * x[warm] if warm is not None else r
            self.rows.append((residual, own))

    def solve(self):
        fun = lambda x: np.array([f(x) / sd for f, sd in self.rows])
        scale = np.array([1.0 if n.startswith("error") or n in ("thermometer", "micrometer of the drawer") else 0.05 if n.startswith("factor") else 0.003 for n in self.names])
        z0 = np.array(self.start) / scale
        f = lambda z: fun(z * scale)
        jac = lambda z: np.array([(f(z + e) - f(z - e)) / 2.0 for e in np.eye(len(z))])  # rows are unknowns
        out = least_squares(f, z0, jac=lambda z: jac(z).T, method="lm", xtol=1e-15, ftol=1e-15, gtol=1e-15)
        j = jac(out.x).T
        cov = np.linalg.inv(j.T @ j)
        return out.x * scale, cov * np.outer(scale, scale), scale


def work(book):
    p, pieces, packs, last = Problem(), {}, {}, {}
    read_of, trials = set(), {"height": None, "backlash": None}
    for n, e in enumerate(book):
        if "came" in e:
            pieces[e["came"]] = (e["t"], e["u"])
        elif "fit" in e:
            packs[e["fit"]] = sorted(e["tags"])
        elif e["read"].endswith(" thickness"):
            p.see(e, p.pack(packs[e["read"].split()[0]], pieces))
        elif e["read"] in ("gap", "backlash"):
            name = "height" if e["read"] == "gap" else "backlash"
            here = {s: packs.get(s, []) for s in SEATS[name]}
            key = trials[name][1] if trials[name] and trials[name][0] == here else n
            trials[name] = (here, key)
            again = p.unknown(f"fit {name} {key}", 0.0, REFIT["gap height" if name == "height" else name])
            base = p.unknown("base " + name, e["values"][0])
            move = p.move(name, here, pieces)
            if name == "height":
                others = [p.unknown("length " + m, 30.0) for m in ("mandrel", "block")]
                p.see(e, lambda x, b=base, m=move, a=again, o=others: x[b] + m(x) + x[a] - x[o[0]] - x[o[1]])
            else:
                k = p.unknown("factor", *FACTOR)
                p.see(e, lambda x, b=base, m=move, a=again, k=k: x[b] + x[k] * m(x) + x[a])
        else:
            i = p.unknown("length " + e["read"], e["values"][0])
            read_of.add(e["read"])
            p.see(e, lambda x, i=i: x[i])
    results = {}
    if {"width", "length"} <= read_of:
        move = p.move("side", packs, pieces)
        w, l = p.unknown("length width", 0), p.unknown("length length", 0)
        results["side preload"] = (lambda x: move(x) - x[w] + x[l], 0.0)
    for name, setting in (("height", "height"), ("backlash", "backlash")):
        if trials[name]:
            here, key = trials[name]
            base, mv = p.unknown("base " + name, 0), p.move(name, packs, pieces)
            held = here == {s: packs.get(s, []) for s in SEATS[name]}
            again = p.unknown(f"fit {name} {key}", 0) if held else None
            k = p.unknown("factor", 0) if name == "backlash" else None
            results[setting] = (lambda x, b=base, m=mv, a=again, k=k: x[b] + (x[k] if k is not None else 1.0) * m(x) + (x[a] if a is not None else 0.0),
                                0.0 if held else REFIT["gap height" if name == "height" else name])
            if k is not None:
                results["factor"] = (lambda x, k=k: x[k], 0.0)
    x, cov, scale = p.solve()
    want = {}
    for name, (f, extra) in results.items():
        g = np.array([(f(x + scale[i] * e) - f(x - scale[i] * e)) / (2 * scale[i]) for i, e in enumerate(np.eye(len(x)))])
        want[name] = {"value": float(f(x)), "u": float(np.sqrt(g @ cov @ g + extra**2))}
    return want


print(json.dumps({"cases": [{"name": n, "book": b, "want": work(b)} for n, b in CASES.items()]}, indent=1))
