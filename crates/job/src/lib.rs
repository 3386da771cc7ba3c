//! The Evenstroke job file: read, checked at the border, reported on.
//!
//! - [`spec`] describes every field once; [`read`] holds a file against it, [`schema`] writes it as
//!   JSON Schema, and the page builds its forms on it.
//! - [`Job`] is a file that has been understood; [`Job::check`] judges it.
//! - [`entry`] understands what people type where a number is asked for.
//! - [`materials`] is stock by its designation, with the source of every number.
//! - [`sensitivity`] says which input moves each limit most, [`what_if`] what double metal, dull edges
//!   or a missing punch would do.
//! - [`line`](mod@line) is a tandem line, one die per press.
//! - [`working`] shows how a number comes about: the law, the numbers put in, its source.
//! - [`report`] is what the command prints, [`words`] what people read, [`units`] the units on
//!   screen.

mod build;
pub mod cards;
mod checksum;
mod coil;
pub mod day;
pub mod demo;
pub mod entry;
#[cfg(test)]
mod handbook;
mod image;
pub mod line;
pub mod materials;
pub mod mend;
pub mod outline_edit;
pub mod read;
pub mod record;
mod refusal;
pub mod report;
pub mod schema;
pub mod sensitivity;
pub mod setup;
pub mod sketch;
pub mod spec;
pub mod station_place;
pub mod units;
pub mod what_if;
pub mod words;
pub mod working;

pub use build::{Assumption, DEFAULT_SHEAR_RATIO};
pub use checksum::checksum;
pub use coil::{Coil, OutsideRange};
pub use refusal::{Refusal, Refused};

use press_load::{
    Check, Die, Line, Mass, Missing, Placement, SnapThrough, Station, Stock, Stroke, WorkError,
    cutting::CutModel, place::Places, press::Press,
};
use serde_json::Value;

/// What a job file calls itself.
pub const FORMAT: &str = "evenstroke-job";
/// The version that is written and read.
pub const VERSION: u64 = 1;

/// How a job is worked out.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Settings {
    /// Force over penetration.
    pub cut_model: CutModel,
    /// Share from which a limit counts as near, where not the frame's own.
    pub near_share: Option<f64>,
    /// Stripping over cutting force, where not the default.
    pub strip_factor: Option<f64>,
    /// Band of the load alarm above the normal peak, as a share of it.
    pub alarm_high: Option<f64>,
    /// Band of the load alarm below the normal peak, as a share of it.
    pub alarm_low: Option<f64>,
}

impl Default for Settings {
    fn default() -> Self {
        Self {
            cut_model: CutModel::Shaped,
            near_share: None,
            strip_factor: None,
            alarm_high: None,
            alarm_low: None,
        }
    }
}

/// A job that has been understood, with its loads through the stroke.
#[derive(Clone, Debug)]
pub struct Job {
    /// What the shop calls the die.
    pub title: String,
    /// Anything worth keeping.
    pub note: String,
    /// What the shop calls the press.
    pub press_name: String,
    /// Designation of the stock.
    pub material: String,
    /// The press.
    pub press: Press,
    /// The stock.
    pub stock: Stock,
    /// The die.
    pub die: Die,
    /// Mass of the whole die, where known.
    pub die_mass: Option<Mass>,
    /// The coil that is to be run, where its numbers are known.
    pub coil: Option<Coil>,
    /// Stations of the die.
    pub stations: Vec<Station>,
    /// How it is worked out.
    pub settings: Settings,
    /// Where the die's centre may stand, as the shop has set it.
    pub band: Places,
    /// For each station whether advice leaves its tools alone.
    pub locked: Vec<bool>,
    /// What stands in for fields that nobody entered.
    pub assumptions: Vec<Assumption>,
    /// Loads through the stroke, in die coordinates.
    pub stroke: Stroke,
    /// What a set-up needs beside the check.
    pub setup: setup::Setup,
    /// What comes back when the cuts break through.
    pub snap_through: Result<SnapThrough, Missing>,
}

impl Job {
    /// Reads the text of a job file.
    ///
    /// # Errors
    ///
    /// [`Refused`] with every place that is wrong: path, what is allowed, what was given.
    pub fn read(text: &str) -> Result<Self, Refused> {
        Self::understand(&read::read_text(text)?, None)
    }

    /// Reads the bytes of a job file.
    ///
    /// # Errors
    ///
    /// As [`Job::read`].
    pub fn read_bytes(bytes: &[u8]) -> Result<Self, Refused> {
        Self::understand(&read::read_bytes(bytes)?, None)
    }

    /// Reads a JSON value, as a page holds it.
    ///
    /// # Errors
    ///
    /// As [`Job::read`].
    pub fn from_value(value: &Value) -> Result<Self, Refused> {
        Self::from_edited(value, None)
    }

    /// As [`Job::from_value`] after an edit of the job that `previous` was: what the edit has left
    /// alone is not evaluated again.
    ///
    /// # Errors
    ///
    /// As [`Job::read`].
    pub fn from_edited(value: &Value, previous: Option<&Self>) -> Result<Self, Refused> {
        read::check_value(value)?;
        Self::understand(value, previous)
    }

    fn understand(value: &Value, previous: Option<&Self>) -> Result<Self, Refused> {
        let build::Parts { press, stock, die, stations, settings, band, locked, assumptions } =
            build::build(value)?;
        let setup = setup::read(value, &press, &die)?;
        for line in [Line::Nominal, Line::Upper] {
            stock.sheet(line).map_err(|error| build::refusal("stock", &error))?;
        }
        let stroke = Stroke::with_strip_reusing(
            &stations,
            &stock,
            settings.cut_model,
            press.drive.stroke(),
            die.strip.as_ref(),
            previous.map(|job| &job.stroke),
        )
        .map_err(|error| build::work_refusal(&error))?;
        let snap_through = SnapThrough::new(&press, die.upper_mass, &stroke);
        let text = |value: &Value| value.as_str().unwrap_or_default().to_owned();
        Ok(Self {
            title: text(&value["title"]),
            note: text(&value["note"]),
            press_name: text(&value["press"]["name"]),
            material: text(&value["stock"]["material"]),
            press,
            stock,
            die,
            coil: build::coil(value),
            die_mass: value["die"]["mass_kg"].as_f64().map(Mass::from_kilograms),
            stations,
            settings,
            band,
            locked,
            assumptions,
            setup,
            snap_through,
            stroke,
        })
    }

    /// The job with something of press, stock, die or stations changed, worked out anew.
    ///
    /// # Errors
    ///
    /// [`WorkError`] naming the station and work whose data no law can work with after the change.
    pub fn altered(&self, change: impl FnOnce(&mut Self)) -> Result<Self, WorkError> {
        let mut job = self.clone();
        change(&mut job);
        job.stroke = Stroke::with_strip_reusing(
            &job.stations,
            &job.stock,
            job.settings.cut_model,
            job.press.drive.stroke(),
            job.die.strip.as_ref(),
            Some(&self.stroke),
        )?;
        job.snap_through = SnapThrough::new(&job.press, job.die.upper_mass, &job.stroke);
        Ok(job)
    }

    /// Judges the die where it stands.
    pub fn check(&self) -> Check {
        self.check_at(self.die.placement)
    }

    /// Judges the die as if it stood elsewhere; the laws are not evaluated again.
    pub fn check_at(&self, placement: Placement) -> Check {
        let die = Die { placement, ..self.die.clone() };
        press_load::check::check_with(
            &self.press,
            &die,
            &self.stations,
            &self.stroke,
            &self.snap_through,
            self.settings.near_share,
        )
    }
}
