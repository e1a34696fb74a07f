# Recipes of the house. `just ci` is exactly what the gate runs.

# All tests.
test *filter:
    cargo test {{filter}}

# Form and lints, as the gate wants them.
lint:
    cargo fmt --check
    cargo clippy --all-targets -- -D warnings

# Licences, banned crates, sources of the dependencies.
deny:
    cargo deny check licenses bans sources

# Known weaknesses of dependencies; fetches a database, so it is no part of the gate.
advisories:
    cargo deny check advisories

# Writes the parts of pages that come from the project itself: map, diagnostics, excerpt in the README.
docs:
    GALIPOT_WRITE_DOCS=1 cargo test --test it -- tidy readme manual

# Opens the drafted dossiers in a browser and checks page, phone, print and PDF.
browser:
    bash .ci/browser

# Makes the PDFs of the example site and reads them with stock tools.
pdf:
    cargo build
    cargo test --test it documents
    bash .ci/pdf "${CARGO_TARGET_DIR:-$PWD/target}/debug/galipot" "$(mktemp -d)"

# In-process benches, then the whole process beside a plain digest of the same files.
bench:
    cargo bench
    python3 benches/side_by_side.py

# The gate.
ci:
    bash .ci/run
