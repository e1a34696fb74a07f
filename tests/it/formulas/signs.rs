//! Takes what stands on paper, from left to right; gives the formula as a reader understands it.

use galipot::compute::calc::expr::Expr;

/// Something that stands on paper.
#[derive(Debug, Clone, PartialEq)]
pub enum Sign {
    Number(String),
    /// A name as it looks: letters, then what stands below.
    Name(String),
    /// Operator, bracket, comma; `|` is `|(` when it opens and `|)` when it closes.
    Mark(char),
    Fraction(Vec<Sign>, Vec<Sign>),
    Root(Vec<Sign>),
    Power(Vec<Sign>, Vec<Sign>),
}

pub fn number(digits: &str) -> Expr {
    Expr::Number(digits.parse().unwrap_or_else(|_| panic!("{digits} is no number")), digits.to_string())
}

const GREEK: &str = "alpha α beta β gamma γ delta δ epsilon ε zeta ζ eta η theta θ kappa κ lambda λ mu μ nu ν xi ξ pi π rho ρ \
    sigma σ tau τ phi φ chi χ psi ψ omega ω Gamma Γ Delta Δ Sigma Σ Phi Φ Omega Ω";

/// A word with Greek letters as they look.
pub fn letters(word: &str) -> String {
    let words: Vec<&str> = GREEK.split_whitespace().collect();
    words.chunks(2).find(|p| p[0] == word).map_or(word, |p| p[1]).to_string()
}

/// How a symbol looks: "rho_s" is ρ with s below, "p1" is p with 1 below.
pub fn looks(symbol: &str) -> String {
    let mut parts = symbol.split('_');
    let first = parts.next().expect("a name");
    let stem = first.trim_end_matches(|c: char| c.is_ascii_digit());
    let mut below: Vec<String> = Vec::new();
    if !stem.is_empty() && stem != first {
        below.push(first[stem.len()..].to_string());
    }
    below.extend(parts.map(letters));
    let stem = if stem.is_empty() { first } else { stem };
    if below.is_empty() { letters(stem) } else { format!("{}↓{}", letters(stem), below.join(",")) }
}

/// Reads "symbol = expression".
pub fn line(signs: &[Sign], known: &[(String, String)]) -> (String, Expr) {
    let [Sign::Name(left), Sign::Mark('='), right @ ..] = signs else { panic!("no line of a formula: {signs:?}") };
    (symbol(left, known), whole(right, known))
}

fn symbol(look: &str, known: &[(String, String)]) -> String {
    known.iter().find(|k| k.0 == look).unwrap_or_else(|| panic!("{look} is none of {known:?}")).1.clone()
}

fn whole(signs: &[Sign], known: &[(String, String)]) -> Expr {
    let mut r = Reader { signs, at: 0, known };
    let e = r.sum();
    assert_eq!(r.at, signs.len(), "something is left over: {signs:?}");
    e
}

struct Reader<'a> {
    signs: &'a [Sign],
    at: usize,
    known: &'a [(String, String)],
}

impl Reader<'_> {
    fn take(&mut self, mark: char) -> bool {
        let found = self.signs.get(self.at) == Some(&Sign::Mark(mark));
        self.at += usize::from(found);
        found
    }

    fn both(op: char, a: Expr, b: Expr) -> Expr {
        Expr::Binary(op, Box::new(a), Box::new(b))
    }

    fn sum(&mut self) -> Expr {
        let mut left = self.product();
        loop {
            left = match () {
                () if self.take('+') => Self::both('+', left, self.product()),
                () if self.take('-') => Self::both('-', left, self.product()),
                () => return left,
            };
        }
    }

    fn product(&mut self) -> Expr {
        let mut left = self.signed();
        loop {
            left = match () {
                () if self.take('*') => Self::both('*', left, self.signed()),
                () if self.take('/') => Self::both('/', left, self.signed()),
                () => return left,
            };
        }
    }

    fn signed(&mut self) -> Expr {
        if self.take('-') { Expr::Minus(Box::new(self.signed())) } else { self.atom() }
    }

    fn inner(&mut self, close: char) -> Expr {
        let e = self.sum();
        assert!(self.take(close), "no {close} at {}: {:?}", self.at, self.signs);
        e
    }

    fn atom(&mut self) -> Expr {
        let sign = self.signs.get(self.at).unwrap_or_else(|| panic!("ends early: {:?}", self.signs)).clone();
        self.at += 1;
        match sign {
            Sign::Number(digits) => number(&digits),
            Sign::Fraction(a, b) => Self::both('/', whole(&a, self.known), whole(&b, self.known)),
            Sign::Root(a) => Expr::Call("sqrt".into(), vec![whole(&a, self.known)]),
            Sign::Power(a, b) => {
                // What is raised must be one thing to the eye: a name, a number, a function, or a bracket.
                let mut base = Reader { signs: &a, at: 0, known: self.known };
                let left = base.atom();
                assert_eq!(base.at, a.len(), "only a part of {a:?} is raised");
                assert!(!matches!(a.as_slice(), [Sign::Fraction(..) | Sign::Power(..)]), "what is raised in {a:?}?");
                Self::both('^', left, whole(&b, self.known))
            }
            Sign::Mark('(') => self.inner(')'),
            Sign::Mark('|') => Expr::Call("abs".into(), vec![self.inner('|')]),
            Sign::Mark('⌊') => Expr::Call("floor".into(), vec![self.inner('⌋')]),
            Sign::Mark('∑') => {
                let over = self.atom();
                let next = self.signs.get(self.at);
                assert!(
                    matches!(over, Expr::Symbol(_)) && !matches!(next, Some(Sign::Mark('*' | '/'))),
                    "how far does ∑ reach?"
                );
                Expr::Call("sum".into(), vec![over])
            }
            Sign::Mark(m) => panic!("{m} at {} of {:?}", self.at, self.signs),
            Sign::Name(look) => {
                if !self.take('(') {
                    return Expr::Symbol(symbol(&look, self.known));
                }
                let name = if look == "log↓10" { "log10".to_string() } else { look };
                let mut list = vec![self.sum()];
                while self.take(',') {
                    list.push(self.sum());
                }
                assert!(self.take(')'), "{name}( has no end");
                Expr::Call(name, list)
            }
        }
    }
}
