//! A strict reader of the Typst that galipot writes: known calls with string literals, and nothing that could be code.

use galipot::compute::calc::registry;
use galipot::model::document::{Block, Document, Formula, Inline};
use proptest::prelude::*;

use super::content::of_html;
use super::sample::t;
use super::text::{around, marks, seen};
use super::{file, rendered, sample};

/// An argument, or something that stands in a text.
#[derive(Debug, Clone, PartialEq)]
enum Node {
    Text(String),
    /// A number, perhaps with a unit; true, false or auto.
    Word(String),
    Maths,
    List(Vec<Node>),
    Named(String, Box<Node>),
    Call(String, Vec<Node>),
}

struct Reader<'a> {
    rest: &'a str,
}

impl Reader<'_> {
    fn fail(&self, what: &str) -> ! {
        panic!("{what} at {:?}", self.rest.chars().take(80).collect::<String>())
    }

    fn eat(&mut self, sign: char) -> bool {
        self.rest = self.rest.trim_start_matches([' ', '\n']);
        let found = self.rest.starts_with(sign);
        self.rest = &self.rest[if found { sign.len_utf8() } else { 0 }..];
        found
    }

    /// Markup to a closing bracket or the end: only calls and literals behind `#`.
    fn markup(&mut self, inside: bool) -> Vec<Node> {
        let mut out = Vec::new();
        loop {
            if inside && self.eat(']') || !inside && self.rest.trim().is_empty() {
                return out;
            }
            if !self.eat('#') {
                self.fail("bare markup");
            }
            out.push(if self.rest.starts_with('"') { self.value() } else { self.call() });
        }
    }

    fn name(&mut self) -> String {
        let end = self.rest.find(|c: char| !c.is_ascii_alphabetic() && c != '-').unwrap_or(self.rest.len());
        let (name, rest) = self.rest.split_at(end);
        self.rest = rest;
        if name.is_empty() {
            self.fail("no name");
        }
        name.to_string()
    }

    fn call(&mut self) -> Node {
        let name = self.name();
        let mut args = Vec::new();
        let mut called = false;
        if self.rest.starts_with('(') {
            (called, args) = (true, self.list());
        }
        while self.rest.starts_with('[') {
            called = true;
            self.eat('[');
            args.push(Node::List(self.markup(true)));
        }
        if !called {
            self.fail(&format!("{name} isn't called"));
        }
        Node::Call(name, args)
    }

    fn list(&mut self) -> Vec<Node> {
        let mut out = Vec::new();
        self.eat('(');
        while !self.eat(')') {
            out.push(self.value());
            if !self.eat(',') && !self.rest.starts_with(')') {
                self.fail("no comma");
            }
        }
        out
    }

    fn value(&mut self) -> Node {
        self.rest = self.rest.trim_start_matches([' ', '\n']);
        match self.rest.chars().next() {
            Some('"') => {
                let mut out = String::new();
                let mut letters = self.rest[1..].char_indices();
                while let Some((at, c)) = letters.next() {
                    match c {
                        '"' => {
                            self.rest = &self.rest[at + 2..];
                            return Node::Text(out);
                        }
                        '\\' => match letters.next() {
                            Some((_, c @ ('\\' | '"'))) => out.push(c),
                            other => panic!("escaped {other:?}"),
                        },
                        '\n' => self.fail("a line end in a literal"),
                        c => out.push(c),
                    }
                }
                self.fail("no end of a literal")
            }
            Some('(') => Node::List(self.list()),
            Some('[') => {
                self.eat('[');
                Node::List(self.markup(true))
            }
            Some('$') => {
                let end = self.rest[1..].find('$').unwrap_or_else(|| self.fail("no end of mathematics"));
                let signs = &self.rest[1..=end];
                let plain = |c: char| c.is_ascii_alphanumeric() || " .\"=+-,()^_".contains(c);
                assert!(signs.chars().all(plain), "{signs}");
                self.rest = &self.rest[end + 2..];
                Node::Maths
            }
            Some(c) if c.is_ascii_digit() => {
                let end = self.rest.find(|c: char| !c.is_ascii_alphanumeric() && c != '.').unwrap_or(self.rest.len());
                let (word, rest) = self.rest.split_at(end);
                self.rest = rest;
                Node::Word(word.to_string())
            }
            _ => {
                let before = self.rest;
                let name = self.name();
                if self.eat(':') {
                    return Node::Named(name, Box::new(self.value()));
                }
                if ["true", "false", "auto"].contains(&name.as_str()) {
                    return Node::Word(name);
                }
                if name != "datetime" {
                    self.rest = before;
                    self.fail("an unknown value");
                }
                Node::Call(name, self.list())
            }
        }
    }
}

fn read(source: &str) -> Vec<Node> {
    Reader { rest: source }.markup(false)
}

/// What stands on paper, without the signs behind numbers.
fn printed(nodes: &[Node]) -> String {
    nodes.iter().map(of).collect()
}

