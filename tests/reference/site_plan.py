"""Writes site_plan.json: medium site plans and their least cost, by scipy.optimize.milp.

The programme is written here from docs/plan.md, for one change month at which every assembly that may change can do so:
two stretches, before it and from it on. Numbers are made up. Run: python3 site_plan.py > site_plan.json
"""

import json
import random

import numpy as np
from scipy import __version__ as scipy_version
from scipy.optimize import Bounds, LinearConstraint, milp

MONTHS, LEAD = 60, 5


def site(seed, n):
    r = random.Random(seed)
    boards = [100 * r.randint(5, 200) for _ in range(n)]
    total = sum(boards) / 4
    return {
        "months": MONTHS,
        "rate": 0.07 + 0.01 * (seed % 5),
        "lead": LEAD,
        "boards": boards,
        "belt": {
            "yearly": r.randint(40, 160) * 1000,
            "hour": r.randint(20, 70),
            "saponifier": r.randint(1, 8),
            "shifts": [[round(total * s / 4 * 1.01, 2), 1500 * s] for s in range(1, 5)],
            "replace": [30, r.randint(100, 500) * 1000],
            "retire": r.choice([-20000, -5000, 15000]),
            "conversion": r.randint(10, 60) * 1000,
        },
        "batch": {
            "yearly": 15000,
            "load": 17,
            "capacity": 2700,
            "peak": 1.3,
            "price": 90000,
            "boards": [r.randint(6, 30) for _ in range(n)],
        },
        "outside": {"yearly": 4000, "board": r.randint(2, 6)},
        "programme": {"yearly": r.randint(20, 50) * 1000, "once": r.randint(80, 200) * 1000},
        "segregation": {"yearly": 6000},
        # leave, batch, in line with saponifier, outside; today is allowed where nothing else is drawn
        "may": [[r.random() < p for p in (0.45, 0.5, 0.4, 0.15)] for _ in range(n)],
    }


def least(s):
    n = len(s["boards"])
    v = (1 + s["rate"]) ** (-1 / 12)
    span = [sum(v**m for m in range(1, LEAD)) / 12, sum(v**m for m in range(LEAD, MONTHS + 1)) / 12]
    start = [v, v**LEAD]
    panels = np.array(s["boards"]) / 4
    b, w = s["belt"], s["batch"]
    cost, kinds, rows = [], [], []  # kinds: 1 whole, 0 real; rows: (dict, low, high)
    upper = []

    def var(c, whole=1, high=1):
        cost.append(c)
        kinds.append(whole)
        upper.append(high)
        return len(cost) - 1

    def row(terms, low=-np.inf, high=np.inf):
        rows.append((terms, low, high))

    # x[a][t]: 0 leave, 1 batch, 2 in line with saponifier, 3 outside, 4 stays as today
    x = []
    for a in range(n):
        own = [
            0,
            s["boards"][a] / w["boards"][a] * w["load"] * span[1],
            0,
            s["boards"][a] * s["outside"]["board"] * span[1],
            0,
        ]
        x.append([var(c) for c in own])
        may = s["may"][a] + [not any(s["may"][a])]
        for t in range(5):
            if not may[t]:
                row({x[a][t]: 1}, 0, 0)
        row({i: 1 for i in x[a]}, 1, 1)
    fixed = 0
    # First stretch: everything on the belt, without saponifier.
    hours = next(h for p, h in b["shifts"] if p >= panels.sum() - 1e-9)
    fixed += (b["yearly"] + hours * b["hour"]) * span[0]
    # Second stretch: one shift step, with saponifier or without.
    step = {}
    for k, (room, h) in enumerate(b["shifts"]):
        for soap in (0, 1):
            once = b["replace"][1] * v ** b["replace"][0]
            step[k, soap] = var((b["yearly"] + h * (b["hour"] + soap * b["saponifier"])) * span[1] + once)
    row({i: 1 for i in step.values()}, 0, 1)
    room = {step[k, soap]: b["shifts"][k][0] for k, soap in step}
    on = {x[a][t]: -panels[a] for a in range(n) for t in (2, 4)}
    row(room | on, 0)
    for a in range(n):
        row({step[k, 1]: 1 for k in range(len(b["shifts"]))} | {x[a][2]: -1}, 0)
    # In use or not: retired when not; converted when with saponifier.
    used = var(-b["retire"] * start[1])
    fixed += b["retire"] * start[1]
    row({used: 1} | {i: -1 for i in step.values()}, 0, 0)
    row({used: 1} | {x[a][t]: -1 for a in range(n) for t in (2, 4)}, high=0)
    soap = var(b["conversion"] * start[1])
    row({soap: 1} | {step[k, 1]: -1 for k in range(len(b["shifts"]))}, 0)
    machines = var(w["yearly"] * span[1] + w["price"] * start[1], high=1000)
    row({machines: w["capacity"]} | {x[a][1]: -s["boards"][a] / w["boards"][a] * w["peak"] for a in range(n)}, 0)
    out = var(s["outside"]["yearly"] * span[1])
    run = var(s["programme"]["yearly"] * span[1] + s["programme"]["once"])
    both = var(s["segregation"]["yearly"] * span[1])
    stay = var(0)
    for a in range(n):
        row({out: 1, x[a][3]: -1}, 0)
        row({stay: 1, x[a][4]: -1}, 0)
        for t in range(4):
            row({run: 1, x[a][t]: -1}, 0)
    row({both: 1, run: -1, stay: -1}, -1)
    matrix = np.zeros((len(rows), len(cost)))
    for i, (terms, _, _) in enumerate(rows):
        for j, c in terms.items():
            matrix[i, j] += c
    limits = LinearConstraint(matrix, [r[1] for r in rows], [r[2] for r in rows])
    found = milp(cost, constraints=limits, integrality=kinds, bounds=Bounds(0, upper), options={"mip_rel_gap": 0})
    assert found.status == 0, found.message
    return found.fun + fixed


if __name__ == "__main__":
    cases = []
    for seed in range(1, 13):
        s = site(seed, 8 + 4 * (seed % 6))
        cases.append({"site": s, "least": least(s)})
    print(json.dumps({"made_with": f"scipy {scipy_version}, optimize.milp", "cases": cases}, indent=1))
