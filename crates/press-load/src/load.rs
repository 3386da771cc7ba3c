//! Loads between slide and bolster as functions of slide height.
//!
//! A load is either a cut edge, whose points enter one after the other, or a force at one point
//! that is a piecewise linear function of slide height. Both are summed into a [`LoadSeries`].

use crate::{
    Energy,
    edge_load::EdgeLoad,
    geometry::{Motion, Point},
    point_load::PointLoad,
};

/// Force and moments at a list of slide heights, kept in newtons and newton metres.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct LoadSeries {
    /// Force, compression positive.
    pub force: Vec<f64>,
    /// Σ force · x.
    pub moment_x: Vec<f64>,
    /// Σ force · y.
    pub moment_y: Vec<f64>,
}

impl LoadSeries {
    /// Nothing at each of `count` heights.
    pub fn zero(count: usize) -> Self {
        Self { force: vec![0.0; count], moment_x: vec![0.0; count], moment_y: vec![0.0; count] }
    }

    /// Adds a force at one place.
    #[inline]
    pub(crate) fn add_at(&mut self, index: usize, force: f64, moment_x: f64, moment_y: f64) {
        self.force[index] += force;
        self.moment_x[index] += moment_x;
        self.moment_y[index] += moment_y;
    }

    /// Adds another series, height by height.
    pub fn add(&mut self, other: &Self) {
        self.add_scaled(other, 1.0);
    }

    /// Takes another series away, height by height.
    pub fn subtract(&mut self, other: &Self) {
        self.add_scaled(other, -1.0);
    }

    fn add_scaled(&mut self, other: &Self, factor: f64) {
        let add = |mine: &mut [f64], theirs: &[f64]| {
            for (m, t) in mine.iter_mut().zip(theirs) {
                *m += factor * t;
            }
        };
        add(&mut self.force, &other.force);
        add(&mut self.moment_x, &other.moment_x);
        add(&mut self.moment_y, &other.moment_y);
    }

    /// Turns and shifts the moments from die coordinates onto the bolster.
    pub fn place(&mut self, placement: &Motion) {
        for index in 0..self.force.len() {
            let turned = placement.turn(Point::new(self.moment_x[index], self.moment_y[index]));
            self.moment_x[index] = turned.x + self.force[index] * placement.shift.x;
            self.moment_y[index] = turned.y + self.force[index] * placement.shift.y;
        }
    }

    /// Load centre at `index`, or nothing where no force acts.
    pub fn centre(&self, index: usize) -> Option<Point> {
        let force = self.force[index];
        (force > 0.0)
            .then(|| Point::new(self.moment_x[index] / force, self.moment_y[index] / force))
    }
}

/// A slide height at which a load has a kink or a jump.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct KeyHeight {
    /// Height above BDC in metres.
    pub height: f64,
    /// Whether the load jumps there.
    pub jump: bool,
}

/// One load.
#[derive(Clone, Debug, PartialEq)]
pub enum Load {
    /// Along a cut edge.
    Edge(EdgeLoad),
    /// At a point.
    Point(PointLoad),
}

impl Load {
    /// Adds this load at each of the falling `heights` (in metres).
    pub fn add_to(&self, heights: &[f64], series: &mut LoadSeries) {
        match self {
            Self::Edge(load) => load.add_to(heights, series),
            Self::Point(load) => load.add_to(heights, series),
        }
    }

    /// Work done on the way down to BDC, in closed form.
    pub fn work(&self) -> Energy {
        match self {
            Self::Edge(load) => load.work(),
            Self::Point(load) => load.work(),
        }
    }

    /// Where it has kinks and jumps.
    pub fn key_heights(&self) -> Vec<KeyHeight> {
        match self {
            Self::Edge(load) => load.key_heights(),
            Self::Point(load) => load.key_heights(),
        }
    }
}
