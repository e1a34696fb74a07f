#!/usr/bin/env python3
"""Takes a file of cases, or a number of draws; computes with scipy and numpy what galipot computes, and prints it as
JSON. Whole columns at once, as one who knows these libraries would write it."""

import json
import sys
import time

import numpy as np


def batch(path):
    from scipy import stats

    with open(path, encoding="utf-8") as f:
        cases = json.load(f)["cases"]
    results = {}

    def columns(kind, names):
        mine = [c for c in cases if c["kind"] == kind]
        return [c["id"] for c in mine], [np.array([c["inputs"][n] for c in mine], dtype=float) for n in names]

    def put(ids, **fields):
        lists = {k: v.tolist() for k, v in fields.items()}
        for i, case in enumerate(ids):
            results[case] = {k: v[i] for k, v in lists.items()}

    ids, (n, p, conf) = columns("factor", ["n", "coverage", "confidence"])
    put(ids, k=stats.nct.ppf(conf, n - 1, stats.norm.ppf(p) * np.sqrt(n)) / np.sqrt(n))

    ids, (k, n, conf) = columns("clopper_pearson", ["k", "n", "confidence"])
    tail = (1 - conf) / 2
    low = np.where(k > 0, stats.beta.ppf(tail, np.maximum(k, 1), n - k + 1), 0.0)
    high = np.where(k < n, stats.beta.ppf(1 - tail, k + 1, np.maximum(n - k, 1)), 1.0)
    put(ids, low=low, high=high)

    ids, (t, rh, p) = columns("point", ["t_C", "rh_percent", "p_Pa"])
    es = 611.2 * np.exp(17.62 * t / (243.12 + t))
    g = np.log(rh / 100) + 17.62 * t / (243.12 + t)
    e = rh / 100 * es
    gas, kelvin = 461.523, 273.15 + t
    over = hyland_wexler(t)
    full = rh / 100 * over
    put(
        ids,
        magnus_es_Pa=es,
        magnus_e_Pa=e,
        magnus_dew_C=243.12 * g / (17.62 - g),
        magnus_ah_g_m3=1000 * e / (gas * kelvin),
        psychrolib_es_Pa=over,
        psychrolib_dew_C=inverse(full),
        psychrolib_ah_g_m3=1000 * full / (gas * kelvin),
        psychrolib_humidity_ratio_g_kg=621.945 * full / (p - full),
    )
    return results


def hyland_wexler(t):
    """Saturation pressure over ice below and water above the triple point, Pa; ASHRAE Fundamentals, equations 5 and 6."""
    k = t + 273.15
    ice = (
        -5.6745359e03 / k + 6.3925247e00 - 9.677843e-03 * k + 6.2215701e-07 * k**2 + 2.0747825e-09 * k**3
        - 9.484024e-13 * k**4 + 4.1635019e00 * np.log(k)
    )
    water = (
        -5.8002206e03 / k + 1.3914993e00 - 4.8640239e-02 * k + 4.1764768e-05 * k**2 - 1.4452093e-08 * k**3
        + 6.5459673e00 * np.log(k)
    )
    return np.exp(np.where(t <= 0.01, ice, water))


def inverse(pressure):
    """Temperature at which `pressure` saturates, by halving all intervals side by side, degC."""
    low, high = np.full_like(pressure, -100.0), np.full_like(pressure, 200.0)
    for _ in range(50):
        middle = (low + high) / 2
        above = hyland_wexler(middle) > pressure
        low, high = np.where(above, low, middle), np.where(above, middle, high)
    return (low + high) / 2


