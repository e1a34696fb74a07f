#!/usr/bin/env python3
"""Takes the release program and the example site; prints the whole time of `galipot draft` beside `sha256sum`
over the same files, measured in turn in one run, and the ratio of the medians."""

import os
import statistics
import subprocess
import sys
import tempfile
import time

ROOT = os.path.dirname(os.path.dirname(os.path.abspath(__file__)))
SITE = os.path.join(ROOT, "qualification-examples", "hallow-fen")
PROGRAM = os.path.join(os.environ.get("CARGO_TARGET_DIR", os.path.join(ROOT, "target")), "release", "galipot")
REPETITIONS = int(sys.argv[1]) if len(sys.argv) > 1 else 15


def seconds(command):
    """Whole time of one process, in seconds, with nothing of this terminal in its environment."""
    began = time.perf_counter()
    subprocess.run(command, env={}, check=True, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
    return time.perf_counter() - began


def show(name, times):
    low, middle, high = min(times), statistics.median(times), max(times)
    print(f"{name:<28} median {middle * 1000:8.1f} ms   least {low * 1000:8.1f}   most {high * 1000:8.1f}")
    return middle


def main():
    subprocess.run(["cargo", "build", "--release", "--locked"], cwd=ROOT, check=True)
    files = sorted(os.path.join(folder, name) for folder, _, names in os.walk(SITE) for name in names)
    size = sum(os.path.getsize(f) for f in files)
    digest, draft, status = [], [], []
    with tempfile.TemporaryDirectory() as room:
        commands = [
            (digest, ["/usr/bin/sha256sum", *files]),
            (draft, [PROGRAM, "draft", "--site", SITE, "--out", os.path.join(room, "drafts")]),
            # Exit status 1 says that not every residue may stay; --json keeps the terminal out of it.
            (status, ["/bin/sh", "-c", f'"{PROGRAM}" status --json --site "{SITE}" || [ $? -eq 1 ]']),
        ]
        for turn in range(REPETITIONS + 2):
            for times, command in commands:
                took = seconds(command)
                if turn >= 2:
                    times.append(took)
    print(f"{len(files)} files, {size / 1e6:.2f} MB, {REPETITIONS} repetitions after 2 to warm up, {os.cpu_count()} cores")
    plain = show("sha256sum of the files", digest)
    whole = show("galipot draft, four dossiers", draft)
    show("galipot status --json", status)
    print(f"draft / sha256sum            {whole / plain:8.1f}")


main()
