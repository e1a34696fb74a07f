//! Takes a letter; tells whether the fonts inside the typst program hold it, and how wide it stands.

/// Letters of the two text fonts, from first to last. PDF/A refuses a page with a letter that no font holds.
const HELD: &[(u32, u32)] = &[
    (0x20, 0x7E),
    (0xA0, 0x17F),
    (0x250, 0x2AF),
    (0x300, 0x33F),
    (0x384, 0x38A),
    (0x38E, 0x3A1),
    (0x3A3, 0x3CE),
    (0x400, 0x45F),
    (0x490, 0x4C4),
    (0x1E00, 0x1E9B),
    (0x2000, 0x200A),
    (0x2010, 0x2027),
    (0x202F, 0x2037),
    (0x2039, 0x203E),
    (0x2070, 0x2071),
    (0x2074, 0x208E),
    (0x20AC, 0x20AC),
    (0x2100, 0x2103),
    (0x2116, 0x2116),
    (0x2122, 0x2122),
    (0x2126, 0x2126),
    (0x212A, 0x212B),
    (0x2153, 0x215F),
    (0x2190, 0x21FF),
    (0x2200, 0x2213),
    (0x2217, 0x2220),
    (0x2227, 0x222B),
    (0x2234, 0x223D),
    (0x2241, 0x2269),
    (0x2308, 0x230B),
    (0x2500, 0x25FF),
    (0x2713, 0x2714),
    (0x2717, 0x2718),
];

/// Widths of the letters from space to tilde in the text font, in thousandths of its size.
const WIDTHS: [i64; 95] = [
    250, 288, 336, 465, 465, 637, 705, 190, 298, 298, 369, 550, 220, 338, 220, 323, 465, 465, 465, 465, 465, 465, 465,
    465, 465, 465, 236, 236, 550, 550, 550, 435, 895, 695, 588, 646, 701, 557, 485, 685, 730, 297, 322, 637, 528, 839,
    699, 702, 541, 702, 587, 485, 597, 661, 652, 951, 660, 575, 604, 356, 287, 356, 518, 486, 392, 457, 493, 428, 506,
    447, 310, 500, 538, 271, 272, 512, 264, 790, 542, 504, 519, 503, 372, 390, 316, 531, 497, 747, 490, 515, 424, 277,
    205, 277, 449,
];
/// Width of a letter that is none of these: that of the widest usual ones.
const OTHER: i64 = 720;

/// Whether a font holds the letter.
pub fn holds(c: char) -> bool {
    HELD.iter().any(|&(from, to)| (from..=to).contains(&(c as u32)))
}

/// The letter, or its code in brackets when no font holds it.
pub fn sign(c: char) -> String {
    if holds(c) { c.to_string() } else { format!("[U+{:04X}]", c as u32) }
}

/// Width of a text on one line, in thousandths of its size.
pub fn width(text: &str) -> i64 {
    let one = |c: char| match c {
        // It is printed as its code.
        c if !holds(c) => 4500,
        c => usize::try_from(c as u32 - 0x20).ok().and_then(|n| WIDTHS.get(n)).copied().unwrap_or(OTHER),
    };
    text.chars().map(one).sum()
}
