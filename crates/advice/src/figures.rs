//! What a job asks, as far as advice is judged by it.

use crate::Edit;
use evenstroke_job::Job;
use press_load::{Check, Energy, Force, LimitId, State, order, place::depends_on_place};

/// A limit and how much of it is used.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Used {
    /// Which.
    pub id: LimitId,
    /// Part of it that is used.
    pub share: f64,
}

/// What a job asks of its press.
#[derive(Clone, Debug, PartialEq)]
pub struct Figures {
    /// The verdict.
    pub verdict: State,
    /// The limit that is used most. Room counts where it is lacking only.
    pub worst: Option<Used>,
    /// The limit that is used most of those that depend on where the die stands.
    pub balance: Option<Used>,
    /// Highest nominal force, strip full.
    pub peak: Force,
    /// Highest force on the upper line, strip full.
    pub peak_upper: Force,
    /// Work per stroke on the upper line.
    pub energy_upper: Energy,
    /// Nominal reverse load, an estimate, where it can be made.
    pub reverse: Option<Force>,
    /// The same on the upper line.
    pub reverse_upper: Option<Force>,
    /// Limits that are over.
    pub over: Vec<LimitId>,
}

impl Figures {
    /// Of a checked job.
    pub fn of(job: &Job, check: &Check) -> Self {
        let force = |peak: Option<press_load::Peak>| peak.map_or(Force::ZERO, |peak| peak.force);
        let over = |limit: &&press_load::Limit| limit.state == State::Over;
        Self {
            verdict: check.verdict,
            worst: most_used(check, |id, state| !id.is_space() || state == State::Over),
            balance: most_used(check, |id, _| depends_on_place(id) && !id.is_space()),
            peak: force(check.peak),
            peak_upper: force(check.peak_upper),
            energy_upper: check.energy_upper,
            reverse: check.reverse,
            reverse_upper: job.snap_through.ok().map(|snap| snap.upper),
            over: check.limits.iter().filter(over).map(|limit| limit.id).collect(),
        }
    }

    /// Share of the limit that is used most; nothing used where none can be judged.
    pub(crate) fn worst_share(&self) -> f64 {
        self.worst.map_or(0.0, |used| used.share)
    }

    /// The same of those that depend on the place.
    pub(crate) fn balance_share(&self) -> f64 {
        self.balance.map_or(0.0, |used| used.share)
    }

    /// Whether neither peak, reverse load nor the worst limit is higher than before.
    pub(crate) fn raises_nothing(&self, before: &Self) -> bool {
        let no_more = |after: Force, before: Force| after <= before * (1.0 + 1e-9);
        let known = |after: Option<Force>, before: Option<Force>| match (after, before) {
            (Some(after), Some(before)) => no_more(after, before),
            _ => true,
        };
        no_more(self.peak_upper, before.peak_upper)
            && no_more(self.peak, before.peak)
            && known(self.reverse, before.reverse)
            && known(self.reverse_upper, before.reverse_upper)
            && self.worst_share() <= before.worst_share() * (1.0 + 1e-9)
    }

    /// Whether no limit is over here that was not before.
    pub(crate) fn breaks_nothing(&self, before: &Self) -> bool {
        self.over.iter().all(|id| before.over.contains(id))
    }
}

/// How bad a verdict is: what is known to fit comes before what is not known.
pub(crate) const fn badness(verdict: State) -> u32 {
    match verdict {
        State::Within => 0,
        State::Near => 1,
        State::NotChecked => 2,
        State::Over => 3,
    }
}

fn most_used(check: &Check, counts: impl Fn(LimitId, State) -> bool) -> Option<Used> {
    let mut most: Option<Used> = None;
    for limit in check.limits.iter().filter(|limit| counts(limit.id, limit.state)) {
        if let Ok(used) = limit.outcome
            && most.is_none_or(|most| order::is_greater(used.share, most.share))
        {
            most = Some(Used { id: limit.id, share: used.share });
        }
    }
    most
}

/// Something to change, worked out anew.
#[derive(Clone, Debug, PartialEq)]
pub struct Proposal {
    /// What it takes for granted.
    pub assumes: Vec<String>,
    /// What it changes in the job file.
    pub edits: Vec<Edit>,
    /// The job as it is.
    pub before: Figures,
    /// The job with the change.
    pub after: Figures,
}

/// The part that does better than every other in one of several figures, the less the better: indices
/// of the choices that no other choice equals in all figures and undercuts in one, rounding aside.
pub(crate) fn not_dominated(figures: &[[f64; 3]], tolerance: f64) -> Vec<usize> {
    let no_worse = |a: f64, b: f64| a <= b + tolerance * b.abs().max(a.abs());
    let dominates = |a: &[f64; 3], b: &[f64; 3]| {
        (0..3).all(|i| no_worse(a[i], b[i])) && (0..3).any(|i| !no_worse(b[i], a[i]))
    };
    let mut kept: Vec<usize> = Vec::new();
    for (index, own) in figures.iter().enumerate() {
        let beaten = figures.iter().any(|other| dominates(other, own));
        let alike = |&kept: &usize| {
            (0..3).all(|i| no_worse(own[i], figures[kept][i]) && no_worse(figures[kept][i], own[i]))
        };
        if !beaten && !kept.iter().any(alike) {
            kept.push(index);
        }
    }
    kept
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn choices_that_another_beats_are_left_out() {
        let figures =
            [[1.0, 5.0, 1.0], [2.0, 4.0, 1.0], [2.0, 5.0, 1.0], [1.0, 5.0, 1.0], [3.0, 3.0, 0.5]];
        assert_eq!(not_dominated(&figures, 1e-6), [0, 1, 4]);
    }
}
