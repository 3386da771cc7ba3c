//! Comparisons as JSON, `{"format": "evenstroke-comparison", "version": 1, …}`: what the command
//! prints, and what a worker hands to the page.

use crate::{
    Comparison, Corrections, Mapping, Problem, TypedComparison,
    columns::{decimal_words, delimiter_words},
    compare::{Band, misfit},
    stations::StationFactors,
    typed::trend_words,
};
use evenstroke_job::{Job, spec::Unit};
use serde_json::Value;

/// What a comparison calls itself.
pub const FORMAT: &str = "evenstroke-comparison";
/// The version that is written.
pub const VERSION: u64 = 1;

fn object(fields: Vec<(&str, Value)>) -> Value {
    Value::Object(fields.into_iter().map(|(key, value)| (key.to_owned(), value)).collect())
}

/// A number without the last digits of its arithmetic; null for none.
fn figure(value: Option<f64>) -> Value {
    let rounded = |value: f64| {
        // Seven digits: more than any display has.
        let size = if value == 0.0 { 0 } else { value.abs().log10().floor() as i32 };
        let scale = 10_f64.powi((6 - size).clamp(-300, 300));
        (value * scale).round() / scale
    };
    value.filter(|value| value.is_finite()).map_or(Value::Null, |value| rounded(value).into())
}

fn band(read: Option<Band>) -> Value {
    read.map_or(Value::Null, |band| {
        object(vec![
            ("low", figure(Some(band.low))),
            ("mean", figure(Some(band.mean))),
            ("high", figure(Some(band.high))),
        ])
    })
}

fn list<T>(of: &[T], one: impl Fn(&T) -> Value) -> Value {
    Value::Array(of.iter().map(one).collect())
}

fn texts(of: &[String]) -> Value {
    list(of, |text| Value::from(text.as_str()))
}

fn unit_name(unit: Unit) -> &'static str {
    evenstroke_job::units::UnitSystem::Metric.symbol(unit)
}

fn head(kind: &str, job: &Job) -> Vec<(&'static str, Value)> {
    vec![
        ("format", FORMAT.into()),
        ("version", VERSION.into()),
        ("kind", kind.into()),
        ("title", job.title.as_str().into()),
        ("press", job.press_name.as_str().into()),
    ]
}

/// How a file is read, with its first rows.
pub fn mapping(mapping: &Mapping) -> Value {
    object(vec![
        ("words", mapping.words().into()),
        ("delimiter", delimiter_words(mapping.delimiter).into()),
        ("decimal", decimal_words(mapping.decimal).into()),
        ("first_line", mapping.first_line.into()),
        ("place", mapping.place.key().into()),
        ("place_column", mapping.place_column.into()),
        ("place_unit", mapping.place_unit.as_str().into()),
        ("force_columns", list(&mapping.forces, |&index| index.into())),
        ("force_unit", mapping.force_unit.as_str().into()),
        (
            "columns",
            list(&mapping.columns, |column| {
                object(vec![
                    ("name", column.name.as_str().into()),
                    ("unit", column.unit.as_str().into()),
                    ("cells", texts(&column.cells)),
                ])
            }),
        ),
    ])
}

/// A recording laid over a job, with what follows.
pub fn recording(
    job: &Job,
    comparison: &Comparison,
    stations: Option<&StationFactors>,
    corrections: &Corrections,
) -> Value {
    let mut fields = head("recording", job);
    let names =
        |indices: &[usize]| list(indices, |&index| job.stations[index].name.as_str().into());
    fields.extend([
        ("mapping", mapping(&comparison.mapping)),
        ("samples", comparison.samples.into()),
        ("strokes", comparison.strokes.into()),
        ("left_out", comparison.left_out.into()),
        ("strokes_per_minute", figure(comparison.speed_spm)),
        ("bdc", figure(Some(comparison.bdc))),
        ("bdc_found", comparison.bdc_found.into()),
        ("noise_kn", figure(Some(comparison.noise_kn))),
        ("misfit", figure(Some(misfit(&comparison.steps)))),
        (
            "quantities",
            list(&comparison.quantities, |row| {
                object(vec![
                    ("key", row.key.as_str().into()),
                    ("label", row.label.as_str().into()),
                    ("unit", unit_name(row.unit).into()),
                    ("predicted", figure(row.predicted)),
                    ("upper", figure(row.upper)),
                    ("read", band(row.read)),
                    ("ratio", figure(row.ratio())),
                ])
            }),
        ),
        (
            "stations",
            stations.map_or(Value::Null, |found| {
                object(vec![
                    ("common", figure(Some(found.common))),
                    ("left_over_common", figure(Some(found.left_over.0))),
                    ("left_over", figure(Some(found.left_over.1))),
                    ("off", found.off.map_or(Value::Null, |off| off.into())),
                    (
                        "factors",
                        list(&found.factors, |row| {
                            object(vec![
                                ("stations", names(&row.stations)),
                                ("factor", figure(Some(row.factor))),
                                ("plus_minus", figure(Some(row.plus_minus))),
                                ("at_bound", row.at_bound.into()),
                                ("separable", (row.stations.len() == 1).into()),
                            ])
                        }),
                    ),
                ])
            }),
        ),
        ("corrections", self::corrections(corrections)),
        (
            "curve",
            list(&comparison.steps, |step| {
                object(vec![
                    ("height_mm", figure(Some(1e3 * step.height))),
                    ("predicted_kn", figure(Some(1e-3 * step.predicted))),
                    ("upper_kn", figure(Some(1e-3 * step.upper))),
                    ("low_kn", figure(Some(1e-3 * step.read.low))),
                    ("mean_kn", figure(Some(1e-3 * step.read.mean))),
                    ("high_kn", figure(Some(1e-3 * step.read.high))),
                ])
            }),
        ),
        ("told", texts(&comparison.told)),
    ]);
    object(fields)
}

