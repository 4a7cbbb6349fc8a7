# Reference values for scipy_test.go, written as JSON.
import json
import numpy as np
from scipy import stats

n = 1_000_000
parts = [0.001, 0.025, 0.1, 0.5, 0.9, 0.975, 0.999]
r = np.random.default_rng(20)

dists = {
    "normal": stats.norm(3, 0.5),
    "rectangular": stats.uniform(2.5, 1),
    "triangular": stats.triang(0.5, 2.5, 1),
    "arcsine": stats.arcsine(2.5, 1),
    "student": stats.t(4, 3, 0.5),
}


def sample(y):
    s = np.sort(y)
    q = int(0.95 * n + 0.5)
    i = int(np.argmin(s[q:] - s[: n - q]))
    return {"Mean": y.mean(), "SD": y.std(ddof=1), "Low": s[i], "High": s[i + q],
            "Quantiles": list(np.quantile(s, parts))}


def triangular(mean, half):
    return r.triangular(mean - half, mean, mean + half, n)


def rectangular(mean, half):
    return r.uniform(mean - half, mean + half, n)


def arcsine(mean, half):
    return mean + half * np.sin(r.uniform(0, 2 * np.pi, n))


def curved(mean, half, doubt):
    return mean + (half + doubt * r.uniform(-1, 1, n)) * r.uniform(-1, 1, n)


chain = r.normal(21.42, 0.010, n) - triangular(20.64, 0.012) - rectangular(0.50, 0.006) + (0.1 + 0.004 * r.standard_t(9, n))
bend = r.normal(2, 0.1, n) * np.sqrt(1 + arcsine(0.5, 0.4) ** 2) / curved(4, 0.8, 0.2)

bands = [(y, u, lo, hi) for y in (0, 0.7, 3.2) for u in (0.01, 0.5, 2) for lo, hi in ((-1, 1), (0.6, 9))]
print(json.dumps({
    "N": n,
    "Parts": parts,
    "T": [{"P": p, "DOF": d, "K": stats.t.ppf((1 + p) / 2, d)}
          for p in (0.5, 0.6827, 0.95, 0.9545, 0.99, 0.9973) for d in (1, 2, 3, 4.5, 8, 16.7, 50, 400)],
    "Normal": [{"P": p, "K": stats.norm.ppf((1 + p) / 2)} for p in (0.5, 0.6827, 0.90, 0.95, 0.9545, 0.99, 0.9973)],
    "Band": [{"Y": y, "U": u, "Low": lo, "High": hi, "P": stats.norm.cdf(hi, y, u) - stats.norm.cdf(lo, y, u)}
             for y, u, lo, hi in bands],
    "Deviation": {k: d.std() for k, d in dists.items()},
    "Dists": {k: list(d.ppf(parts)) for k, d in dists.items()},
    "Models": {"chain": sample(chain), "bend": sample(bend)},
}))
