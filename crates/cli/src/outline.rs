//! Outlines of a drawing, as JSON and as readable text.

use evenstroke_drawing::{Drawing, Gap, LengthUnit, Options, Outline};
use serde_json::{Value, json};

/// What the command prints with `--json`.
pub fn json(drawing: &Drawing, options: &Options) -> String {
    let mut notes = drawing.notes.clone();
    let outlines: Vec<Value> =
        drawing.outlines.iter().map(|outline| outline_json(outline, &mut notes)).collect();
    let gaps: Vec<Value> = drawing.gaps.iter().map(gap_json).collect();
    let skipped: Vec<Value> = drawing
        .skipped
        .iter()
        .map(|skipped| json!({"what": skipped.what, "why": skipped.why, "count": skipped.count}))
        .collect();
    let value = json!({
        "outlines": outlines,
        "gaps": gaps,
        "unit": "mm",
        "unit_assumed": drawing.unit_assumed,
        "read_as": drawing.unit.symbol(),
        "file_unit": drawing.file_unit.map(LengthUnit::symbol),
        "layers": drawing.layers,
        "tolerance_mm": options.tolerance_mm,
        "chord_error_mm": options.chord_error_mm,
        "deviation_mm": drawing.deviation_mm,
        "skipped": skipped,
        "notes": notes,
    });
    format!("{value}\n")
}

fn outline_json(outline: &Outline, notes: &mut Vec<String>) -> Value {
    let in_job = outline.to_job(outline.centroid).unwrap_or_else(|reason| {
        notes.push(reason);
        Value::Null
    });
    json!({
        "layer": outline.layer,
        "closed": outline.closed,
        "length_mm": outline.length_mm,
        "x_mm": outline.centroid.x,
        "y_mm": outline.centroid.y,
        "segments": outline.segments(),
        "outline": in_job,
    })
}

fn gap_json(gap: &Gap) -> Value {
    json!({
        "layer": gap.layer,
        "from_mm": [gap.from.x, gap.from.y],
        "to_mm": [gap.to.x, gap.to.y],
        "distance_mm": gap.distance_mm,
    })
}

/// A number that three digits after the point do not show as a zero with a minus.
fn without_minus_zero(value: f64) -> f64 {
    (value * 1e3).round() / 1e3 + 0.0
}

/// What the command prints when no format is asked for.
pub fn text(drawing: &Drawing, options: &Options) -> String {
    let mut lines = Vec::new();
    let symbol = drawing.unit.symbol();
    lines.push(if drawing.unit_assumed {
        String::from("The file does not say its unit: taken as mm. Say --unit if it is another.")
    } else {
        format!("Read in {symbol}; all lengths below in mm.")
    });
    lines.push(String::new());
    lines.push(format!(
        "{:>4}  {:<20}{:<8}{:>12}{:>12}{:>12}{:>10}",
        "", "layer", "", "length", "x", "y", "segments"
    ));
    for (index, outline) in drawing.outlines.iter().enumerate() {
        lines.push(format!(
            "{:>4}  {:<20}{:<8}{:>12.3}{:>12.3}{:>12.3}{:>10}",
            index + 1,
            if outline.layer.is_empty() { "–" } else { &outline.layer },
            if outline.closed { "closed" } else { "open" },
            outline.length_mm,
            without_minus_zero(outline.centroid.x),
            without_minus_zero(outline.centroid.y),
            outline.segments()
        ));
    }
    let total: f64 = drawing.outlines.iter().map(|outline| outline.length_mm).sum();
    lines.push(format!("{:>4}  {:<28}{total:>12.3}", "", "together"));
    lines.push(String::new());
    lines.push(if drawing.deviation_mm > 0.0 {
        format!(
            "x and y are the centroid of the line. Curves lie within {:.4} mm of the arcs and lines \
             that stand for them.",
            drawing.deviation_mm
        )
    } else {
        String::from("x and y are the centroid of the line. No curve had to be approximated.")
    });
    if !drawing.gaps.is_empty() {
        lines.push(String::new());
        lines.push(format!("Open ends near each other, beyond {} mm", options.tolerance_mm));
        for gap in &drawing.gaps {
            lines.push(format!(
                "  - {:.3}, {:.3} and {:.3}, {:.3}: {:.3} mm apart{}",
                gap.from.x,
                gap.from.y,
                gap.to.x,
                gap.to.y,
                gap.distance_mm,
                if gap.layer.is_empty() { String::new() } else { format!(", layer {}", gap.layer) }
            ));
        }
    }
    if !drawing.skipped.is_empty() {
        lines.push(String::new());
        lines.push("Passed over".to_owned());
        for skipped in &drawing.skipped {
            lines.push(format!("  - {} × {}: {}", skipped.count, skipped.what, skipped.why));
        }
    }
    if !drawing.notes.is_empty() {
        lines.push(String::new());
        lines.push("Notes".to_owned());
        for note in &drawing.notes {
            lines.push(format!("  - {note}"));
        }
    }
    // Names come from the file: what would steer the terminal or fake a line is blotted out.
    lines.iter().map(|line| line.replace(char::is_control, "\u{fffd}") + "\n").collect()
}
