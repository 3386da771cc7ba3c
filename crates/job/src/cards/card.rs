//! A card as plain data: labelled rows, a table, sentences. A view, the printed sheet and the command line
//! show the same one without a formula of their own.

use crate::{spec::Unit, units::UnitSystem};
use press_load::State;
use serde::Serialize;

/// A card.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Card {
    /// Its name in files.
    pub id: &'static str,
    /// What it is called.
    pub title: &'static str,
    /// Labelled values.
    pub rows: Vec<Row>,
    /// A table below them.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub table: Option<Table>,
    /// What there is to say, a sentence each.
    pub sentences: Vec<String>,
}

/// A labelled value.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Row {
    /// Its name in files.
    pub key: &'static str,
    /// What it is called.
    pub label: String,
    /// The number in the unit of the file, where it is one.
    pub value: Option<f64>,
    /// That unit.
    #[serde(skip_serializing_if = "str::is_empty")]
    pub unit: &'static str,
    /// The value as people read it; what is missing where it is not known.
    pub text: String,
    /// Whether it is not known, so that `text` says what is missing.
    pub is_missing: bool,
    /// How it stands to its limit, where it has one.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub state: Option<&'static str>,
}

/// A table.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Table {
    /// Headings of its columns.
    pub head: Vec<&'static str>,
    /// Its rows, a text a column.
    pub rows: Vec<Vec<String>>,
}

impl Card {
    pub(crate) const fn new(id: &'static str, title: &'static str) -> Self {
        Self { id, title, rows: Vec::new(), table: None, sentences: Vec::new() }
    }

    /// A number with its unit.
    pub(crate) fn number(
        &mut self,
        key: &'static str,
        label: &str,
        value: f64,
        unit: Unit,
        units: UnitSystem,
    ) {
        let text = units.show(value, unit);
        self.number_as(key, label, value, unit, text);
    }

    /// A number that is shown as `text`.
    pub(crate) fn number_as(
        &mut self,
        key: &'static str,
        label: &str,
        value: f64,
        unit: Unit,
        text: String,
    ) {
        let (label, unit) = (label.to_owned(), unit.symbol());
        // Files have no infinity.
        let value = value.is_finite().then_some(value);
        self.rows.push(Row { key, label, value, unit, text, is_missing: false, state: None });
    }

    /// A text.
    pub(crate) fn text(&mut self, key: &'static str, label: &str, text: impl Into<String>) {
        let (label, text) = (label.to_owned(), text.into());
        self.rows.push(Row {
            key,
            label,
            value: None,
            unit: "",
            text,
            is_missing: false,
            state: None,
        });
    }

    /// What is not known, and why.
    pub(crate) fn missing(&mut self, key: &'static str, label: &str, why: impl Into<String>) {
        self.text(key, label, why);
        if let Some(row) = self.rows.last_mut() {
            row.is_missing = true;
        }
    }

    /// How the last row stands to its limit.
    pub(crate) fn stands(&mut self, state: State) {
        if let Some(row) = self.rows.last_mut() {
            row.state = Some(state.key());
        }
    }

    pub(crate) fn say(&mut self, sentence: impl Into<String>) {
        self.sentences.push(sentence.into());
    }

    /// A row of it.
    pub fn row(&self, key: &str) -> Option<&Row> {
        self.rows.iter().find(|row| row.key == key)
    }
}
