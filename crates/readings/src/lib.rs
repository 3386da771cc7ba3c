//! What a load monitor reads, laid over what a job predicts.
//!
//! - [`typed`](mod@typed): two or four numbers off the display, compared with the prediction of each
//!   suspension point, with the cases that would look like them and how they go over the record.
//! - Recorded signatures: [`rows`] reads delimited text, [`columns`] says what its columns hold,
//!   [`samples`](mod@samples) are its numbers, [`signal`] makes them fit, [`strokes`] parts them and
//!   finds the slide, [`compare`](mod@compare) lays them over the prediction.
//! - [`stations`] says which station is likely off, by [`least_squares`] within bounds.
//! - [`correct`] proposes what to change in the job, as edits.
//! - [`report`] is what the command prints and the page shows.
//!
//! Bytes and values in, values out: no files, no clock. A reading changes nothing by itself.

pub mod columns;
pub mod compare;
pub mod correct;
pub mod least_squares;
mod number;
mod predicted;
mod problem;
pub mod report;
pub mod rows;
pub mod samples;
pub mod signal;
#[cfg(feature = "spreadsheet")]
pub mod spreadsheet;
pub mod stations;
pub mod strokes;
pub mod typed;
pub mod wishes;

pub use columns::{Mapping, Place, Wishes};
pub use compare::{Comparison, compare};
pub use correct::{Correction, Corrections};
pub use number::Decimal;
pub use predicted::{Predicted, Shares};
pub use problem::Problem;
pub use samples::Samples;
pub use signal::Mended;
pub use strokes::{ReadStroke, Recording};
pub use typed::{Typed, TypedComparison, compare_typed};

use evenstroke_job::Job;

/// Reads the bytes of a recording and lays it over a job.
///
/// # Errors
///
/// [`Problem`] where the bytes are no recording, or none of this press.
pub fn read(bytes: &[u8], job: &Job, wishes: &Wishes) -> Result<Comparison, Problem> {
    let text = rows::plain(bytes)?;
    let mapping = columns::map(&text, wishes)?;
    let found = samples::samples(&text, &mapping, wishes)?;
    compare(job, &job.check(), found, mapping, wishes)
}
