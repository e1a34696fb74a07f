//! A small strict reader of HTML, and what it finds in pages: balance, ids, links, nothing from outside.

use std::collections::BTreeSet;

use super::{file, rendered, sample};

/// What a page is made of, in its order.
#[derive(Debug, Clone, PartialEq)]
pub enum Part {
    Open(String, Vec<(String, String)>),
    Close(String),
    Text(String),
}

const VOID: [&str; 4] = ["meta", "br", "hr", "img"];

/// Reads HTML or SVG. Panics at anything that isn't plain, balanced, quoted markup.
pub fn parts(html: &str) -> Vec<Part> {
    let mut out = Vec::new();
    let mut open: Vec<String> = Vec::new();
    let mut rest = html.strip_prefix("<!doctype html>\n").unwrap_or(html);
    while let Some(at) = rest.find('<') {
        out.push(Part::Text(unescape(&rest[..at])));
        rest = &rest[at + 1..];
        if let Some(tail) = rest.strip_prefix('/') {
            let end = tail.find('>').expect("end of tag");
            let name = &tail[..end];
            assert_eq!(
                open.pop().as_deref(),
                Some(name),
                "closes what is open, before {:?}",
                &tail[..tail.len().min(80)]
            );
            out.push(Part::Close(name.into()));
            rest = &tail[end + 1..];
            continue;
        }
        let (name, attributes, alone, tail) = tag(rest);
        out.push(Part::Open(name.clone(), attributes));
        rest = tail;
        if name == "style" {
            let end = rest.find("</style>").expect("end of style");
            rest = &rest[end..];
        }
        if alone || VOID.contains(&name.as_str()) {
            out.push(Part::Close(name));
        } else {
            open.push(name);
        }
    }
    assert!(open.is_empty() && rest.trim().is_empty(), "left open: {open:?}");
    out
}

/// Name, attributes, whether it closes itself, and what follows.
fn tag(text: &str) -> (String, Vec<(String, String)>, bool, &str) {
    let name: String = text.chars().take_while(char::is_ascii_alphanumeric).collect();
    assert!(!name.is_empty(), "a tag's name at {:?}", text.chars().take(40).collect::<String>());
    let mut rest = &text[name.len()..];
    let mut attributes: Vec<(String, String)> = Vec::new();
    loop {
        rest = rest.trim_start();
        if let Some(tail) = rest.strip_prefix("/>") {
            return (name, attributes, true, tail);
        }
        if let Some(tail) = rest.strip_prefix('>') {
            return (name, attributes, false, tail);
        }
        let key: String = rest.chars().take_while(|c| c.is_ascii_alphanumeric() || *c == '-').collect();
        let value =
            rest[key.len()..].strip_prefix("=\"").unwrap_or_else(|| panic!("quoted value of {key:?} in {name}"));
        let end = value.find('"').expect("end of value");
        assert!(!value[..end].contains('<'), "unescaped value of {key}");
        assert!(attributes.iter().all(|a| a.0 != key), "{key} twice in {name}");
        attributes.push((key, unescape(&value[..end])));
        rest = &value[end + 1..];
    }
}

fn unescape(text: &str) -> String {
    for (i, _) in text.match_indices('&') {
        let known = ["&amp;", "&lt;", "&gt;", "&quot;", "&#39;"].iter().any(|e| text[i..].starts_with(e));
        assert!(known, "bare ampersand in {text:?}");
    }
    assert!(!text.contains('>'), "bare > in {text:?}");
    text.replace("&lt;", "<").replace("&gt;", ">").replace("&quot;", "\"").replace("&#39;", "'").replace("&amp;", "&")
}

fn pages() -> [String; 2] {
    [sample::document(), sample::hostile()].map(|d| file(&rendered(&d), "dossier.html"))
}

#[test]
fn pages_hold_only_elements_and_attributes_that_galipot_writes() {
    let elements = "a b blockquote body br caption circle code dd desc details div dl dt em figcaption figure h1 h2 h3 h4 h5 h6 \
        head header hr html g li main math meta mfrac mi mn mo mrow msqrt msub msup nav ol p path pre section span strong style summary svg table tbody td text th thead \
        title tr ul";
    let attributes = "alttext anchor aria-hidden aria-label aria-labelledby charset class content cx cy d data-audience data-place \
        data-state data-working display fill font-size font-weight height href http-equiv id lang name paint-order r role scope stroke \
        stroke-dasharray stroke-width tabindex text-anchor title transform viewBox width x y";
    let elements: BTreeSet<_> = elements.split_whitespace().collect();
    let attributes: BTreeSet<_> = attributes.split_whitespace().collect();
    for page in pages() {
        for part in parts(&page) {
            if let Part::Open(name, list) = part {
                assert!(elements.contains(name.as_str()), "element {name}");
                for (key, value) in list {
                    assert!(attributes.contains(key.as_str()), "attribute {key} of {name}");
                    assert!(key != "href" || value.starts_with('#'), "link to the outside: {value}");
                }
            }
        }
    }
}