def monte_carlo(draws):
    """The cost model of the reference set: mean, variance, quantiles, and first-order shares from a quarter of the
    draws by the form of Saltelli (2010), as galipot estimates them."""
    rng = np.random.default_rng(1)

    def pert(a, m, b, n):
        return a + (b - a) * rng.beta(1 + 4 * (m - a) / (b - a), 1 + 4 * (b - m) / (b - a), n)

    def columns(n):
        return [
            rng.normal(120000, 6000, n),
            rng.triangular(0.42, 0.47, 0.6, n),
            pert(0.3, 0.38, 0.65, n),
            rng.uniform(38, 46, n),
            pert(0.002, 0.005, 0.02, n),
            rng.triangular(6, 9, 18, n),
            rng.uniform(14000, 18000, n),
        ]

    def model(volume, material, minutes, rate, rework, cost, fixed):
        return volume * (material + minutes * rate / 60 + rework * cost) + fixed

    y = model(*columns(draws))
    out = {"mean": y.mean(), "variance": y.var(ddof=1), "above": (y > y.mean() + y.std()).mean()}
    for q, x in zip((5, 10, 25, 50, 75, 90, 95), np.quantile(y, [0.05, 0.1, 0.25, 0.5, 0.75, 0.9, 0.95])):
        out[f"q{q:02}"] = x
    first, second = columns(draws // 4), columns(draws // 4)
    a, b = model(*first), model(*second)
    for i in range(len(first)):
        mixed = model(*first[:i], second[i], *first[i + 1 :])
        out[f"share{i}"] = np.mean((b - y.mean()) * (mixed - a)) / y.var()
    return {name: float(x) for name, x in out.items()}


def staged(draws, rng):
    """The plan of benches/draws.rs, written by hand for numpy: what it saves, and its summary."""

    def triangular(low, mode, high):
        return rng.triangular(low, mode, high, draws)

    def at(month):
        return 1.09 ** (-month / 12)

    def years(first, last):
        return sum(at(m) for m in range(first, last + 1)) / 12

    kwh, crew, fixed = triangular(0.12, 0.17, 0.29), triangular(0.5, 0.75, 1.0), triangular(0.9, 1.0, 1.2)
    replace, effluent = triangular(220e3, 310e3, 380e3), triangular(4.0, 5.4, 9.0)
    recurring, once = triangular(25e3, 36.5e3, 60e3), triangular(130e3, 151640, 230e3)
    machine, hours = triangular(80e3, 96e3, 130e3), triangular(1500, 2100, 3000)
    load, chance = triangular(14, 17.3, 24), triangular(0.45, 0.65, 0.8)

    hour = 78 * 0.755 * kwh + 0.6 * 0.92 * effluent + 24.5 * crew + (0.6 * 2.70 + 2.15 + 3.20)
    full, part = 61820 * fixed + 4200 * hour, 61820 * fixed + hours * hour
    keep = full * years(1, 72) + replace * at(36)
    begin = once + 23000 + full * years(1, 5)
    two = part + recurring + 6000

    def batch(month, machines, loads):
        paid = (machines * machine + (18000 - 25000)) * at(month)
        return paid + (load * loads + recurring + machines * 15530) * years(month, 72)

    left = begin + two * years(6, 8) + batch(9, 1, 325)
    until = begin + two * years(6, 11) + 14000 * at(8)
    washed = until + batch(12, 2, 2225)
    stays = until + 38000 * at(12) + (two + 3.9 * hours) * years(12, 72) + replace * at(36)
    first, second = rng.random(draws) < chance, rng.random(draws) < 0.7
    saving = keep - np.where(first, left, np.where(second, washed, stays))
    p5, p50, p95 = np.quantile(saving, [0.05, 0.5, 0.95])
    counts, _ = np.histogram(saving, 40)
    out = {"mean": saving.mean(), "sd": saving.std(ddof=1), "p5": p5, "p50": p50, "p95": p95, "loss": (saving < 0).mean()}
    return {name: float(x) for name, x in out.items()} | {"counted": int(counts.sum())}


def plan(repetitions):
    """Seconds of a million draws, and of the processor in them."""
    rng = np.random.default_rng(20250613)
    out, seconds, processor = {}, [], []
    for _ in range(repetitions + 1):
        began, used = time.perf_counter(), time.process_time()
        out = staged(1_000_000, rng)
        seconds.append(time.perf_counter() - began)
        processor.append(time.process_time() - used)
    return out | {"seconds": seconds[1:], "processor": processor[1:]}


if __name__ == "__main__":
    what, argument = sys.argv[1:]
    if what == "plan":
        json.dump(plan(int(argument)), sys.stdout)
    else:
        json.dump({"results": batch(argument) if what == "batch" else monte_carlo(int(argument))}, sys.stdout)