fn of(node: &Node) -> String {
    let (name, args) = match node {
        Node::Text(text) => return text.clone(),
        Node::List(list) => return printed(list),
        Node::Word(_) | Node::Maths | Node::Named(..) => return String::new(),
        Node::Call(name, args) => (name.as_str(), args),
    };
    let cells = |list: &[Node]| printed(&list[1..]);
    match name {
        "t" | "code" | "place" | "count" | "working" | "cited" | "maths" => of(&args[0]),
        "b" | "i" | "p" | "quoted" | "items" | "steps" | "lines" | "formula" | "signature" | "fold" | "sheets" => {
            printed(args)
        }
        "to" | "chapter" | "verdict" => printed(&args[1..]),
        "head" => printed(&args[2..]),
        "unlinked" => format!("{} [{}]", of(&args[0]), of(&args[1])),
        "state" => format!("{} {}", of(&args[0]), of(&args[1])),
        "cover" => of(&args[1]),
        "here" | "br" | "rule" | "pagebreak" => String::new(),
        "caution" => format!("Caution: {}", printed(args)),
        "tab" => {
            let Node::Word(number) = &args[0] else { panic!("{args:?}") };
            let head = args.iter().find_map(|a| match a {
                Node::Named(name, head) if name == "head" => Some(of(head)),
                _ => None,
            });
            format!("Table {number}.{}{}{}", of(&args[1]), head.expect("a head"), printed(&args[2..]))
        }
        "picture" => {
            let Node::Word(number) = &args[0] else { panic!("{args:?}") };
            assert_eq!(of(&args[3]), format!("figures/{}.svg", of(&args[1])));
            let panels = args[6..].iter().map(|p| match p {
                Node::List(p) if of(&p[1]).is_empty() => of(&p[0]),
                Node::List(p) => format!("{}:{}", of(&p[0]), of(&p[1])),
                other => panic!("{other:?}"),
            });
            format!("Figure {number}.{}{}{}{}", of(&args[2]), of(&args[4]), of(&args[5]), panels.collect::<String>())
        }
        "sheet" => {
            let (Node::List(inputs), Node::List(outputs)) = (&args[6], &args[7]) else { panic!("{args:?}") };
            format!("{}{}{}{}", printed(&args[2..6]), cells(inputs), cells(outputs), printed(&args[8..]))
        }
        other => panic!("galipot doesn't write {other}"),
    }
}

/// Letters alone: white space, the signs of headings and of breaks in cells aside; letters without a sign in the
/// fonts as their codes.
fn letters_of(text: &str) -> String {
    let text = text.replace('漢', "[U+6F22]").replace('字', "[U+5B57]");
    text.chars().filter(|c| !c.is_whitespace() && !"#·".contains(*c)).collect()
}

#[test]
fn the_source_says_the_same_as_the_page_section_by_section() {
    for document in [sample::document(), sample::hostile()] {
        let bundle = rendered(&document);
        let joined: String = bundle.sections.iter().map(|s| s.typst.as_str()).collect();
        assert_eq!(file(&bundle, "dossier.typ"), joined);
        let sections = &bundle.sections[1..bundle.sections.len() - 2];
        assert_eq!(sections.len(), document.chapters.len());
        for s in sections {
            let said = letters_of(&of_html(&s.html).blocks.concat());
            let source = letters_of(&printed(&read(&s.typst)));
            assert_eq!(source, said, "Typst on the left, HTML on the right, section {}", s.name);
        }
    }
}

/// The head holds the look, which is ours, and behind it calls with literals only.
#[test]
fn the_head_of_a_hostile_source_is_the_look_and_literals() {
    let document = sample::hostile();
    let bundle = rendered(&document);
    let look = include_str!("../../../templates/paper.typ");
    let head = bundle.sections[0].typst.strip_prefix(look).expect("the look");
    let (show, rest) = head.trim_start().split_once("\n)\n").expect("the end of the look's arguments");
    let show = show.strip_prefix("#show: paper.with(").expect("the look is used");
    let args = Reader { rest: &format!("({show})") }.list();
    assert_eq!(args.len(), 5, "{args:?}");
    let calls = read(rest);
    let names: Vec<_> = calls.iter().map(|c| if let Node::Call(name, _) = c { name.as_str() } else { "" }).collect();
    assert_eq!(names, ["opening", "contents"]);
    let [Node::Call(_, opening), Node::Call(_, contents)] = calls.as_slice() else { panic!("two calls") };
    assert_eq!(opening.len(), 2 + document.identity.len());
    assert_eq!(contents.len(), 2 + document.chapters.len());
    let day = file(&rendered(&sample::document()), "dossier.typ");
    assert!(day.contains("  day: datetime(year: 2026, month: 3, day: 31),\n"));
}

#[test]
fn every_link_of_the_source_leads_to_a_spot_that_is_there_once() {
    for document in [sample::document(), sample::hostile()] {
        let (mut spots, mut ways) = (Vec::new(), Vec::new());
        let bundle = rendered(&document);
        for s in &bundle.sections[1..] {
            if s.name != "places" {
                gather(&read(&s.typst), &mut spots, &mut ways);
            }
        }
        let all = spots.len();
        spots.sort();
        spots.dedup();
        assert_eq!(spots.len(), all, "a spot stands twice");
        assert!(ways.len() > 8, "{}", ways.len());
        for way in ways {
            assert!(spots.contains(&way), "no spot {way}");
        }
    }
}

