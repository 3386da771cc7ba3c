//! The charts in a sentence, for those who do not see them.

use crate::bolster_plan::{BolsterPlan, StationActivity};
use crate::curve::{Rows, force_arriving, force_leaving, in_stroke_order, peak};
use crate::stroke_chart::StrokeChart;
use crate::text::number;
use evenstroke_language::{say, tr};

/// What the stroke chart says: the peaks, the press's limit there, and where the slide is.
pub fn stroke_chart_summary(chart: &StrokeChart) -> String {
    let force = |value: f64| format!("{} {}", number(value), chart.force_unit);
    let height = |value: f64| say!("{} {} above BDC", number(value), chart.height_unit);
    let nominal = in_stroke_order(&chart.nominal);
    let upper = in_stroke_order(&chart.upper);
    let capacity = in_stroke_order(&chart.capacity);

    let mut parts = Vec::new();
    if let Some((at, value)) = peak(&nominal) {
        parts.push(say!("nominal peak {} at {}", force(value), height(at)));
    }
    if let Some((at, value)) = peak(&upper) {
        parts.push(say!("upper peak {} at {}", force(value), height(at)));
    }
    match closest(&upper, &capacity) {
        Some((at, share)) => parts.push(say!(
            "closest to what the press allows at {}, {} of it",
            height(at),
            evenstroke_language::number(share, 2)
        )),
        None if capacity.is_empty() => {
            parts.push(tr("what the press allows is not known").to_owned())
        }
        None => {}
    }
    if let Some(handle) = chart.handle.as_ref().filter(|h| h.height.is_finite()) {
        let now = force_leaving(&nominal, handle.height)
            .or(force_arriving(&nominal, handle.height))
            .unwrap_or(0.0);
        let at = height(handle.height);
        parts.push(say!("slide now at {}, nominal {}", at, force(now)));
    }
    say!("Force against slide height: {}.", parts.join("; "))
}

/// The height at which the upper line takes the largest share of the capacity, and the share.
fn closest(upper: &Rows, capacity: &Rows) -> Option<(f64, f64)> {
    let heights = upper.iter().chain(capacity).map(|row| row.0);
    heights
        .flat_map(|height| {
            [force_arriving, force_leaving].map(|force| {
                let share = force(upper, height)? / force(capacity, height)?;
                share.is_finite().then_some((height, share))
            })
        })
        .flatten()
        .reduce(|a, b| if b.1 > a.1 { b } else { a })
}

/// What the bolster plan says: the bolster, the die's place and the load centre.
pub fn bolster_plan_summary(plan: &BolsterPlan) -> String {
    let mut parts = vec![match plan.bolster {
        Some(size) => say!("bolster {} by {} mm", number(size.width_mm), number(size.depth_mm)),
        None => tr("bolster size not entered").to_owned(),
    }];
    if let Some(die) = plan.die {
        let size = match die.size {
            Some(size) => say!("die {} by {} mm", number(size.width_mm), number(size.depth_mm)),
            None => tr("die of unknown size").to_owned(),
        };
        let (x, y) = (
            side(die.shift_x_mm, tr("right"), tr("left")),
            side(die.shift_y_mm, tr("back"), tr("front")),
        );
        let turn = match die.turn_deg {
            0.0 => String::new(),
            turn => say!(", turned {} degrees", number(turn)),
        };
        parts.push(say!("{}, its centre {} and {}{}", size, x, y, turn));
    }
    let working: Vec<&str> = plan
        .stations
        .iter()
        .filter(|station| station.activity == StationActivity::Working)
        .map(|station| station.number.as_str())
        .collect();
    parts.push(match (plan.stations.len(), working.len()) {
        (0, _) => tr("no stations").to_owned(),
        (1, 0) => tr("one station, not working now").to_owned(),
        (1, _) => tr("one station, working now").to_owned(),
        (count, 0) => say!("{} stations, none working now", count),
        (count, _) => say!("{} stations, working now: {}", count, working.join(", ")),
    });
    if let Some(load) = &plan.load_now {
        parts.push(say!("load centre {}", load.words));
    }
    say!("Seen from above, operator at the front: {}.", parts.join("; "))
}

fn side(value_mm: f64, positive: &str, negative: &str) -> String {
    match number(value_mm.abs()) {
        distance if value_mm < 0.0 && distance != "0" => say!("{} mm {}", distance, negative),
        distance => say!("{} mm {}", distance, positive),
    }
}
