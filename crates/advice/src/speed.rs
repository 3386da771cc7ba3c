//! How fast to run: the band in which flywheel and motor do.

use crate::{Edit, Figures, Proposal};
use evenstroke_job::{Job, words};
use press_load::{SpeedBand, StrokeRate};

/// Speeds are written in whole strokes per minute, towards the inside of the band.
const GRID_SPM: f64 = 1.0;

/// The answer.
#[derive(Clone, Debug, PartialEq)]
pub struct SpeedAdvice {
    /// The band.
    pub band: SpeedBand,
    /// The speed that is entered.
    pub running: Option<StrokeRate>,
    /// The band in words, where anything is known of it.
    pub words: Option<String>,
    /// The nearest speed inside, where the die runs outside.
    pub proposal: Option<(StrokeRate, Proposal)>,
}

/// The band of speeds, and the nearest speed in it where the die runs outside.
pub fn speed(job: &Job) -> SpeedAdvice {
    let check = job.check();
    let band = check.speed;
    let running = job.press.speed;
    let mut advice =
        SpeedAdvice { band, running, words: words::speed_words(&band), proposal: None };
    let Some(running) = running.filter(|_| !band.is_empty()) else { return advice };
    let whole = |rate: StrokeRate, up: bool| {
        let strokes = rate.per_minute() / GRID_SPM;
        let strokes = if up { (strokes - 1e-9).ceil() } else { (strokes + 1e-9).floor() };
        StrokeRate::from_per_minute(strokes * GRID_SPM)
    };
    let inside = |rate: &StrokeRate| {
        band.lowest.is_none_or(|lowest| *rate >= lowest)
            && band.highest.is_none_or(|highest| *rate <= highest)
            && rate.is_positive()
    };
    let to = match (band.lowest, band.highest) {
        (Some(lowest), _) if running < lowest => {
            Some(whole(lowest, true)).filter(inside).unwrap_or(lowest)
        }
        (_, Some(highest)) if running > highest => {
            Some(whole(highest, false)).filter(inside).unwrap_or(highest)
        }
        _ => return advice,
    };
    let Ok(changed) = job.altered(|job| job.press.speed = Some(to)) else { return advice };
    let (before, after) = (Figures::of(job, &check), Figures::of(&changed, &changed.check()));
    let proposal = Proposal {
        assumes: vec![
            "the die as it is; feed, scrap and slug removal have to follow".to_owned(),
            "faster raises reverse load and wear, slower takes energy out of the flywheel"
                .to_owned(),
        ],
        edits: vec![Edit::new("press.speed_spm", (to.per_minute() * 1e6).round() / 1e6)],
        before,
        after,
    };
    advice.proposal = Some((to, proposal));
    advice
}
