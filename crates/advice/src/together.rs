//! Steps of the punches and the place of the die, found together.
//!
//! Steps change which punches push at which height, and with it where the load centre goes: steps that
//! are no use where the die stands may be the best ones elsewhere. Each division of the punches that is
//! worth it (see [`steps`](crate::steps)) is judged with the die at its own best place. What is proposed
//! does better than the best place alone and than the best steps alone, and raises neither peak nor
//! reverse load nor the worst limit.

use crate::{
    Figures, PlacementAdvice, StepAdvice,
    figures::badness,
    placement::{best_placement, edits},
    progress::{BrokenOff, Stage, Watch, tell},
    steps::{Choice, Screened, stepped, worked_out},
};
use evenstroke_job::Job;
use evenstroke_language::tr;
use press_load::Placement;

/// Worst share or balance has to be lower by this part than with either alone, the peak by twice as much
/// where those stay (our own form).
const LEAST_GAIN: f64 = 0.01;
/// Differences below this part are none.
const ALIKE: f64 = 1e-3;

/// Steps with the place that goes with them.
#[derive(Clone, Debug, PartialEq)]
pub struct Together {
    /// The steps; the proposal holds the place as well.
    pub choice: Choice,
    /// Where the die's centre stands.
    pub to: Placement,
}

/// Steps and place together, where that beats either alone.
///
/// # Errors
///
/// [`BrokenOff`] if `watch` says so.
pub(crate) fn together(
    job: &Job,
    placement: &PlacementAdvice,
    steps: &StepAdvice,
    screened: &Screened,
    watch: &mut Watch,
) -> Result<Option<Together>, BrokenOff> {
    let before = Figures::of(job, &job.check());
    let placed = placement.shift.as_ref().map_or(&before, |shift| &shift.proposal.after);
    let only_steps = steps.best.map_or(&before, |best| &steps.choices[best].proposal.after);
    let mut best: Option<Together> = None;
    for (done, found) in screened.anywhere.iter().enumerate() {
        tell(watch, Stage::Together, done, screened.anywhere.len())?;
        let Some(changed) = stepped(job, &screened.group, found) else { continue };
        let (to, _) = best_placement(&changed);
        if to == job.die.placement {
            continue;
        }
        let Ok(moved) = job.altered(|job| job.die.placement = to) else { continue };
        let Some(mut choice) = worked_out(&moved, &screened.group, found, &before) else {
            continue;
        };
        let after = &choice.proposal.after;
        let is_best = match &best {
            Some(best) => beats(after, &best.choice.proposal.after, ALIKE),
            None => beats(after, placed, LEAST_GAIN) && beats(after, only_steps, LEAST_GAIN),
        };
        if is_best
            && after.raises_nothing(&before)
            && badness(after.verdict) <= badness(before.verdict)
        {
            choice.proposal.edits.extend(edits(to));
            choice.proposal.assumes.push(
                tr("the turn of the die and its stations stay, the feed follows the die")
                    .to_owned(),
            );
            best = Some(Together { choice, to });
        }
    }
    Ok(best)
}

/// Whether the worst limit is lower, or, where that stays, the balance, or, where that stays too, the
/// peak.
fn beats(own: &Figures, other: &Figures, by: f64) -> bool {
    let (worst, balance) =
        ((own.worst_share(), other.worst_share()), (own.balance_share(), other.balance_share()));
    let lower = |(own, other): (f64, f64)| own < other * (1.0 - by);
    let alike = |(own, other): (f64, f64)| own <= other * (1.0 + ALIKE);
    let peak = own.peak_upper < other.peak_upper * (1.0 - 2.0 * by);
    lower(worst) || (alike(worst) && (lower(balance) || (alike(balance) && peak)))
}
