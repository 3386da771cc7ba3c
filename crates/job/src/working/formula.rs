//! A small language for formulas as text, such as `F_max = τ · t · L`.
//!
//! One tree has all users: it is evaluated with numbers put in, and written as MathML for the page, as
//! TeX for the handbook page and as plain text for the command line. The texts are our own and static;
//! a test parses them all.
//!
//! - a name is letters and digits, what follows `_` is its subscript; `π` is the number
//! - `+ − · / ^`, `²` and `³`, parentheses, `|x|`
//! - `sqrt sin cos tan asin atan ln exp min max`, and `sum(…)` over the rows of what it holds

use std::f64::consts::PI;

/// What can be wrong with a formula's text: the byte at which it stops making sense.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct NoFormula(pub usize);

/// A formula: a result and what it is worked out from.
#[derive(Clone, Debug, PartialEq)]
pub struct Formula {
    result: &'static str,
    expression: Node,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Operation {
    Add,
    Subtract,
    Times,
    Over,
}

#[derive(Clone, Debug, PartialEq)]
enum Node {
    /// As it is written.
    Number(&'static str),
    Symbol(&'static str),
    Minus(Box<Node>),
    Two(Operation, Box<Node>, Box<Node>),
    Power(Box<Node>, Box<Node>),
    Group(Box<Node>),
    Size(Box<Node>),
    Call(&'static str, Vec<Node>),
}

const FUNCTIONS: [&str; 11] =
    ["sqrt", "sin", "cos", "tan", "asin", "atan", "ln", "exp", "min", "max", "sum"];

impl Formula {
    /// Reads `result = expression`.
    ///
    /// # Errors
    ///
    /// [`NoFormula`] with the place at which the text is none.
    pub fn parse(text: &'static str) -> Result<Self, NoFormula> {
        let mut reader = Reader { text, at: 0 };
        let result = reader.name().ok_or(NoFormula(0))?;
        if !reader.takes('=') {
            return Err(NoFormula(reader.at));
        }
        let expression = reader.sum()?;
        reader.space();
        if reader.at < text.len() {
            return Err(NoFormula(reader.at));
        }
        Ok(Self { result, expression })
    }

    /// The name of what it gives.
    pub const fn result(&self) -> &'static str {
        self.result
    }

    /// Calls `visit` with every name in the expression.
    pub fn for_each_name(&self, visit: &mut dyn FnMut(&'static str)) {
        self.expression.for_each_name(visit);
    }

    /// The value of the expression; `values` gives those of a name, one or one for each row.
    pub fn evaluate(&self, values: &dyn Fn(&str) -> Vec<f64>) -> f64 {
        self.expression.evaluate(values, None)
    }

    /// The whole formula in symbols.
    pub fn written(&self, marks: &Marks) -> String {
        let mut out = (marks.symbol)(self.result);
        out.push_str(marks.equals);
        let symbol = |name: &str, _| (marks.symbol)(name);
        self.expression.write(&mut out, marks, &symbol, None, None);
        out
    }

    /// The expression with each name replaced by what `number` writes for it, in a row where it stands
    /// in a sum over `rows`; a sum over more rows than can be read is left in symbols.
    pub fn put_in(
        &self,
        marks: &Marks,
        rows: usize,
        number: &dyn Fn(&str, Option<usize>) -> String,
    ) -> String {
        let mut out = String::new();
        self.expression.write(&mut out, marks, number, None, Some(rows));
        out
    }
}

/// How a formula is written down: what stands before, between and behind the parts.
pub struct Marks {
    equals: &'static str,
    add: &'static str,
    subtract: &'static str,
    times: &'static str,
    minus: &'static str,
    comma: &'static str,
    number: [&'static str; 2],
    fraction: [&'static str; 3],
    power: [&'static str; 3],
    group: [&'static str; 2],
    size: [&'static str; 2],
    /// What stands around a negative number.
    bracket: [&'static str; 2],
    root: [&'static str; 2],
    call: [&'static str; 4],
    sum: &'static str,
    /// Whether numerator, denominator and root keep the parentheses that the text has.
    keeps_groups: bool,
    /// Writes a name with its subscript.
    pub(super) symbol: fn(&str) -> String,
}

/// MathML Core, what stands within `math`.
pub static MATHML: Marks = Marks {
    equals: "<mo>=</mo>",
    add: "<mo>+</mo>",
    subtract: "<mo>−</mo>",
    times: "<mo>·</mo>",
    minus: "<mo form=\"prefix\">−</mo>",
    comma: "<mo separator=\"true\">,</mo>",
    number: ["<mn>", "</mn>"],
    fraction: ["<mfrac><mrow>", "</mrow><mrow>", "</mrow></mfrac>"],
    power: ["<msup><mrow>", "</mrow><mrow>", "</mrow></msup>"],
    group: ["<mrow><mo>(</mo>", "<mo>)</mo></mrow>"],
    size: ["<mrow><mo form=\"prefix\">|</mo>", "<mo form=\"postfix\">|</mo></mrow>"],
    bracket: ["<mo>(</mo>", "<mo>)</mo>"],
    root: ["<msqrt><mrow>", "</mrow></msqrt>"],
    call: ["<mrow><mi>", "</mi><mo>\u{2061}</mo><mo>(</mo>", "<mo>)</mo></mrow>", ""],
    sum: "<mo>∑</mo>",
    keeps_groups: false,
    symbol: mathml_symbol,
};

/// TeX in its mathematical mode.
pub static TEX: Marks = Marks {
    equals: " = ",
    add: " + ",
    subtract: " - ",
    times: " \\cdot ",
    minus: "-",
    comma: ",\\, ",
    number: ["", ""],
    fraction: ["\\frac{", "}{", "}"],
    power: ["{", "}^{", "}"],
    group: ["\\left(", "\\right)"],
    size: ["\\left|", "\\right|"],
    bracket: ["(", ")"],
    root: ["\\sqrt{", "}"],
    call: ["\\operatorname{", "}\\left(", "\\right)", ""],
    sum: "\\sum ",
    keeps_groups: false,
    symbol: tex_symbol,
};

/// A line of plain text.
pub static TEXT: Marks = Marks {
    equals: " = ",
    add: " + ",
    subtract: " − ",
    times: " · ",
    minus: "−",
    comma: ", ",
    number: ["", ""],
    fraction: ["", " / ", ""],
    power: ["", "^", ""],
    group: ["(", ")"],
    size: ["|", "|"],
    bracket: ["(", ")"],
    root: ["sqrt(", ")"],
    call: ["", "(", ")", ""],
    sum: "Σ ",
    keeps_groups: true,
    symbol: str::to_owned,
};

/// Most rows of a sum that are written out one by one.
const MOST_WRITTEN_ROWS: usize = 4;

fn parts(name: &str) -> (&str, &str) {
    name.split_once('_').unwrap_or((name, ""))
}

fn mathml_symbol(name: &str) -> String {
    match parts(name) {
        (name, "") => format!("<mi>{name}</mi>"),
        (name, below) => format!("<msub><mi>{name}</mi><mtext>{below}</mtext></msub>"),
    }
}

fn tex_symbol(name: &str) -> String {
    let letters = |text: &str| match text {
        "α" => "\\alpha".to_owned(),
        "β" => "\\beta".to_owned(),
        "δ" => "\\delta".to_owned(),
        "Δ" => "\\Delta".to_owned(),
        "ζ" => "\\zeta".to_owned(),
        "η" => "\\eta".to_owned(),
        "θ" => "\\theta".to_owned(),
        "μ" => "\\mu".to_owned(),
        "π" => "\\pi".to_owned(),
        "τ" => "\\tau".to_owned(),
        "φ" => "\\varphi".to_owned(),
        _ if text.chars().count() > 1 => format!("\\mathrm{{{text}}}"),
        _ => text.to_owned(),
    };
    match parts(name) {
        (name, "") => letters(name),
        (name, below) => format!("{}_{{{}}}", letters(name), letters(below)),
    }
}

impl Node {
    fn for_each_name(&self, visit: &mut dyn FnMut(&'static str)) {
        match self {
            Self::Number(_) => {}
            Self::Symbol(name) => visit(name),
            Self::Minus(inner) | Self::Group(inner) | Self::Size(inner) => {
                inner.for_each_name(visit);
            }
            Self::Two(_, left, right) | Self::Power(left, right) => {
                left.for_each_name(visit);
                right.for_each_name(visit);
            }
            Self::Call(_, inner) => inner.iter().for_each(|node| node.for_each_name(visit)),
        }
    }

    fn evaluate(&self, values: &dyn Fn(&str) -> Vec<f64>, row: Option<usize>) -> f64 {
        match self {
            Self::Number("π") => PI,
            Self::Number(text) => text.parse().unwrap_or(f64::NAN),
            Self::Symbol(name) => {
                let values = values(name);
                let row = row.filter(|_| values.len() != 1).unwrap_or(0);
                values.get(row).copied().unwrap_or(f64::NAN)
            }
            Self::Minus(inner) => -inner.evaluate(values, row),
            Self::Group(inner) => inner.evaluate(values, row),
            Self::Size(inner) => inner.evaluate(values, row).abs(),
            Self::Two(operation, left, right) => {
                let (left, right) = (left.evaluate(values, row), right.evaluate(values, row));
                match operation {
                    Operation::Add => left + right,
                    Operation::Subtract => left - right,
                    Operation::Times => left * right,
                    Operation::Over => left / right,
                }
            }
            Self::Power(base, exponent) => {
                base.evaluate(values, row).powf(exponent.evaluate(values, row))
            }
            Self::Call("sum", inner) => {
                let mut rows = 0;
                inner[0].for_each_name(&mut |name| rows = rows.max(values(name).len()));
                (0..rows).map(|row| inner[0].evaluate(values, Some(row))).sum()
            }
            Self::Call(function, inner) => {
                let of = |index: usize| {
                    inner.get(index).map_or(f64::NAN, |node: &Self| node.evaluate(values, row))
                };
                match *function {
                    "sqrt" => of(0).sqrt(),
                    "sin" => of(0).sin(),
                    "cos" => of(0).cos(),
                    "tan" => of(0).tan(),
                    "asin" => of(0).asin(),
                    "atan" => of(0).atan(),
                    "ln" => of(0).ln(),
                    "exp" => of(0).exp(),
                    "min" => of(0).min(of(1)),
                    "max" => of(0).max(of(1)),
                    _ => f64::NAN,
                }
            }
        }
    }

    /// `rows` is how many rows there are where numbers are put in, none where symbols are written.
    fn write(
        &self,
        out: &mut String,
        marks: &Marks,
        symbol: &dyn Fn(&str, Option<usize>) -> String,
        row: Option<usize>,
        rows: Option<usize>,
    ) {
        let mut around = |before: &str, node: &Self, after: &str| {
            out.push_str(before);
            node.write(out, marks, symbol, row, rows);
            out.push_str(after);
        };
        let bare = |node: &'_ Self| match node {
            Self::Group(inner) if !marks.keeps_groups => (**inner).clone(),
            // Written out in a line it is a sum like any other.
            Self::Call("sum", _) if marks.keeps_groups && rows.is_some_and(|rows| rows > 1) => {
                Self::Group(Box::new(node.clone()))
            }
            other => other.clone(),
        };
        match self {
            Self::Number("π") => out.push_str(&(marks.symbol)("π")),
            Self::Number(text) => {
                for part in [marks.number[0], text, marks.number[1]] {
                    out.push_str(part);
                }
            }
            Self::Symbol(name) => out.push_str(&symbol(name, row)),
            Self::Minus(inner) => around(marks.minus, inner, ""),
            Self::Group(inner) => around(marks.group[0], inner, marks.group[1]),
            Self::Size(inner) => {
                let mut size = String::new();
                inner.write(&mut size, marks, symbol, row, rows);
                // The bars do what the parentheses about a negative number do.
                let bare = matches!(**inner, Self::Symbol(_)).then(|| {
                    let size = size.strip_prefix(marks.bracket[0])?;
                    size.strip_suffix(marks.bracket[1])
                });
                for part in [marks.size[0], bare.flatten().unwrap_or(&size), marks.size[1]] {
                    out.push_str(part);
                }
            }
            Self::Two(Operation::Over, left, right) => {
                around(marks.fraction[0], &bare(left), marks.fraction[1]);
                around("", &bare(right), marks.fraction[2]);
            }
            Self::Two(operation, left, right) => {
                let between = match operation {
                    Operation::Add => marks.add,
                    Operation::Subtract => marks.subtract,
                    _ => marks.times,
                };
                around("", left, between);
                around("", right, "");
            }
            Self::Power(base, exponent) => {
                // The square of a value with its unit is that of both.
                let whole = matches!(**base, Self::Symbol(_)) && rows.is_some();
                let grouped = if whole { Self::Group(base.clone()) } else { (**base).clone() };
                around(marks.power[0], &grouped, marks.power[1]);
                around("", &bare(exponent), marks.power[2]);
            }
            Self::Call("sqrt", inner) => around(marks.root[0], &bare(&inner[0]), marks.root[1]),
            Self::Call("sum", inner) => match rows.filter(|&rows| rows > 0) {
                Some(rows) if rows <= MOST_WRITTEN_ROWS => {
                    for row in 0..rows {
                        if row > 0 {
                            out.push_str(marks.add);
                        }
                        inner[0].write(out, marks, symbol, Some(row), None);
                    }
                }
                _ => {
                    out.push_str(marks.sum);
                    let name = |name: &str, _| (marks.symbol)(name);
                    inner[0].write(out, marks, &name, row, None);
                }
            },
            Self::Call(function, inner) => {
                for part in [marks.call[0], function, marks.call[1]] {
                    out.push_str(part);
                }
                for (index, node) in inner.iter().enumerate() {
                    if index > 0 {
                        out.push_str(marks.comma);
                    }
                    node.write(out, marks, symbol, row, rows);
                }
                out.push_str(marks.call[2]);
            }
        }
    }
}

/// The text and how far it has been read.
struct Reader {
    text: &'static str,
    at: usize,
}

impl Reader {
    fn space(&mut self) {
        while self.text[self.at..].starts_with(' ') {
            self.at += 1;
        }
    }

    fn takes(&mut self, letter: char) -> bool {
        self.space();
        let found = self.text[self.at..].starts_with(letter);
        if found {
            self.at += letter.len_utf8();
        }
        found
    }

    fn expect(&mut self, letter: char) -> Result<(), NoFormula> {
        if self.takes(letter) { Ok(()) } else { Err(NoFormula(self.at)) }
    }

    /// The longest run of letters that `belongs` allows.
    fn run(&mut self, belongs: fn(char) -> bool) -> &'static str {
        self.space();
        let rest = &self.text[self.at..];
        let end = rest.find(|letter| !belongs(letter)).unwrap_or(rest.len());
        self.at += end;
        &rest[..end]
    }

    fn name(&mut self) -> Option<&'static str> {
        self.space();
        // Superscripts count as numbers, but are powers here.
        let belongs =
            |letter: char| letter.is_alphabetic() || letter.is_ascii_digit() || letter == '_';
        let starts = self.text[self.at..].starts_with(char::is_alphabetic);
        starts.then(|| self.run(belongs))
    }

    fn sum(&mut self) -> Result<Node, NoFormula> {
        let mut node = self.product()?;
        loop {
            let operation = if self.takes('+') {
                Operation::Add
            } else if self.takes('−') {
                Operation::Subtract
            } else {
                return Ok(node);
            };
            node = Node::Two(operation, Box::new(node), Box::new(self.product()?));
        }
    }

    fn product(&mut self) -> Result<Node, NoFormula> {
        if self.takes('−') {
            return Ok(Node::Minus(Box::new(self.product()?)));
        }
        let mut node = self.power()?;
        loop {
            let operation = if self.takes('·') {
                Operation::Times
            } else if self.takes('/') {
                Operation::Over
            } else {
                return Ok(node);
            };
            node = Node::Two(operation, Box::new(node), Box::new(self.power()?));
        }
    }

    fn power(&mut self) -> Result<Node, NoFormula> {
        let base = self.single()?;
        let exponent = if self.takes('²') {
            Node::Number("2")
        } else if self.takes('³') {
            Node::Number("3")
        } else if self.takes('^') {
            self.single()?
        } else {
            return Ok(base);
        };
        Ok(Node::Power(Box::new(base), Box::new(exponent)))
    }

    fn single(&mut self) -> Result<Node, NoFormula> {
        if self.takes('(') {
            let inner = self.sum()?;
            self.expect(')')?;
            return Ok(Node::Group(Box::new(inner)));
        }
        if self.takes('|') {
            let inner = self.sum()?;
            self.expect('|')?;
            return Ok(Node::Size(Box::new(inner)));
        }
        if self.takes('π') {
            return Ok(Node::Number("π"));
        }
        let Some(name) = self.name() else {
            let digits = self.run(|letter| letter.is_ascii_digit() || letter == '.');
            return if digits.is_empty() {
                Err(NoFormula(self.at))
            } else {
                Ok(Node::Number(digits))
            };
        };
        if !FUNCTIONS.contains(&name) {
            return Ok(Node::Symbol(name));
        }
        self.expect('(')?;
        let mut inner = vec![self.sum()?];
        while self.takes(',') {
            inner.push(self.sum()?);
        }
        self.expect(')')?;
        let expected = if matches!(name, "min" | "max") { 2 } else { 1 };
        if inner.len() == expected { Ok(Node::Call(name, inner)) } else { Err(NoFormula(self.at)) }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn value(text: &'static str) -> f64 {
        let values = |name: &str| match name {
            "a" => vec![2.0],
            "b_1" => vec![3.0],
            "F_i" => vec![1.0, 2.0, 4.0],
            "x_i" => vec![10.0, 20.0, 30.0],
            _ => vec![],
        };
        Formula::parse(text).expect("a formula").evaluate(&values)
    }

    #[test]
    fn operations_bind_as_on_paper() {
        for (text, expected) in [
            ("y = a + b_1 · a", 8.0),
            ("y = a · b_1 / 4 · 2", 3.0),
            ("y = (a + b_1)² − a^3", 17.0),
            ("y = −a + |1 − b_1|", 0.0),
            ("y = 2 · a^(b_1 − 1)", 8.0),
            ("y = max(a, b_1) − min(a, b_1)", 1.0),
            ("y = sqrt(a · a · 4)", 4.0),
            ("y = sum(F_i)", 7.0),
            ("y = sum(a · F_i · x_i) / sum(F_i)", 340.0 / 7.0),
            ("y = exp(ln(a)) + sin(π) + cos(0)", 3.0),
            ("y = atan(tan(0.5)) + asin(0.5)", 0.5 + PI / 6.0),
        ] {
            assert!((value(text) - expected).abs() < 1e-12, "{text}: {}", value(text));
        }
    }

    #[test]
    fn what_has_no_value_is_no_number() {
        assert!(value("y = unknown + 1").is_nan());
    }

    #[test]
    fn texts_that_are_no_formula_are_told() {
        for text in
            ["", "y", "y = ", "y = a +", "y = (a", "y = a)", "y = min(a)", "y = a b", "2 = a"]
        {
            assert!(Formula::parse(text).is_err(), "{text}");
        }
    }

    #[test]
    fn fractions_lose_the_parentheses_that_the_bar_replaces() {
        let formula = Formula::parse("y = (a + b_1) / (2 · a)").expect("a formula");
        assert_eq!(formula.written(&TEXT), "y = (a + b_1) / (2 · a)");
        assert_eq!(formula.written(&TEX), "y = \\frac{a + b_{1}}{2 \\cdot a}");
        assert_eq!(
            formula.written(&MATHML),
            "<mi>y</mi><mo>=</mo><mfrac><mrow><mi>a</mi><mo>+</mo><msub><mi>b</mi><mtext>1</mtext></msub></mrow><mrow><mn>2</mn><mo>·</mo><mi>a</mi></mrow></mfrac>"
        );
    }

    #[test]
    fn numbers_are_put_in_with_their_units_and_sums_written_out() {
        let number = |name: &str, row: Option<usize>| match row {
            Some(row) => format!("{name}[{row}]"),
            None => "2 mm".to_owned(),
        };
        let square = Formula::parse("y = 3 · a²").expect("a formula");
        assert_eq!(square.put_in(&TEXT, 0, &number), "3 · (2 mm)^2");
        let sum = Formula::parse("y = sum(F_i · x_i)").expect("a formula");
        assert_eq!(sum.put_in(&TEXT, 2, &number), "F_i[0] · x_i[0] + F_i[1] · x_i[1]");
        assert_eq!(sum.put_in(&TEXT, 9, &number), "Σ F_i · x_i");
    }
}
