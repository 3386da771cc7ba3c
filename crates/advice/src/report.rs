//! Advice as the command prints it with `--json`.

use crate::{
    Advice, Edit, Figures, Proposal, Used,
    edit::file_mm,
    rank::{DieEntry, Library, PressEntry, Ranked, RefusedRow, press_edits},
    shear::{Form, Grind},
    steps::Choice,
};
use evenstroke_job::{Job, Refused, report::finite, words};
use press_load::{Force, SpeedBand, cutting::ShearSide, tool_shear::RoofFirst};
use serde::Serialize;

/// All advice for a job.
#[derive(Clone, Debug, Serialize)]
pub struct AdviceReport {
    format: &'static str,
    version: u32,
    title: String,
    /// A better place; nothing where there is none.
    placement: Option<PlacementRow>,
    /// Why there is none.
    placement_reason: Option<String>,
    /// Bounds that cannot be kept or could not be minded.
    placement_notes: Vec<String>,
    /// What tips the slide at the best place, where a limit is near or over there.
    cause: Option<CauseRow>,
    /// What would balance it.
    balance: Option<BalanceRow>,
    /// All punches of the choice that is named first; none where no step helps.
    punch_steps: Vec<StepRow>,
    /// Nominal peak, strip full, as the job is, and with these steps.
    peak_before_kn: f64,
    peak_after_kn: f64,
    /// The same on the upper line.
    peak_upper_before_kn: f64,
    peak_upper_after_kn: f64,
    /// Nominal reverse load, an estimate; nothing where it cannot be made.
    reverse_before_kn: Option<f64>,
    reverse_after_kn: Option<f64>,
    /// Choices of steps none of which is better than another in all.
    step_choices: Vec<ChoiceRow>,
    /// Index of the one named first.
    step_choice: Option<usize>,
    step_notes: Vec<String>,
    /// Whether all divisions of the punches were tried.
    steps_exhaustive: bool,
    /// Steps and place together; nothing where that does not beat either alone.
    steps_and_placement: Option<TogetherRow>,
    tool_shear: Vec<GrindRow>,
    /// All tool shear together.
    tool_shear_proposal: Option<ProposalRow>,
    /// In place of the roofs: slopes against each other.
    opposing_slopes: Vec<GrindRow>,
    /// All of them together.
    opposing_slopes_proposal: Option<ProposalRow>,
    tool_shear_notes: Vec<String>,
    speed: SpeedRow,
}

#[derive(Clone, Debug, Serialize)]
struct PlacementRow {
    x_mm: f64,
    y_mm: f64,
    /// How far the die moves from where it stands.
    move_x_mm: f64,
    move_y_mm: f64,
    share_before: f64,
    share_after: f64,
    /// The limit used most before.
    limit: &'static str,
    /// The limit used most after.
    limit_after: &'static str,
    /// No place in the room has a worst share below this.
    no_lower: f64,
    gains: Vec<GainRow>,
    #[serde(flatten)]
    proposal: ProposalRow,
}

#[derive(Clone, Debug, Serialize)]
struct GainRow {
    limit: &'static str,
    share_before: f64,
    share_after: f64,
}

#[derive(Clone, Debug, Serialize)]
struct CauseRow {
    station: usize,
    name: String,
    /// Of the station, about the press centre.
    moment_x_knm: f64,
    moment_y_knm: f64,
    /// Of all stations.
    all_x_knm: f64,
    all_y_knm: f64,
    at_height_mm: f64,
    strip_state: String,
}

#[derive(Clone, Debug, Serialize)]
struct BalanceRow {
    /// From the die's centre, before turning.
    x_mm: f64,
    y_mm: f64,
    force_kn: f64,
    from_height_mm: f64,
    share_after: f64,
    #[serde(flatten)]
    proposal: ProposalRow,
}

#[derive(Clone, Debug, Serialize)]
struct StepRow {
    /// Index of the station.
    station: usize,
    /// Index of the cut in the station's work.
    work: usize,
    name: String,
    /// Group, 1 touches first.
    level: usize,
    entry_before_mm: f64,
    entry_mm: f64,
}

#[derive(Clone, Debug, Serialize)]
struct ChoiceRow {
    levels: usize,
    step_mm: f64,
    peak_upper_reground_kn: f64,
    punch_steps: Vec<StepRow>,
    #[serde(flatten)]
    proposal: ProposalRow,
}

