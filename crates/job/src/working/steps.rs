//! Steps put together: causes first, to be read from the result back.

use super::{Law, Working, laws};
use crate::{Job, spec::Unit};
use press_load::{Length, Motion, Placement, Point, StripState, stroke::StrokeLine};

/// Two numbers that come from the same law by different ways are the same up to this.
const SAME: f64 = 1e-9;

/// Whether two numbers are the same up to rounding.
pub fn is_same(a: f64, b: f64) -> bool {
    (a - b).abs() <= SAME * a.abs().max(b.abs())
}

/// Steps as they are put together.
pub struct Steps<'a> {
    pub job: &'a Job,
    list: Vec<Working>,
}

impl<'a> Steps<'a> {
    pub const fn of(job: &'a Job) -> Self {
        Self { job, list: Vec::new() }
    }

    fn push(&mut self, law: &'static Law, put_in: Vec<Vec<f64>>, rows: Vec<String>, result: f64) {
        let note = String::new();
        self.list.push(Working { law, put_in, rows, result, at: None, told_in: None, note });
    }

    /// A step of which the result is known from the law itself.
    pub fn known(&mut self, law: &'static Law, put_in: &[f64], result: f64) {
        let put_in = put_in.iter().map(|&value| vec![value]).collect();
        self.push(law, put_in, Vec::new(), result);
    }

    /// A step on the way, worked out from its formula; the step that it leads to is known.
    pub fn worked(&mut self, law: &'static Law, put_in: &[f64]) -> f64 {
        self.known(law, put_in, f64::NAN);
        let Some(step) = self.list.last_mut() else { return f64::NAN };
        step.result = step.evaluate();
        step.result
    }

    /// A sum over rows; nothing where there is none.
    pub fn rows(
        &mut self,
        law: &'static Law,
        rows: Vec<String>,
        columns: Vec<Vec<f64>>,
        result: f64,
    ) {
        if !rows.is_empty() {
            self.push(law, columns, rows, result);
        }
    }

    /// Says something beside the last step.
    pub fn note(&mut self, note: impl Into<String>) {
        if let Some(step) = self.list.last_mut() {
            step.note = note.into();
        }
    }

    /// Says at what slide height the last step holds.
    pub fn at(&mut self, height: Length) {
        if let Some(step) = self.list.last_mut() {
            step.at = Some(height);
        }
    }

    /// The share at last, of figures told in `unit`; nothing where nothing is asked of nothing.
    pub fn share(&mut self, asked: f64, allowed: f64, share: f64, unit: Unit) {
        if asked != 0.0 || allowed != 0.0 {
            self.known(&laws::SHARE, &[asked, allowed], share);
            if let Some(step) = self.list.last_mut() {
                step.told_in = Some(unit);
            }
        }
    }

    /// The steps, the result first.
    pub fn finish(mut self) -> Vec<Working> {
        self.list.reverse();
        self.list
    }
}

/// What each station puts on the slide: names, forces in kN, places of their load centres in mm.
#[derive(Default)]
pub struct Acting {
    pub names: Vec<String>,
    pub forces: Vec<f64>,
    pub x: Vec<f64>,
    pub y: Vec<f64>,
}

impl Acting {
    /// Of a line in a strip state, `at` a place in its series.
    pub fn of(
        job: &Job,
        line: &StrokeLine,
        placement: Placement,
        state: StripState,
        at: &dyn Fn(&[f64]) -> f64,
    ) -> Self {
        let motion: Motion = placement.motion();
        let mut acting = Self::default();
        for (station, curve) in job.stations.iter().zip(&line.stations) {
            let mut sum = [0.0; 3];
            for series in std::iter::once(&curve.springs).chain(curve.stock_in(state)) {
                for (sum, part) in
                    sum.iter_mut().zip([&series.force, &series.moment_x, &series.moment_y])
                {
                    *sum += at(part);
                }
            }
            let [force, moment_x, moment_y] = sum;
            if force != 0.0 {
                let turned = motion.turn(Point::new(moment_x, moment_y));
                acting.names.push(station.name.clone());
                acting.forces.push(force * 1e-3);
                acting.x.push((turned.x / force + motion.shift.x) * 1e3);
                acting.y.push((turned.y / force + motion.shift.y) * 1e3);
            }
        }
        acting
    }

    /// Their force in all at a height, `result` in kN.
    pub fn add_up(&self, steps: &mut Steps, result: f64, height: Length, note: &str) {
        let before = steps.list.len();
        steps.rows(&laws::PARTS, self.names.clone(), vec![self.forces.clone()], result);
        if steps.list.len() > before {
            steps.at(height);
            steps.note(note);
        }
    }

    /// Where their sum acts, `result` in mm.
    pub fn centre(&self, steps: &mut Steps, places: &[f64], result: f64, direction: &'static str) {
        let columns = vec![self.forces.clone(), places.to_vec()];
        steps.rows(&laws::CENTRE, self.names.clone(), columns, result);
        steps.note(direction);
    }
}
