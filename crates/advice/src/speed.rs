//! How fast to run: the band in which flywheel and motor do.

use crate::{Edit, Figures, Proposal};
use evenstroke_job::{Job, words};
use evenstroke_language::tr;
use press_load::{SpeedBand, StrokeRate};

/// Speeds are written in whole strokes per minute, towards the inside of the band, and only where it
/// holds no such speed in tenths, hundredths and so on: so many of them make a stroke per minute.
const FINENESS: [f64; 7] = [1.0, 10.0, 100.0, 1e3, 1e4, 1e5, 1e6];

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
    let inside = |rate: &StrokeRate| {
        band.lowest.is_none_or(|lowest| *rate >= lowest)
            && band.highest.is_none_or(|highest| *rate <= highest)
            && rate.is_positive()
    };
    let (end, towards): (StrokeRate, fn(f64) -> f64) = match (band.lowest, band.highest) {
        (Some(lowest), _) if running < lowest => (lowest, f64::ceil),
        (_, Some(highest)) if running > highest => (highest, f64::floor),
        _ => return advice,
    };
    let mut speeds = FINENESS
        .iter()
        .map(|parts| StrokeRate::from_per_minute(towards(end.per_minute() * parts) / parts));
    let to = speeds.find(inside).unwrap_or(end);
    let Ok(changed) = job.altered(|job| job.press.speed = Some(to)) else { return advice };
    let (before, after) = (Figures::of(job, &check), Figures::of(&changed, &changed.check()));
    let proposal = Proposal {
        assumes: vec![
            tr("the die as it is; feed, scrap and slug removal have to follow").to_owned(),
            tr("faster raises reverse load and wear, slower takes energy out of the flywheel")
                .to_owned(),
        ],
        edits: vec![Edit::new("press.speed_spm", to.per_minute())],
        before,
        after,
    };
    advice.proposal = Some((to, proposal));
    advice
}