#[derive(Clone, Debug, Serialize)]
struct TogetherRow {
    x_mm: f64,
    y_mm: f64,
    move_x_mm: f64,
    move_y_mm: f64,
    #[serde(flatten)]
    steps: ChoiceRow,
}

#[derive(Clone, Debug, Serialize)]
struct GrindRow {
    station: usize,
    work: usize,
    name: String,
    kind: &'static str,
    depth_mm: f64,
    direction_deg: f64,
    /// Of a roof; false of a slope.
    ridge_first: bool,
    /// Station and work of the slope against it.
    against: Option<(usize, usize)>,
    shear_on: &'static str,
    keeps_flat: bool,
    was_slope: bool,
    entry_mm: f64,
}

#[derive(Clone, Debug, Serialize)]
struct SpeedRow {
    running_spm: Option<f64>,
    lowest_spm: Option<f64>,
    highest_spm: Option<f64>,
    lowest_by_energy: bool,
    highest_by_motor: bool,
    too_little_energy: bool,
    text: Option<String>,
    /// The nearest speed inside the band, where it runs outside.
    speed_spm: Option<f64>,
    proposal: Option<ProposalRow>,
}

#[derive(Clone, Debug, Serialize)]
struct ProposalRow {
    assumes: Vec<String>,
    edits: Vec<Edit>,
    before: FiguresRow,
    after: FiguresRow,
}

#[derive(Clone, Debug, Serialize)]
struct FiguresRow {
    verdict: &'static str,
    worst_limit: Option<&'static str>,
    worst_share: Option<f64>,
    /// Of the limits that depend on the place.
    balance_limit: Option<&'static str>,
    balance_share: Option<f64>,
    peak_kn: f64,
    peak_upper_kn: f64,
    energy_upper_j: f64,
    reverse_kn: Option<f64>,
    reverse_upper_kn: Option<f64>,
}

fn figures_row(figures: &Figures) -> FiguresRow {
    let id = |used: Option<Used>| used.map(|used| used.id.key());
    let share = |used: Option<Used>| used.map(|used| finite(used.share));
    FiguresRow {
        verdict: figures.verdict.key(),
        worst_limit: id(figures.worst),
        worst_share: share(figures.worst),
        balance_limit: id(figures.balance),
        balance_share: share(figures.balance),
        peak_kn: figures.peak.kilonewtons(),
        peak_upper_kn: figures.peak_upper.kilonewtons(),
        energy_upper_j: figures.energy_upper.joules(),
        reverse_kn: figures.reverse.map(Force::kilonewtons),
        reverse_upper_kn: figures.reverse_upper.map(Force::kilonewtons),
    }
}

fn proposal_row(proposal: &Proposal) -> ProposalRow {
    ProposalRow {
        assumes: proposal.assumes.clone(),
        edits: proposal.edits.clone(),
        before: figures_row(&proposal.before),
        after: figures_row(&proposal.after),
    }
}

