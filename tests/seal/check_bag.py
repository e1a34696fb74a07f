"""Checks digests, completeness and chain of galipot bags and copies, from docs/sealed-format.md alone.
usage: check_bag.py BAG...   (earlier revisions among them complete the chain)"""
import hashlib, os, sys
PARTS = {f"data/dossier.{e}": ("data/sections/", "." + e) for e in ("html", "md", "typ")}
PARTS |= {f"data/{p}record.json": (f"data/{p}record/", ".part") for p in ("", "previous/")}
SAME = {"Source-Organization", "External-Identifier", "Bagging-Date", "Bag-Software-Agent", "Galipot-Revision"}
OWN = {"Galipot-Format", "Galipot-Copy-For", "Galipot-Whole-Digest", "Payload-Oxum"}  # what a copy tells of itself
sha = lambda data: hashlib.sha256(data).hexdigest()
need = lambda holds, words: holds or sys.exit(f"WRONG: {words}")
def load(root):
    paths = [os.path.join(f, n) for f, folders, names in os.walk(root) for n in folders + names]
    need(not any(map(os.path.islink, paths)), f"{root} holds a link")
    return {os.path.relpath(p, root).replace(os.sep, "/"): open(p, "rb").read() for p in paths if os.path.isfile(p)}

def listed(files, root, name):
    out = {}
    for digest, path in (line.split("  ", 1) for line in files[root + name].decode().splitlines()):
        path = path.replace("%0D", "\r").replace("%0A", "\n").replace("%25", "%")
        need(path not in out and path[0] != "/" and ".." not in path.split("/"), f"{name} names {path}")
        out[path] = digest
    return out

def check(folder):
    files = load(folder)
    lines = lambda path, mark: [line.split(mark, 1) for line in files[path].decode().splitlines()]
    own, tags = listed(files, "", "manifest-sha256.txt"), listed(files, "", "tagmanifest-sha256.txt")
    info = dict(lines("bag-info.txt", ": "))
    reader = info.get("Galipot-Copy-For")  # none in a whole bag
    root = "whole/" if reader else ""
    payload, top = listed(files, root, "manifest-sha256.txt"), root + "tagmanifest-sha256.txt"
    sealed = {root + p: d for p, d in listed(files, root, "tagmanifest-sha256.txt").items()} | {top: sha(files[top])}
    whole = dict(lines(root + "bag-info.txt", ": "))
    if reader:
        tags |= sealed
        same = all(info[k] == whole[k] for k in SAME) and info["Galipot-Whole-Digest"] == sealed[top]
        need(same and info.keys() == SAME | OWN, "the copy speaks of another bag")
        need(set(tags) == set(sealed) | {"README.txt", "bagit.txt", "bag-info.txt", "manifest-sha256.txt"}, "other tag files")
    for path, digest in {**own, **tags}.items():
        need(path in files and sha(files[path]) == digest, f"{path} is missing or altered")
    for path in set(files) - set(own) - set(tags) - {"tagmanifest-sha256.txt"}:
        need(path.startswith("signatures/"), f"{path} was never sealed")
    forms = [f for f in PARTS if f in payload and not (info["Galipot-Format"][-2:] in ("/1", "/2") and "record" in f)]
    need({"data/dossier.html", "data/dossier.md", "data/record.json"} <= set(payload), "dossier or record is missing")
    for audience, path in lines(root + "audiences.txt", "  ") if reader else []:  # what the copy must hold, and no more
        may = audience in ("all", reader)
        need(path in forms or own.get(path) == (payload[path] if may else None), f"{path} is not as {reader} may see it")
    for form in forms:  # every part in its place; in a copy the digest of a withheld one instead
        at = 0
        for path in sorted(p for p in payload if p.startswith(PARTS[form][0]) and p.endswith(PARTS[form][1])):
            piece = files.get(path, payload[path].encode())
            found = files[form].find(piece, at)
            need(found == at or reader and found > at, f"{form} lacks {path}")
            at = found + len(piece)
        need(at == len(files[form]) or reader, f"{form} holds more than its parts")
    return whole, sealed[top]
bags = {(i["External-Identifier"], i["Galipot-Revision"]): (i, d) for i, d in map(check, sys.argv[1:])}
for (document, revision), (info, digest) in bags.items():
    before, wanted = bags.get((document, info["Galipot-Previous-Revision"])), info["Galipot-Previous-Digest"]
    need(wanted == "none" or not before or before[1] == wanted, f"{document} {revision} does not follow the one before")
    print(document, revision, digest, "chain", "first" if wanted == "none" else "ok" if before else "missing")