fn corrections(corrections: &Corrections) -> Value {
    object(vec![
        (
            "proposals",
            list(&corrections.proposals, |row| {
                object(vec![
                    ("what", row.what.key().into()),
                    ("words", row.words.as_str().into()),
                    ("factor", figure(Some(row.factor))),
                    ("plus_minus", figure(row.plus_minus)),
                    ("reason", row.reason.as_str().into()),
                    (
                        "edits",
                        list(&row.edits, |edit| {
                            object(vec![
                                ("path", edit.path.as_str().into()),
                                ("value", edit.value.clone()),
                            ])
                        }),
                    ),
                ])
            }),
        ),
        ("notes", texts(&corrections.notes)),
    ])
}

/// A typed reading compared with a job, with what follows.
pub fn typed(job: &Job, comparison: &TypedComparison, corrections: &Corrections) -> Value {
    let mut fields = head("typed", job);
    let centre = |centre: (f64, Option<f64>)| {
        object(vec![("x_mm", figure(Some(centre.0))), ("y_mm", figure(centre.1))])
    };
    fields.extend([
        (
            "points",
            list(&comparison.rows, |row| {
                object(vec![
                    ("place", row.place.key().into()),
                    ("label", row.place.label().into()),
                    ("predicted_kn", figure(Some(row.predicted))),
                    ("upper_kn", figure(Some(row.upper))),
                    ("read_kn", figure(Some(row.read))),
                    ("ratio", figure((row.predicted > 0.0).then(|| row.read / row.predicted))),
                ])
            }),
        ),
        (
            "centre",
            comparison.centre.map_or(Value::Null, |[predicted, read]| {
                object(vec![("predicted", centre(predicted)), ("read", centre(read))])
            }),
        ),
        (
            "reverse",
            comparison.reverse.map_or(Value::Null, |(predicted, read)| {
                object(vec![
                    ("predicted_kn", figure(predicted.map(|both| both.0))),
                    ("upper_kn", figure(predicted.map(|both| both.1))),
                    ("read_kn", figure(Some(read))),
                ])
            }),
        ),
        ("stop_kn", figure(comparison.stop_kn)),
        (
            "likely",
            list(&comparison.likely, |row| {
                object(vec![
                    ("case", row.key.into()),
                    ("label", row.label.as_str().into()),
                    ("off", figure(Some(row.off))),
                    ("cannot_tell", row.cannot_tell.into()),
                ])
            }),
        ),
        ("tried", comparison.tried.into()),
        (
            "trends",
            list(&comparison.trends, |row| {
                object(vec![
                    ("what", row.what.into()),
                    ("from", row.from.to_string().into()),
                    ("to", row.to.to_string().into()),
                    ("count", row.count.into()),
                    ("rise", figure(Some(row.rise))),
                    ("rising", row.rising.into()),
                    ("words", trend_words(row).into()),
                ])
            }),
        ),
        ("corrections", self::corrections(corrections)),
        ("told", texts(&comparison.told)),
    ]);
    object(fields)
}

/// How a file is read, and why it could not be laid over.
pub fn not_read(of: &Mapping, problem: &Problem) -> Value {
    object(vec![("mapping", mapping(of)), ("problem", problem.to_string().into())])
}

/// As the command prints it.
pub fn text(value: &Value) -> String {
    format!("{value:#}")
}