impl AdviceReport {
    /// The advice for a job.
    pub fn new(job: &Job, advice: &Advice) -> Self {
        let check = job.check();
        let now = Figures::of(job, &check);
        let best = advice.steps.best.map(|index| &advice.steps.choices[index]);
        let after = best.map_or(&now, |choice| &choice.proposal.after);
        let kn = Force::kilonewtons;
        Self {
            format: "evenstroke-advice",
            version: 1,
            title: job.title.clone(),
            placement: placement_row(job, advice),
            placement_reason: advice.placement.reason.clone(),
            placement_notes: advice.placement.notes.clone(),
            cause: advice.placement.cause.map(|cause| CauseRow {
                station: cause.station,
                name: job.stations[cause.station].name.clone(),
                moment_x_knm: cause.moment.x * 1e-3,
                moment_y_knm: cause.moment.y * 1e-3,
                all_x_knm: cause.all.x * 1e-3,
                all_y_knm: cause.all.y * 1e-3,
                at_height_mm: cause.height.millimetres(),
                strip_state: cause.strip_state.to_string(),
            }),
            balance: advice.placement.balance.as_ref().map(|balance| BalanceRow {
                x_mm: balance.at.x * 1e3,
                y_mm: balance.at.y * 1e3,
                force_kn: balance.force.kilonewtons(),
                from_height_mm: balance.from.millimetres(),
                share_after: finite(balance.proposal.after.balance_share()),
                proposal: proposal_row(&balance.proposal),
            }),
            punch_steps: best.map(|choice| step_rows(job, choice)).unwrap_or_default(),
            peak_before_kn: kn(now.peak),
            peak_after_kn: kn(after.peak),
            peak_upper_before_kn: kn(now.peak_upper),
            peak_upper_after_kn: kn(after.peak_upper),
            reverse_before_kn: now.reverse.map(kn),
            reverse_after_kn: after.reverse.map(kn),
            step_choices: advice
                .steps
                .choices
                .iter()
                .map(|choice| choice_row(job, choice))
                .collect(),
            step_choice: advice.steps.best,
            step_notes: advice.steps.notes.clone(),
            steps_exhaustive: advice.steps.exhaustive,
            steps_and_placement: advice.together.as_ref().map(|together| TogetherRow {
                x_mm: file_mm(together.to.x),
                y_mm: file_mm(together.to.y),
                move_x_mm: file_mm(together.to.x - job.die.placement.x),
                move_y_mm: file_mm(together.to.y - job.die.placement.y),
                steps: choice_row(job, &together.choice),
            }),
            tool_shear: advice.shear.grinds.iter().map(|grind| grind_row(job, grind)).collect(),
            tool_shear_proposal: advice.shear.proposal.as_ref().map(proposal_row),
            opposing_slopes: advice
                .shear
                .slopes
                .iter()
                .map(|grind| grind_row(job, grind))
                .collect(),
            opposing_slopes_proposal: advice.shear.slopes_proposal.as_ref().map(proposal_row),
            tool_shear_notes: advice.shear.notes.clone(),
            speed: {
                let speed = &advice.speed;
                let proposal = speed.proposal.as_ref();
                SpeedRow {
                    running_spm: speed.running.map(press_load::StrokeRate::per_minute),
                    lowest_spm: speed.band.lowest.map(press_load::StrokeRate::per_minute),
                    highest_spm: speed.band.highest.map(|highest| finite(highest.per_minute())),
                    lowest_by_energy: speed.band.lowest_by_energy,
                    highest_by_motor: speed.band.highest_by_motor,
                    too_little_energy: speed.band.too_little_energy,
                    text: speed.words.clone(),
                    speed_spm: proposal.map(|proposal| proposal.0.per_minute()),
                    proposal: proposal.map(|proposal| proposal_row(&proposal.1)),
                }
            },
        }
    }

    /// As JSON text.
    pub fn to_json(&self) -> String {
        serde_json::to_string_pretty(self).unwrap_or_default()
    }
}

fn placement_row(job: &Job, advice: &Advice) -> Option<PlacementRow> {
    let shift = advice.placement.shift.as_ref()?;
    let stands = job.die.placement;
    Some(PlacementRow {
        x_mm: file_mm(shift.to.x),
        y_mm: file_mm(shift.to.y),
        move_x_mm: file_mm(shift.to.x - stands.x),
        move_y_mm: file_mm(shift.to.y - stands.y),
        share_before: finite(shift.before.share),
        share_after: finite(shift.after.share),
        limit: shift.before.id.key(),
        limit_after: shift.after.id.key(),
        no_lower: finite(shift.no_lower),
        gains: shift
            .gains
            .iter()
            .map(|gain| GainRow {
                limit: gain.id.key(),
                share_before: finite(gain.before),
                share_after: finite(gain.after),
            })
            .collect(),
        proposal: proposal_row(&shift.proposal),
    })
}

fn choice_row(job: &Job, choice: &Choice) -> ChoiceRow {
    ChoiceRow {
        levels: choice.levels,
        step_mm: choice.step.millimetres(),
        peak_upper_reground_kn: choice.peak_reground.kilonewtons(),
        punch_steps: step_rows(job, choice),
        proposal: proposal_row(&choice.proposal),
    }
}

fn step_rows(job: &Job, choice: &Choice) -> Vec<StepRow> {
    let row = |step: &crate::steps::Step| StepRow {
        station: step.station,
        work: step.work,
        name: crate::punch::label(job, step.station, step.work),
        level: step.level + 1,
        entry_before_mm: file_mm(step.before),
        entry_mm: file_mm(step.entry),
    };
    choice.steps.iter().map(row).collect()
}

