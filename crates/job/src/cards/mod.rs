//! What a set-up needs beside the check, each as a [`Card`]: plain data that a view, the printed sheet and
//! the command line show alike.

mod after_trip;
mod card;
mod first_strokes;
mod hanging;
mod missing;
mod need;
mod record;
mod shut_height;
mod slugs;
mod steps;

pub use after_trip::after_trip_card;
pub use card::{Card, Row, Table};
pub use first_strokes::first_strokes_card;
pub use hanging::{counterbalance_card, holding_card, weights_card};
pub use missing::missing_card;
pub use need::{NeedRecord, need_card, needs};
pub use record::{last_good_card, signing_card};
pub use shut_height::shut_height_card;
pub use slugs::{SlugRow, slugs_card};
pub use steps::{FieldPlace, STEPS, Step, card_of, missing_fields, stations_with_slugs};

use crate::{Job, units::UnitSystem};
use press_load::Check;
use serde::Serialize;

/// All cards of a set-up in the order in which a setter meets them, the last good set-up first.
pub fn setup_cards(job: &Job, check: &Check, units: UnitSystem) -> Vec<Card> {
    let mut cards = Vec::new();
    cards.extend(last_good_card(job, units));
    cards.push(shut_height_card(job, check, units));
    cards.push(counterbalance_card(job, units));
    cards.push(holding_card(job, check, units));
    cards.push(weights_card(job, units));
    cards.extend(slugs_card(job, units));
    cards.push(first_strokes_card(job, check, units));
    cards.extend(after_trip_card(job, check, units));
    cards.push(missing_card(job, check, units));
    cards.push(signing_card(job));
    cards
}

/// The cards as the command prints them in JSON.
#[derive(Clone, Debug, Serialize)]
pub struct SetupReport {
    format: &'static str,
    version: u32,
    title: String,
    press: String,
    cards: Vec<Card>,
}

impl SetupReport {
    /// The cards of a checked job.
    pub fn new(job: &Job, check: &Check) -> Self {
        Self {
            format: "evenstroke-setup",
            version: 1,
            title: job.title.clone(),
            press: job.press_name.clone(),
            cards: setup_cards(job, check, UnitSystem::Metric),
        }
    }

    /// As JSON text.
    pub fn to_json(&self) -> String {
        serde_json::to_string_pretty(self).unwrap_or_default()
    }
}