fn gather(nodes: &[Node], spots: &mut Vec<String>, ways: &mut Vec<String>) {
    for node in nodes {
        let (name, args) = match node {
            Node::List(list) => {
                gather(list, spots, ways);
                continue;
            }
            Node::Call(name, args) => (name.as_str(), args),
            _ => continue,
        };
        match name {
            "to" => ways.push(of(&args[0])),
            "working" => ways.push(of(&args[1])),
            "chapter" | "here" => spots.push(of(&args[0])),
            "head" | "picture" => spots.push(of(&args[1])),
            "sheet" => spots.push(of(&args[2])),
            _ => {}
        }
        gather(args, spots, ways);
    }
}

#[test]
fn a_review_is_a_form_on_paper_and_a_verdict_has_its_own_sheet() {
    let mut document = sample::document();
    document.chapters[2].blocks = vec![Block::Review(galipot::model::document::Review {
        sections: vec![("verdict".into(), "1 Verdict \"#x".into())],
        ..Default::default()
    })];
    let bundle = rendered(&document);
    let form = &bundle.sections[3].typst;
    assert!(
        form.contains("#review(")
            && form.contains("\"agree\", \"question\", \"object\"")
            && form.contains("\"1 Verdict \\\"#x\"")
    );
    let verdict = &bundle.sections[1].typst;
    assert!(verdict.starts_with("#pagebreak(weak: true)\n") && verdict.ends_with("#pagebreak(weak: true)\n"));
    assert!(!bundle.sections[2].typst.contains("pagebreak"));
}

fn one_chapter(blocks: Vec<Block>) -> Document {
    let mut document = around(vec![t("x")]);
    document.day = galipot::model::Day::parse("2026-03-31");
    document.chapters[0].blocks = blocks;
    document
}

/// Every letter below the signs for other scripts, in every style, for a test with the fonts of typst.
pub fn letters() -> Document {
    let lines = (0x20u32..0x3000).step_by(32).map(|from| {
        let text: String = (from..from + 32).filter_map(char::from_u32).collect();
        let strong = Inline::Strong(vec![t(&text), Inline::Emphasis(vec![t(&text)])]);
        Block::Paragraph(vec![t(&text), strong, Inline::Emphasis(vec![t(&text)]), Inline::Code(text)])
    });
    one_chapter(lines.collect())
}

/// Every formula of every calculation, for the same.
pub fn formulas() -> Document {
    one_chapter(registry().iter().map(|c| Block::Formula(c.formulas())).collect())
}

#[test]
fn every_formula_of_the_calculations_is_set_in_signs() {
    let source = rendered(&formulas()).sections[1].typst.clone();
    let signed = |f: &Vec<Formula>| f.iter().all(|l| !l.typst.is_empty());
    let wanted = registry().iter().filter(|c| signed(&c.formulas())).count();
    assert!(wanted > 20);
    for c in registry().iter().filter(|c| signed(&c.formulas())) {
        let source = rendered(&one_chapter(vec![Block::Formula(c.formulas())])).sections[1].typst.clone();
        assert!(source.contains("#formula("), "{} {:?}", c.id, c.formulas());
    }
    assert_eq!(source.matches("#formula(").count(), wanted);
}

#[test]
fn a_table_gives_each_column_the_room_of_its_words_and_turns_the_page_when_it_must() {
    let table = |words: &[&str], columns: usize| {
        let row = |n: usize| (0..columns).map(|c| vec![t(words[(n + c) % words.len()])]).collect();
        Block::Table(galipot::model::document::Table {
            caption: "T".into(),
            head: (0..columns).map(|c| format!("K{c}")).collect(),
            rows: (0..3).map(row).collect(),
            numeric: vec![],
            wide: false,
        })
    };
    let of = |block| rendered(&one_chapter(vec![block])).sections[1].typst.clone();
    let plain = of(table(&["short", "a text of several words"], 3));
    assert!(plain.contains("turned: false") && plain.contains("size: 8.0pt"), "{plain}");
    let many = of(table(&["8.13456"], 22));
    assert!(many.contains("turned: false") && many.contains("size: 6.5pt"), "{many}");
    let too_many = of(table(&["inadmissible", "contradicted"], 16));
    assert!(too_many.contains("turned: true"), "{too_many}");
    let endless = of(table(&["word", &"word ".repeat(2000)], 2));
    assert!(endless.contains("break-rows: true"), "{}", &endless[..400]);
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(300))]

    #[test]
    fn any_text_comes_out_of_the_source_as_it_went_in(text in marks()) {
        let source = rendered(&around(vec![t(&text)])).sections[1].typst.clone();
        let nodes = read(&source);
        let expected = letters_of(&seen(&text));
        let found = nodes.iter().find_map(|n| match n {
            Node::Call(name, args) if name == "p" => Some(letters_of(&printed(args))),
            _ => None,
        });
        prop_assert_eq!(found.unwrap_or_default(), expected, "{}", source);
    }
}
