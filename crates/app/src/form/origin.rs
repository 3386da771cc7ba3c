//! Where a value came from, where it came from us.

use super::start::{start, start_in};
use crate::path::Path;
use evenstroke_job::materials::{MATERIALS, stock_fields};
use evenstroke_language::{say, tr};
use serde_json::Value;

/// Says that the value at a place is the one that is listed for the stock, or the one with which
/// its kind starts. A value that somebody typed is nobody's but theirs.
pub fn origin(document: &Value, path: &Path) -> Option<String> {
    let value = path.get(document)?;
    let (parent, key) = path.split()?;
    let object = parent.get(document)?;
    if parent.to_string() == "stock" {
        let name = object["material"].as_str()?;
        let material = MATERIALS.iter().find(|material| material.name() == name)?;
        let listed = key != "material" && same(stock_fields(material).get(key)?, value);
        return listed.then(|| say!("as listed for {}", name));
    }
    let starts = |tag: &str| {
        let word = object[tag].as_str()?;
        start_in(document, tag, word).get(key).cloned()
    };
    let outline = || {
        let (_, kind) = parent.split()?;
        start("outline", kind)[kind].get(key).cloned()
    };
    let is_kind = key == "kind" || key == "op";
    let started = starts("op").or_else(|| starts("kind")).or_else(outline)?;
    (!is_kind && same(&started, value)).then(|| tr("same as our starting value").to_owned())
}

fn same(a: &Value, b: &Value) -> bool {
    match (a.as_f64(), b.as_f64()) {
        (Some(a), Some(b)) => a == b,
        (None, None) if a.is_object() && b.is_object() => {
            same(&a["low"], &b["low"]) && same(&a["high"], &b["high"])
        }
        _ => a == b,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::form::start::new_work;
    use evenstroke_job::demo::DEMOS;

    #[test]
    fn listed_and_starting_values_are_told_and_typed_ones_are_not() {
        let mut job: Value = serde_json::from_str(DEMOS[0].text).expect("demo is JSON");
        let material = MATERIALS.iter().find(|m| stock_fields(m).contains_key("tensile_mpa"));
        let fields = stock_fields(material.expect("some stock has a strength"));
        for (key, value) in &fields {
            job["stock"][key] = value.clone();
        }
        let root = Path::root();
        let tensile = root.key("stock").key("tensile_mpa");
        assert!(origin(&job, &tensile).expect("listed").starts_with("as listed for "));
        job["stock"]["tensile_mpa"] = 123.into();
        assert_eq!(origin(&job, &tensile), None);

        job["stations"][0]["work"] = Value::Array(vec![new_work(&job)]);
        let work = root.key("stations").item(0).key("work").item(0);
        let starting = Some("same as our starting value".to_owned());
        assert_eq!(origin(&job, &work.key("entry_mm")), starting);
        assert_eq!(origin(&job, &work.key("outline").key("circle").key("diameter_mm")), starting);
        assert_eq!(origin(&job, &work.key("kind")), None);
        job["stations"][0]["work"][0]["entry_mm"] = 4.5.into();
        assert_eq!(origin(&job, &work.key("entry_mm")), None);
    }
}