fn grind_row(job: &Job, grind: &Grind) -> GrindRow {
    GrindRow {
        station: grind.station,
        work: grind.work,
        name: crate::punch::label(job, grind.station, grind.work),
        kind: match grind.form {
            Form::Roof(_) => "roof",
            Form::Slope { .. } => "slope",
        },
        depth_mm: grind.depth.millimetres(),
        direction_deg: grind.direction_deg,
        ridge_first: grind.form == Form::Roof(RoofFirst::Ridge),
        against: match grind.form {
            Form::Roof(_) => None,
            Form::Slope { against } => Some(against),
        },
        shear_on: match grind.on {
            ShearSide::Punch => "punch",
            ShearSide::Die => "die",
        },
        keeps_flat: grind.keeps_flat,
        was_slope: grind.was_slope,
        entry_mm: grind.entry.millimetres(),
    }
}

/// Dies against presses.
#[derive(Clone, Debug, Serialize)]
pub struct RankReport {
    format: &'static str,
    version: u32,
    dies: Vec<RankedDieRow>,
    /// Files that could not be read.
    refused: Vec<RefusedRow>,
}

#[derive(Clone, Debug, Serialize)]
struct RankedDieRow {
    source: String,
    title: String,
    /// Best first.
    presses: Vec<RankedRow>,
}

#[derive(Clone, Debug, Serialize)]
struct RankedRow {
    source: String,
    press: String,
    /// A verdict, or `refused` where die and press cannot be put together.
    verdict: &'static str,
    /// The limit that is used most, and how much of it.
    limit: Option<&'static str>,
    share: Option<f64>,
    placement: Option<PlaceRow>,
    /// Essential limits that could not be checked.
    not_checked: Vec<&'static str>,
    /// How much the die is too low for the press; the verdict is without anything put under it.
    too_low_mm: Option<f64>,
    lowest_spm: Option<f64>,
    highest_spm: Option<f64>,
    speed: Option<String>,
    /// Whether the speed is that of the die's job, because the press names none.
    speed_of_die: bool,
    edits: Vec<Edit>,
    /// Why they cannot be put together.
    refused: Option<Refused>,
}

#[derive(Clone, Copy, Debug, Serialize)]
struct PlaceRow {
    x_mm: f64,
    y_mm: f64,
    turn_deg: f64,
}

impl RankReport {
    /// Of a ranking.
    pub fn new(library: &Library, ranked: &[Vec<Ranked>]) -> Self {
        let row = |die: &DieEntry, row: &Ranked| ranked_row(die, &library.presses[row.press], row);
        let rows = library.dies.iter().zip(ranked).map(|(die, ranked)| RankedDieRow {
            source: die.source.clone(),
            title: die.job.title.clone(),
            presses: ranked.iter().map(|ranked| row(die, ranked)).collect(),
        });
        let refused = library.refused.clone();
        Self { format: "evenstroke-rank", version: 1, dies: rows.collect(), refused }
    }

    /// As JSON text.
    pub fn to_json(&self) -> String {
        serde_json::to_string_pretty(self).unwrap_or_default()
    }
}

fn ranked_row(die: &DieEntry, press: &PressEntry, ranked: &Ranked) -> RankedRow {
    let rate = |rate: press_load::StrokeRate| finite(rate.per_minute());
    let bare = RankedRow {
        source: press.source.clone(),
        press: press.name.clone(),
        verdict: "refused",
        limit: None,
        share: None,
        placement: None,
        not_checked: Vec::new(),
        too_low_mm: None,
        lowest_spm: None,
        highest_spm: None,
        speed: None,
        speed_of_die: false,
        edits: Vec::new(),
        refused: None,
    };
    match &ranked.outcome {
        Err(refused) => RankedRow { refused: Some(refused.clone()), ..bare },
        Ok(fit) => {
            let SpeedBand { lowest, highest, .. } = fit.speed;
            RankedRow {
                verdict: fit.figures.verdict.key(),
                limit: fit.figures.worst.map(|used| used.id.key()),
                share: fit.figures.worst.map(|used| finite(used.share)),
                placement: Some(PlaceRow {
                    x_mm: file_mm(fit.placement.x),
                    y_mm: file_mm(fit.placement.y),
                    turn_deg: fit.placement.turn_deg,
                }),
                not_checked: fit.open.iter().map(|id| id.key()).collect(),
                too_low_mm: fit.too_low.map(file_mm),
                lowest_spm: lowest.map(rate),
                highest_spm: highest.map(rate),
                speed: words::speed_words(&fit.speed),
                speed_of_die: fit.speed_of_die,
                edits: press_edits(die, press, fit),
                ..bare
            }
        }
    }
}
