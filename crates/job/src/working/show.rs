//! Steps as people read them: HTML with MathML for the page, lines for the command.

use super::{
    Law, Symbol, Working,
    formula::{MATHML, Marks, TEXT},
};
use crate::{spec::Unit, units::UnitSystem};
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

    /// The expression with the numbers put in, each as `number` writes it.
    fn with_numbers(&self, marks: &Marks, number: &dyn Fn(f64, Unit) -> String) -> String {
        let Some(formula) = self.law.read() else { return String::new() };
        formula.put_in(marks, self.rows.len(), &|name, row| {
            let found = self.inputs().find(|(symbol, _)| symbol.sign == name);
            let value = found.and_then(|(symbol, values)| {
                let row = row.filter(|_| values.len() != 1).unwrap_or(0);
                Some(number(*values.get(row)?, symbol.unit))
            });
            value.unwrap_or_default()
        })
    }

    fn result_words(&self, units: UnitSystem) -> String {
        value(units, self.result, self.law.symbols[0].unit)
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
        if !step.note.is_empty() {
            let _ = write!(out, "<p>{}</p>", escaped(&step.note));
        }
        out += "<table>";
        let result = std::slice::from_ref(&step.result);
        let all = std::iter::once((&law.symbols[0], result))
            .chain(step.inputs().map(|(symbol, values)| (symbol, values.as_slice())));
        for (symbol, values) in all {
            let sign = (MATHML.symbol)(symbol.sign);
            let _ = write!(
                out,
                "<tr><th scope=\"row\"><math>{sign}</math></th><td>{}</td><td>",
                symbol.meaning
            );
            if step.rows.is_empty() || values.len() == 1 && std::ptr::eq(values, result) {
                out += &values.first().map_or(String::new(), |&of| value(units, of, symbol.unit));
            } else {
                for (name, &of) in step.rows.iter().zip(values) {
                    let _ = write!(
                        out,
                        "<span>{} <b>{}</b></span>",
                        escaped(name),
                        value(units, of, symbol.unit)
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

/// The steps as lines of plain text, those of the law below it.
pub fn lines(steps: &[Working], units: UnitSystem) -> Vec<String> {
    let mut lines = Vec::new();
    for step in steps {
        let law: &Law = step.law;
        let note = if step.note.is_empty() { String::new() } else { format!(" ({})", step.note) };
        lines.push(format!("{}{note}", law.title));
        let number = |of: f64, unit: Unit| {
            let text = value(units, of, unit);
            if of < 0.0 { format!("({text})") } else { text }
        };
        lines.push(format!("  {}", law.formula));
        let numbers = step.with_numbers(&TEXT, &number);
        lines.push(format!("  = {numbers} = {}", step.result_words(units)));
        for (symbol, values) in step.inputs() {
            if step.rows.is_empty() {
                if let Some(&of) = values.first() {
                    let of = value(units, of, symbol.unit);
                    lines.push(format!("    {}: {}, {of}", symbol.sign, symbol.meaning));
                }
            } else {
                let each = step.rows.iter().zip(values);
                let each: Vec<String> = each
                    .map(|(name, &of)| format!("{name} {}", value(units, of, symbol.unit)))
                    .collect();
                lines.push(format!("    {}: {}: {}", symbol.sign, symbol.meaning, each.join(", ")));
            }
        }
        lines.push(format!("    Taken for granted: {}", law.assumes));
        lines.push(format!("    Range: {}", law.range));
        lines.push(format!("    Source: {}", law.source));
    }
    lines
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
        assert_eq!(lines[1], "  x = sum(F_i · x_i) / sum(F_i)");
        assert_eq!(
            lines[2].replace('\u{a0}', " "),
            "  = (10 kN · (−100 mm) + 30 kN · 50 mm) / (10 kN + 30 kN) = 12.5 mm"
        );
        assert!(lines.iter().any(|line| line.contains("Source: Statics.")));
    }

    #[test]
    fn units_are_those_of_the_screen() {
        let html = html(&[step()], UnitSystem::UsCustomary);
        assert!(html.contains("<mn>0.4921</mn><mtext>\u{a0}in</mtext>"), "{html}");
    }
}
