//! What stands beside the slide as it is now.

use super::{
    Working,
    capacity::{capacity, lever},
    laws,
    steps::{Acting, Steps},
};
use crate::Job;
use evenstroke_language::tr;
use press_load::{Length, Placement, StripState, press::Drive};

/// How the numbers beside the stroke chart come about: force nominal and upper, load centre, what the
/// press allows, slide speed.
pub fn of_now(job: &Job, placement: Placement, state: StripState, height: Length) -> Vec<Working> {
    let mut steps = Steps::of(job);
    let at = |values: &[f64]| job.stroke.value_at(values, height);
    if let (Some(rate), Some(speed)) =
        (job.press.speed, job.press.drive.speed_at(height, job.press.speed))
        && let Some(motion) = job.press.drive.motion()
    {
        let here = match &job.press.drive {
            Drive::Crank { crank: Some(crank), .. } => lever(&mut steps, crank, height, "now"),
            _ => motion.lever_at(motion.angle_at(height)).millimetres(),
        };
        steps.known(&laws::SLIDE_SPEED, &[here, rate.per_minute()], speed * 1e3);
    }
    capacity(&mut steps, height);
    let placed = placement.motion();
    let nominal = job.stroke.nominal.total(state, &placed);
    let acting = Acting::of(job, &job.stroke.nominal, placement, state, &at);
    let force = at(&nominal.force);
    if force > 0.0 {
        let place = |moments: &[f64]| at(moments) / force * 1e3;
        acting.centre(&mut steps, &acting.y, place(&nominal.moment_y), "front–back");
        acting.centre(&mut steps, &acting.x, place(&nominal.moment_x), "left–right");
    }
    let upper = job.stroke.upper.total(state, &placed);
    let line = &job.stroke.upper;
    let in_all = at(&upper.force) * 1e-3;
    let note = tr("upper line: strongest, thickest, dullest");
    Acting::of(job, line, placement, state, &at).add_up(&mut steps, in_all, height, note);
    let note = tr("nominal line: middle of every range, sharp");
    acting.add_up(&mut steps, force * 1e-3, height, note);
    steps.finish()
}
