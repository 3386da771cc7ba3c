//! Steps as people read them: HTML with MathML for the page, lines for the command.

use super::{
    Law, Symbol, Working,
    formula::{MATHML, Marks, TEXT},
};
use crate::{spec::Unit, units::UnitSystem};
use evenstroke_language::say;
use std::fmt::Write as _;

/// A text that may stand in HTML.
fn escaped(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for letter in text.chars() {
        match letter {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '"' => out.push_str("&quot;"),
            _ => out.push(letter),
        }
    }
    out
}

/// A value with its unit.
fn value(units: UnitSystem, value: f64, unit: Unit) -> String {
    let (number, symbol) = (units.four_digits(value, unit), units.symbol(unit));
    match unit {
        Unit::One => number,
        Unit::Deg => format!("{number}{symbol}"),
        _ => format!("{number}\u{a0}{symbol}"),
    }
}

impl Working {
    /// The symbols that are put in, with their values.
    fn inputs(&self) -> impl Iterator<Item = (&'static Symbol, &Vec<f64>)> {
        self.law.symbols[1..].iter().zip(&self.put_in)
    }

    /// The unit in which a value of a symbol is told.
    fn unit_of(&self, symbol: &Symbol) -> Unit {
        self.told_in.unwrap_or(symbol.unit)
    }

    /// Where it holds and what else belongs to it.
    fn note(&self, units: UnitSystem) -> String {
        let at = self.at.map(|height| {
            let height = units.show(height.millimetres(), Unit::Mm);
            say!("at {} above BDC", height)
        });
        let note = Some(self.note.clone()).filter(|note| !note.is_empty());
        at.into_iter().chain(note).collect::<Vec<_>>().join(", ")
    }

    /// The expression with the numbers put in, each as `number` writes it.
    fn with_numbers(&self, marks: &Marks, number: &dyn Fn(f64, Unit) -> String) -> String {
        let Some(formula) = self.law.read() else { return String::new() };
        formula.put_in(marks, self.rows.len(), &|name, row| {
            let found = self.inputs().find(|(symbol, _)| symbol.sign == name);
            let value = found.and_then(|(symbol, values)| {
                let row = row.filter(|_| values.len() != 1).unwrap_or(0);
                Some(number(*values.get(row)?, self.unit_of(symbol)))
            });
            value.unwrap_or_default()
        })
    }
}

/// The steps for the page. Names out of the job are escaped; there are no scripts and no styles in it.
pub fn html(steps: &[Working], units: UnitSystem) -> String {
    let mut out = String::new();
    for step in steps {
        let law = step.law;
        let number = |of: f64, unit: Unit| {
            let text = value(units, of, unit);
            let digits = units.four_digits(of, unit);
            let behind = &text[digits.len()..];
            let text = format!("<mn>{digits}</mn><mtext>{behind}</mtext>");
            if of < 0.0 { format!("<mo>(</mo>{text}<mo>)</mo>") } else { text }
        };
        let symbols = law.read().map_or(String::new(), |formula| formula.written(&MATHML));
        let numbers = step.with_numbers(&MATHML, &number);
        let _ = write!(
            out,
            "<section class=\"law\"><h3>{}</h3><div class=\"formula\" tabindex=\"0\"><math display=\"block\"><mrow>{symbols}</mrow></math><math display=\"block\"><mrow>{numbers}<mo>=</mo>{}</mrow></math></div>",
            law.title,
            number(step.result, law.symbols[0].unit)
        );
        let note = step.note(units);
        if !note.is_empty() {
            let _ = write!(out, "<p>{}</p>", escaped(&note));
        }
        out += "<table>";
        for (index, symbol) in law.symbols.iter().enumerate() {
            let sign = (MATHML.symbol)(symbol.sign);
            let (values, unit): (&[f64], Unit) = match index.checked_sub(1) {
                None => (std::slice::from_ref(&step.result), symbol.unit),
                Some(index) => (&step.put_in[index], step.unit_of(symbol)),
            };
            let _ = write!(
                out,
                "<tr><th scope=\"row\"><math>{sign}</math></th><td>{}</td><td>",
                symbol.meaning
            );
            if step.rows.is_empty() || index == 0 {
                let first = values.first().map_or(String::new(), |&of| value(units, of, unit));
                let _ = write!(out, "<b>{first}</b>");
            } else {
                for (name, &of) in step.rows.iter().zip(values) {
                    let _ = write!(
                        out,
                        "<span>{} <b>{}</b></span>",
                        escaped(name),
                        value(units, of, unit)
                    );
                }
            }
            out += "</td></tr>";
        }
        let _ = write!(
            out,
            "</table><details><summary>Taken for granted, range, source</summary><p>{}</p><p>{}</p><p>{}</p></details></section>",
            law.assumes, law.range, law.source
        );
    }
    out
}