#[test]
fn every_link_leads_to_an_id_and_every_id_is_there_once() {
    for page in pages() {
        let mut ids = BTreeSet::new();
        let mut links = Vec::new();
        for part in parts(&page) {
            let Part::Open(_, attributes) = part else { continue };
            for (key, value) in attributes {
                match key.as_str() {
                    "id" => assert!(!value.is_empty() && ids.insert(value.clone()), "id {value:?} twice"),
                    "href" => links.push(value[1..].to_owned()),
                    "aria-labelledby" => links.push(value),
                    _ => {}
                }
            }
        }
        assert!(links.len() > 20);
        for link in links {
            assert!(ids.contains(&link), "no id {link}");
        }
    }
}

#[test]
fn headings_leave_out_no_level() {
    for page in pages() {
        let mut last = 0;
        for part in parts(&page) {
            let Part::Open(name, _) = part else { continue };
            if let Some(level) = name.strip_prefix('h').and_then(|n| n.parse::<u8>().ok()) {
                assert!(level <= last + 1, "h{level} below h{last}");
                last = level;
            }
        }
        assert!(last > 0);
    }
}

#[test]
fn styles_hold_no_address_and_hostile_running_heads_stay_strings() {
    for page in pages() {
        let style = &page[page.find("<style>").expect("style")..page.find("</style>").expect("end of style")];
        assert!(!style.contains("url(") && !style.contains("@import") && !style[7..].contains('<'));
        let paper = style.rfind("@page {").map(|at| &style[at..]).expect("running heads");
        assert!(paper.lines().count() <= 2, "one line: {paper}");
        for box_name in ["@top-left", "@top-right", "@bottom-center"] {
            assert!(paper.contains(box_name));
        }
        let plain = |c: char| c.is_ascii_alphanumeric() || " @{}():;\\\"-\n".contains(c);
        assert!(paper.chars().all(plain), "{paper}");
    }
}

#[test]
fn no_hidden_character_reaches_a_page() {
    for document in [sample::document(), sample::hostile()] {
        for (path, bytes) in rendered(&document).files {
            let text = String::from_utf8(bytes).expect("UTF-8");
            let hidden = |c: char| c.is_control() && c != '\n' || "\u{202e}\u{2066}\u{200b}\u{feff}".contains(c);
            assert!(path == "record.json" || !text.chars().any(hidden), "{path}");
        }
    }
}

#[test]
fn figures_are_sound_files_of_their_own() {
    for document in [sample::document(), sample::hostile()] {
        for (path, bytes) in rendered(&document).files.into_iter().filter(|f| f.0.ends_with(".svg")) {
            let name = path.trim_start_matches("figures/").trim_end_matches(".svg");
            assert!(
                name.chars().all(|c| c.is_ascii_alphanumeric() || "._-".contains(c)) && !name.starts_with('.'),
                "{path}"
            );
            let svg = String::from_utf8(bytes).expect("UTF-8");
            let parts = parts(&svg);
            assert!(
                matches!(&parts[1], Part::Open(name, a) if name == "svg" && a.contains(&("role".into(), "img".into())))
            );
            for absent in ["NaN", "inf", "\"-0\"", "--"] {
                let drawn = parts.iter().filter_map(|p| if let Part::Open(_, a) = p { Some(a) } else { None });
                assert!(!drawn.flatten().any(|(_, v)| v.contains(absent)), "{absent} in {path}");
            }
        }
    }
}

/// Base 64 of the SHA-256 of some text, as a policy of a page names a script.
fn policy_hash(text: &str) -> String {
    const SIGNS: &[u8; 64] = b"ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";
    let hex = galipot::diag::sha256_hex(text.as_bytes());
    let bytes: Vec<u32> =
        (0..32).map(|i| u32::from_str_radix(&hex[2 * i..2 * i + 2], 16).expect("two digits")).collect();
    let mut out = String::new();
    for three in bytes.chunks(3) {
        let bits = three.iter().fold(0, |b, x| b << 8 | x) << (8 * (3 - three.len()));
        for i in 0..4 {
            let sign = SIGNS[(bits >> (18 - 6 * i) & 63) as usize] as char;
            out.push(if i <= three.len() { sign } else { '=' });
        }
    }
    out
}

#[test]
fn the_policy_of_a_page_allows_its_script_and_no_other() {
    // Known answer: FIPS 180-4, the message "abc".
    assert_eq!(policy_hash("abc"), "ungWv48Bz+pBQUDeXa4iI7ADYaOWF3qctBD/YfIAFa0=");
    let hash = policy_hash(include_str!("../../../templates/remarks.js"));
    let page = include_str!("../../../templates/page.html");
    assert_eq!(page.matches(&format!("script-src 'sha256-{hash}'")).count(), 1, "templates/page.html must name {hash}");
    assert_eq!(page.matches("script-src").count(), 1);
}
