#!/usr/bin/env python3
"""Takes the release program; prints whole times of processes side by side, measured in turn in one run, and the ratios
of their medians: `galipot draft` beside `sha256sum` over the same files; `galipot calc --batch` with 100 000 cases, and
with a Monte Carlo model of a million draws, beside scipy and numpy doing the same (benches/peers.py, with a Python that
has them: PEER=path of that Python); and a million draws of a staged plan beside numpy, inside both processes.

usage: side_by_side.py [REPETITIONS] [draft|batch|plan|all]"""

import json
import os
import random
import statistics
import subprocess
import sys
import tempfile
import time

ROOT = os.path.dirname(os.path.dirname(os.path.abspath(__file__)))
SITE = os.path.join(ROOT, "qualification-examples", "hallow-fen")
PROGRAM = os.path.join(os.environ.get("CARGO_TARGET_DIR", os.path.join(ROOT, "target")), "release", "galipot")
REPETITIONS = int(sys.argv[1]) if len(sys.argv) > 1 else 15
WHAT = sys.argv[2] if len(sys.argv) > 2 else "all"
PEER = os.environ.get("PEER", sys.executable)
CASES = 100_000
DRAWS = 1_000_000


def seconds(command):
    """Whole time of one process, in seconds, with nothing of this terminal in its environment."""
    began = time.perf_counter()
    subprocess.run(command, env={}, check=True, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
    return time.perf_counter() - began


def show(name, times):
    low, middle, high = min(times), statistics.median(times), max(times)
    print(f"{name:<28} median {middle * 1000:8.1f} ms   least {low * 1000:8.1f}   most {high * 1000:8.1f}")
    return middle


def draft():
    files = sorted(os.path.join(folder, name) for folder, _, names in os.walk(SITE) for name in names)
    size = sum(os.path.getsize(f) for f in files)
    with tempfile.TemporaryDirectory() as room:
        digest, whole, status = in_turn(
            ["/usr/bin/sha256sum", *files],
            [PROGRAM, "draft", "--site", SITE, "--out", os.path.join(room, "drafts")],
            # Exit status 1 says that not every residue may stay; --json keeps the terminal out of it.
            ["/bin/sh", "-c", f'"{PROGRAM}" status --json --site "{SITE}" || [ $? -eq 1 ]'],
        )
    print(f"{len(files)} files, {size / 1e6:.2f} MB, {circumstances()}")
    plain = show("sha256sum of the files", digest)
    ours = show("galipot draft, four dossiers", whole)
    show("galipot status --json", status)
    print(f"draft / sha256sum            {ours / plain:8.1f}")


def in_turn(*commands):
    """Times of each command, measured in turn, after two turns to warm up."""
    times = [[] for _ in commands]
    for turn in range(REPETITIONS + 2):
        for list_, command in zip(times, commands):
            took = seconds(command)
            if turn >= 2:
                list_.append(took)
    return times


def circumstances():
    return f"{REPETITIONS} repetitions after 2 to warm up, {os.cpu_count()} cores"


def cases(kinds):
    """The same cases every time: a third each, or one kind alone."""
    lot = random.Random(3)
    out = []
    for i in range(CASES if len(kinds) > 1 else CASES // 3):
        kind = kinds[i % len(kinds)]
        if kind == "factor":
            inputs = {"n": lot.randint(3, 500), "coverage": lot.uniform(0.5, 0.999), "confidence": lot.uniform(0.5, 0.99)}
        elif kind == "clopper_pearson":
            n = lot.randint(5, 5000)
            inputs = {"k": lot.randint(0, n), "n": n, "confidence": lot.uniform(0.5, 0.999)}
        else:
            inputs = {"t_C": lot.uniform(-20, 60), "rh_percent": lot.uniform(5, 100), "p_Pa": 101325}
        out.append({"id": f"c{i}", "kind": kind, "inputs": inputs})
    return out


def answers(command):
    return json.loads(subprocess.run(command, env={}, check=True, capture_output=True).stdout)["results"]


def farthest(ours, theirs):
    """Largest difference of a field, relative to 1 or to the value where that is larger."""
    return max(abs(ours[i][k] - v) / max(1.0, abs(v)) for i, fields in theirs.items() for k, v in fields.items())


def batch():
    peer = os.path.join(ROOT, "benches", "peers.py")
    if subprocess.run([PEER, "-c", "import scipy"], capture_output=True, check=False).returncode != 0:
        print(f"{PEER} has no scipy, so there is nothing to measure beside")
        return
    every = ["factor", "clopper_pearson", "point"]
    begin, = in_turn([PEER, "-c", "import numpy, scipy.stats"])
    print(f"{CASES} cases in one file, a third of each kind, then each third alone; {circumstances()}")
    show("Python with scipy, no work", begin)
    for kinds in [every, *([k] for k in every)]:
        with tempfile.TemporaryDirectory() as room:
            path = os.path.join(room, "cases.json")
            with open(path, "w", encoding="utf-8") as f:
                json.dump({"cases": cases(kinds)}, f)
            our, their = [PROGRAM, "calc", "--batch", path, "--json"], [PEER, peer, "batch", path]
            apart = farthest(answers(our), answers(their))
            ours, theirs = in_turn(our, their)
            name = "all" if len(kinds) > 1 else kinds[0]
            a, b = show(f"galipot, {name}", ours), show(f"scipy, {name}", theirs)
            print(f"galipot / scipy              {a / b:8.2f}   largest difference of a field {apart:.1e}")
    monte_carlo(peer)


def monte_carlo(peer):
    with open(os.path.join(ROOT, "tests", "reference", "t07_finance_mc.json"), encoding="utf-8") as f:
        model = next(c for c in json.load(f)["cases"] if c["kind"] == "monte_carlo_model")
    case = {"id": model["id"], "kind": model["kind"], "inputs": {**model["inputs"], "draws": DRAWS}}
    with tempfile.TemporaryDirectory() as room:
        path = os.path.join(room, "cases.json")
        with open(path, "w", encoding="utf-8") as f:
            json.dump({"cases": [case]}, f)
        our, their = [PROGRAM, "calc", "--batch", path, "--json"], [PEER, peer, "draws", str(DRAWS)]
        ran = subprocess.run(our, env={}, capture_output=True, check=False)
        if ran.returncode != 0:
            print(f"Monte Carlo: {json.loads(ran.stdout)['results'][case['id']]['error']}")
            return
        ours, theirs = in_turn(our, their)
    print(f"cost model, {DRAWS} draws")
    a, b = show("galipot, cost model", ours), show("numpy, cost model", theirs)
    print(f"galipot / numpy              {a / b:8.2f}")


def plan():
    """Both sides run in turn, each several times in a process that is warm; times are inside the processes. Processor
    times come beside, because other work on the machine stretches every clock."""
    command = ["cargo", "bench", "--locked", "--bench", "draws", "--no-run", "--message-format=json"]
    built = subprocess.run(command, cwd=ROOT, check=True, capture_output=True, text=True).stdout
    made = [json.loads(line).get("executable") for line in built.splitlines() if line.startswith("{")]
    ours = [next(path for path in made if path and "draws" in path), str(REPETITIONS)]
    theirs = [PEER, os.path.join(ROOT, "benches", "peers.py"), "plan", str(REPETITIONS)]
    seconds, processor, said = ([], []), ([], []), [None, None]
    for _ in range(5):
        for side, command in enumerate((ours, theirs)):
            before = os.times()
            said[side] = json.loads(subprocess.run(command, env={}, check=True, capture_output=True).stdout)
            after = os.times()
            seconds[side].extend(said[side]["seconds"])
            # Ours starts in a millisecond, so the whole process is its draws: to warm up, measured, and once to print.
            whole = after.children_user - before.children_user + after.children_system - before.children_system
            processor[side].extend(said[side].get("processor") or [whole / (REPETITIONS + 2)])
    print(f"staged plan, 11 uncertain numbers, 3 paths, {DRAWS} draws; 5 x {circumstances()}, load {os.getloadavg()[0]:.1f}")
    for name, x in zip(("galipot", "numpy"), said):
        print(f"{name:<10}" + "".join(f"{k} {x[k]:.6g}  " for k in ("mean", "sd", "p5", "p50", "p95", "loss")))
    a, b = show("galipot, draws of a plan", seconds[0]), show("numpy, draws of a plan", seconds[1])
    print(f"numpy / galipot              {b / a:8.1f}   least of each {min(seconds[1]) / min(seconds[0]):.1f}")
    a, b = show("galipot, processor", processor[0]), show("numpy, processor", processor[1])
    print(f"numpy / galipot, processor   {b / a:8.1f}")


def main():
    if WHAT != "plan":
        subprocess.run(["cargo", "build", "--release", "--locked"], cwd=ROOT, check=True)
    if WHAT in ("draft", "all"):
        draft()
    if WHAT in ("batch", "all"):
        batch()
    if WHAT in ("plan", "all"):
        plan()


main()
