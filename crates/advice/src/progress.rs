//! How far the work has come, and whether it is to go on.

use evenstroke_language::tr;
use std::ops::ControlFlow;

/// What is being worked out.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Stage {
    /// The best place.
    Placement,
    /// A load that balances.
    Balance,
    /// Steps of the punches.
    PunchSteps,
    /// Steps, each with the die at its best place.
    Together,
    /// Tool shear.
    ToolShear,
    /// Dies against presses.
    Rank,
}

impl Stage {
    /// What is being worked out, in words.
    pub fn words(self) -> &'static str {
        tr(match self {
            Self::Placement => "Places of the die",
            Self::Balance => "Balancing loads",
            Self::PunchSteps => "Steps of the punches",
            Self::Together => "Steps with the die at their best place",
            Self::ToolShear => "Tool shear",
            Self::Rank => "Dies in presses",
        })
    }

    /// Its name in files.
    pub const fn key(self) -> &'static str {
        match self {
            Self::Placement => "placement",
            Self::Balance => "balance",
            Self::PunchSteps => "punch_steps",
            Self::Together => "steps_and_placement",
            Self::ToolShear => "tool_shear",
            Self::Rank => "rank",
        }
    }
}

/// How far the work has come.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Progress {
    /// What is being worked out.
    pub stage: Stage,
    /// Steps of it that are done.
    pub done: usize,
    /// Steps there are, where that is known beforehand, else no less than are done.
    pub of: usize,
}

/// Is told how far the work has come and says whether it is to go on.
pub type Watch<'a> = dyn FnMut(Progress) -> ControlFlow<()> + 'a;

/// The work was broken off.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct BrokenOff;

impl std::fmt::Display for BrokenOff {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(tr("broken off"))
    }
}

impl std::error::Error for BrokenOff {}

pub(crate) fn tell(
    watch: &mut Watch,
    stage: Stage,
    done: usize,
    of: usize,
) -> Result<(), BrokenOff> {
    match watch(Progress { stage, done, of: of.max(done) }) {
        ControlFlow::Continue(()) => Ok(()),
        ControlFlow::Break(()) => Err(BrokenOff),
    }
}
