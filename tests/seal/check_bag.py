"""Checks digests, completeness and chain of galipot bags, from docs/sealed-format.md alone.

usage: check_bag.py BAG...   (earlier revisions among them complete the chain)
"""
import hashlib
import os
import sys


def sha(data):
    return hashlib.sha256(data).hexdigest()


def load(root):
    files = {}
    for folder, names, here in os.walk(root):
        for n in names + here:
            path = os.path.join(folder, n)
            if os.path.islink(path):
                raise ValueError(f"{path} is a link")
        for n in here:
            path = os.path.join(folder, n)
            files[os.path.relpath(path, root).replace(os.sep, "/")] = open(path, "rb").read()
    return files


def manifest(text):
    out = {}
    for line in text.decode().splitlines():
        digest, path = line.split("  ", 1)
        path = path.replace("%0D", "\r").replace("%0A", "\n").replace("%25", "%")
        if path in out or path.startswith("/") or ".." in path.split("/"):
            raise ValueError(f"bad line: {line}")
        out[path] = digest
    return out


def check(root):
    files = load(root)
    info = dict(line.split(": ", 1) for line in files["bag-info.txt"].decode().splitlines())
    forms = {"galipot.bag/1": (".html", ".md"), "galipot.bag/2": (".html", ".md", ".typ")}.get(info["Galipot-Format"])
    if forms is None:
        raise ValueError("not a whole bag")
    payload, tags = manifest(files["manifest-sha256.txt"]), manifest(files["tagmanifest-sha256.txt"])
    for path, digest in {**payload, **tags}.items():
        if sha(files[path]) != digest:
            raise ValueError(f"{path} is altered")
    extra = set(files) - set(payload) - set(tags) - {"tagmanifest-sha256.txt"}
    if any(not p.startswith("signatures/") for p in extra):
        raise ValueError(f"never sealed: {sorted(extra)}")
    for ending in forms:
        parts = sorted(p for p in files if p.startswith("data/sections/") and p.endswith(ending))
        if b"".join(files[p] for p in parts) != files["data/dossier" + ending]:
            raise ValueError(f"dossier{ending} is not the sum of its sections")
    if len(forms) > 2 and info["Galipot-Pdf"].startswith("none") == ("data/dossier.pdf" in files):
        raise ValueError("Galipot-Pdf says otherwise than the payload")
    return info, sha(files["tagmanifest-sha256.txt"])


if __name__ == "__main__":
    bags = {(i["External-Identifier"], i["Galipot-Revision"]): (i, d) for i, d in map(check, sys.argv[1:])}
    for (document, revision), (info, digest) in bags.items():
        before = bags.get((document, info["Galipot-Previous-Revision"]))
        wanted = info["Galipot-Previous-Digest"]
        chain = "first" if wanted == "none" else "missing" if not before else "ok" if before[1] == wanted else "BROKEN"
        print(document, revision, digest, "chain", chain)
        if chain == "BROKEN":
            sys.exit(1)
