//! What force the press allows at a height.

use super::{laws, steps::Steps};
use evenstroke_language::tr;
use press_load::{
    Force, Length,
    press::{Crank, Drive},
};

/// The force allowed at a height, with its steps; nothing where it is not known.
pub fn capacity(steps: &mut Steps, height: Length) -> Option<Force> {
    let press = &steps.job.press;
    let (rated, allowed) = (press.rated_force?, press.available_force(height)?);
    let (rated_kn, kn) = (rated.kilonewtons(), allowed.kilonewtons());
    match &press.drive {
        Drive::Crank { crank: Some(crank), rating_height: Some(rating), second_rating, .. }
            if height > *rating =>
        {
            let first = lever(steps, crank, *rating, tr("at the rating height"));
            let mut torque = first;
            if let Some((second, force)) = *second_rating {
                let lever = lever(steps, crank, second, tr("at the height of the second rating"));
                let heights = [height, *rating, second].map(Length::millimetres);
                let [h, h_n, h_2] = heights;
                let put_in = [first, lever, force.kilonewtons(), rated_kn, h, h_n, h_2];
                torque = steps.worked(&laws::SECOND_RATING, &put_in);
            }
            let here = lever(steps, crank, height, tr("at this height"));
            steps.known(&laws::CRANK_FORCE, &[rated_kn, torque, here], kn);
        }
        Drive::Table { points, .. } => {
            let above = points.partition_point(|point| point.0 < height);
            let (h_1, f_1) = *points.get(above)?;
            let (h_0, f_0) = above.checked_sub(1).map_or((Length::ZERO, f_1), |i| points[i]);
            let put_in = [
                f_0.kilonewtons(),
                f_1.kilonewtons(),
                height.millimetres(),
                h_0.millimetres(),
                h_1.millimetres(),
                rated_kn,
            ];
            // A first row at BDC has none below it.
            if h_1 > h_0 {
                steps.known(&laws::CARD_FORCE, &put_in, kn);
            } else {
                steps.known(&laws::RATED, &[kn], kn);
            }
        }
        _ => steps.known(&laws::RATED, &[rated_kn], kn),
    }
    Some(allowed)
}

/// Lever of the crank at a height, in mm.
pub fn lever(steps: &mut Steps, crank: &Crank, height: Length, at: &'static str) -> f64 {
    let (radius, rod) = (crank.radius().millimetres(), crank.rod().millimetres());
    let angle = crank.angle_at(height);
    let put_in = [height.millimetres(), rod, radius];
    steps.known(&laws::CRANK_ANGLE, &put_in, angle.to_degrees());
    steps.note(at);
    let lever = crank.lever_at(angle).millimetres();
    steps.known(&laws::CRANK_LEVER, &[radius, angle.to_degrees(), rod], lever);
    steps.note(at);
    lever
}
