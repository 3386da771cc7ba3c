//! What to change so that a die runs in a press, and which press it runs in.
//!
//! - [`placement`](mod@placement): the place on the bolster with the least worst share, and what would
//!   balance the die where no place does.
//! - [`steps`]: groups of punches that touch one after the other.
//! - [`together`](mod@together): steps, each with the die at its own best place.
//! - [`shear`]: roofs ground on punches and dies, slopes against each other.
//! - [`speed`](mod@speed): the band of strokes per minute.
//! - [`rank`](mod@rank): a die against a library of presses, all dies against all presses.
//! - [`report`]: all of it as the command prints it with `--json`.
//! - [`told`]: all of it in words, for the command and the page.
//!
//! Everything here is a function from a job to values. A proposal changes nothing: it carries its
//! assumptions, the figures before and after by a check of the changed job, and the edits to the job
//! file that make it ([`apply`]). Long work tells how far it has come and can be broken off ([`Watch`]).

pub mod edit;
mod figures;
pub mod placement;
mod progress;
pub mod punch;
pub mod rank;
pub mod report;
pub mod shear;
pub mod speed;
pub mod steps;
pub mod together;
pub mod told;

pub use edit::{Edit, NoPlace, apply};
pub use figures::{Figures, Proposal, Used};
pub use placement::PlacementAdvice;
pub use progress::{BrokenOff, Progress, Stage, Watch};
pub use shear::ShearAdvice;
pub use speed::SpeedAdvice;
pub use steps::StepAdvice;
pub use together::Together;

use evenstroke_job::Job;

/// All advice for one job.
#[derive(Clone, Debug, PartialEq)]
pub struct Advice {
    /// Where to put the die.
    pub placement: PlacementAdvice,
    /// How to step its punches.
    pub steps: StepAdvice,
    /// How to step them and where to put the die then, where that beats either alone.
    pub together: Option<Together>,
    /// What to grind.
    pub shear: ShearAdvice,
    /// How fast to run.
    pub speed: SpeedAdvice,
}

/// All advice for a job, each proposal for the job as it is.
///
/// # Errors
///
/// [`BrokenOff`] if `watch` says so.
pub fn advise(job: &Job, watch: &mut Watch) -> Result<Advice, BrokenOff> {
    let placement = placement::placement(job, watch)?;
    let (steps, screened) = steps::search(job, watch)?;
    let together = together::together(job, &placement, &steps, &screened, watch)?;
    Ok(Advice {
        placement,
        steps,
        together,
        shear: shear::tool_shear(job, watch)?,
        speed: speed::speed(job),
    })
}