/// The steps as lines of plain text.
pub fn lines(steps: &[Working], units: UnitSystem) -> Vec<String> {
    let mut lines = Vec::new();
    for step in steps {
        let (law, note) = (step.law, step.note(units));
        let note = if note.is_empty() { note } else { format!(" ({note})") };
        lines.push(format!("{}{note}", law.title));
        let number = |of: f64, unit: Unit| {
            let text = value(units, of, unit);
            if of < 0.0 { format!("({text})") } else { text }
        };
        let numbers = step.with_numbers(&TEXT, &number);
        let result = value(units, step.result, law.symbols[0].unit);
        lines.push(format!("  {} = {numbers} = {result}", law.formula));
        for (symbol, values) in step.inputs() {
            let unit = step.unit_of(symbol);
            let each: Vec<String> = if step.rows.is_empty() {
                values.iter().map(|&of| value(units, of, unit)).collect()
            } else {
                let each = step.rows.iter().zip(values);
                each.map(|(name, &of)| format!("{name} {}", value(units, of, unit))).collect()
            };
            lines.push(format!("    {}: {}: {}", symbol.sign, symbol.meaning, each.join(", ")));
        }
    }
    lines
}

/// What a law takes for granted, where it holds and who says so.
pub fn law_lines(law: &Law) -> Vec<String> {
    vec![
        format!("{}: {}", law.title, law.formula),
        say!("  Taken for granted: {}", law.assumes),
        say!("  Range: {}", law.range),
        say!("  Source: {}", law.source),
    ]
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::working::laws;

    fn step() -> Working {
        Working {
            law: &laws::CENTRE,
            put_in: vec![vec![10.0, 30.0], vec![-100.0, 50.0]],
            rows: vec!["A <b> & \"c\"".to_owned(), "B".to_owned()],
            result: 12.5,
            at: None,
            told_in: None,
            note: "left–right".to_owned(),
        }
    }

    #[test]
    fn names_of_the_job_cannot_become_part_of_the_page() {
        let html = html(&[step()], UnitSystem::Metric);
        assert!(html.contains("A &lt;b&gt; &amp; &quot;c&quot;"), "{html}");
        assert!(!html.contains("A <b>") && !html.contains("style=") && !html.contains("<script"));
    }

    #[test]
    fn lines_show_formula_numbers_and_source() {
        let lines = lines(&[step()], UnitSystem::Metric);
        assert_eq!(lines[0], "Load centre (left–right)");
        assert_eq!(
            lines[1].replace('\u{a0}', " "),
            "  x = sum(F_i · x_i) / sum(F_i) = (10 kN · (−100 mm) + 30 kN · 50 mm) / (10 kN + 30 kN) = 12.5 mm"
        );
        assert!(law_lines(&laws::CENTRE).contains(&"  Source: Statics.".to_owned()));
    }

    #[test]
    fn units_are_those_of_the_screen() {
        let html = html(&[step()], UnitSystem::UsCustomary);
        assert!(html.contains("<mn>0.4921</mn><mtext>\u{a0}in</mtext>"), "{html}");
    }
}
