"""Reads the PDF of a dossier: identity and page number on every page, the verdict, no text beyond the paper, all words.

usage: check.py DOSSIER.pdf DOSSIER.md PAGES
"""
import re
import subprocess
import sys
import xml.etree.ElementTree as tree


def fail(what):
    print(f"{sys.argv[1]}: {what}")
    sys.exit(1)


def main(pdf, markdown, pages):
    run = ["pdftotext", "-bbox", "-enc", "UTF-8", pdf, "-"]
    text = subprocess.run(run, capture_output=True, check=True).stdout.decode()
    text = re.sub(r"[\x00-\x08\x0b\x0c\x0e-\x1f]", "", text)
    sheets = tree.fromstring(text).findall(".//{*}page")
    if len(sheets) != pages:
        fail(f"{len(sheets)} of {pages} pages can be read")
    source = open(markdown, encoding="utf-8").read()
    document = re.search(r"\| Document \| (\S+)", source).group(1)
    said = set()
    for n, sheet in enumerate(sheets, 1):
        wide, high = float(sheet.get("width")), float(sheet.get("height"))
        words = [(w.text or "", w) for w in sheet.findall(".//{*}word")]
        line = " ".join(w for w, _ in words)
        for wanted in (document, f"Page {n} of {pages}", "DRAFT", "Digest of inputs and record"):
            if wanted not in line:
                fail(f"page {n} has no {wanted}")
        for word, box in words:
            # The mark behind the text runs over the edges of nothing; margins are 14 mm and more.
            left, right, top, bottom = (float(box.get(k)) for k in ("xMin", "xMax", "yMin", "yMax"))
            if left < 30 or right > wide - 30 or top < 15 or bottom > high - 8:
                fail(f"page {n}: \"{word}\" at {left:.0f} to {right:.0f} of {wide:.0f} stands in the margin")
        said.update(w for w, _ in words)
    verdict = re.search(r"^> \*\*(.+)\*\*", source, re.M).group(1).replace("\\", "")
    joined = " ".join(w for w, _ in ((w.text or "", w) for s in sheets[:4] for w in s.findall(".//{*}word")))
    if verdict not in joined:
        fail(f"the verdict \"{verdict}\" is not on the first pages")
    # Ids are never broken over lines.
    ids = set(re.findall(r"\b(?:RUN|CO|LIM|W)-?\d[\w-]*", source))
    missing = [i for i in ids if not any(i in w for w in said)]
    if len(ids) < 50 or missing:
        fail(f"of {len(ids)} ids not printed: {missing[:8]}")


main(sys.argv[1], sys.argv[2], int(sys.argv[3]))
