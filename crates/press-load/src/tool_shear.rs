//! Tool shear: the edge of a punch or die ground so that it enters little by little.
//!
//! With s the position of an edge point along the shear's direction, the entry height is a
//! piecewise linear function of s. An edge is cut where that function has a kink, so that on every
//! piece the entry height is linear in position and the force law can be summed in closed form.

use crate::{
    Length,
    geometry::Point,
    order,
    outline::{Edge, arc_contains, extent_of},
};
use std::f64::consts::TAU;

/// How the entry height goes along the outline.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum ToolShear {
    /// The whole edge enters at once.
    Flat,
    /// From first touch at the outline's start to `depth` later at its end.
    Slope {
        /// Travel between the first and the last point.
        depth: Length,
        /// Direction in which the entry gets later, in degrees from x.
        direction_deg: f64,
    },
    /// `ridges` equal roofs one after the other along the direction.
    Roof {
        /// Travel between the first and the last point.
        depth: Length,
        /// Direction along which the roofs follow each other, in degrees from x.
        direction_deg: f64,
        /// How many; one is a plain roof, more a zigzag.
        ridges: u32,
        /// What touches first.
        first: RoofFirst,
    },
}

/// Which part of a roof touches first.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum RoofFirst {
    /// The middle.
    Ridge,
    /// The two ends.
    Ends,
}

/// A piece of edge on which the entry height is linear in position along a direction.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ShearedEdge {
    /// The piece.
    pub edge: Edge,
    /// Entry height in metres at the origin of the coordinates.
    pub entry_at_origin: f64,
    /// Change of entry height per metre of position; zero for a flat edge.
    pub gradient: Point,
}

impl ShearedEdge {
    /// Entry height in metres at `point`.
    pub fn entry_at(&self, point: Point) -> f64 {
        self.entry_at_origin + point.along(self.gradient)
    }
}

impl ToolShear {
    /// How much later than the first the last edge point enters.
    pub const fn depth(&self) -> Length {
        match *self {
            Self::Flat => Length::ZERO,
            Self::Slope { depth, .. } | Self::Roof { depth, .. } => depth,
        }
    }

    /// The edges cut into pieces on which the entry height is linear.
    ///
    /// An outline without extent along the direction enters flat.
    pub fn apply(&self, edges: &[Edge], entry: Length) -> Vec<ShearedEdge> {
        let entry = entry.metres();
        let flat = |edge: &Edge| ShearedEdge {
            edge: *edge,
            entry_at_origin: entry,
            gradient: Point::default(),
        };
        let direction_deg = match *self {
            Self::Flat => return edges.iter().map(flat).collect(),
            Self::Slope { direction_deg, .. } | Self::Roof { direction_deg, .. } => direction_deg,
        };
        let direction = Point::towards(direction_deg.to_radians());
        let (low, high) = extent_of(edges, direction);
        let extent = high - low;
        // A straight edge square to the direction: rounding alone is no extent.
        let size = low.abs().max(high.abs()).max(extent);
        if !(extent > size * 1e-12) || self.depth() <= Length::ZERO {
            return edges.iter().map(flat).collect();
        }
        let kinks = self.kinks(low, extent, entry);
        let mut sheared = Vec::new();
        for edge in edges {
            for piece in split(edge, direction, &kinks) {
                let middle = middle_of(&piece).along(direction);
                let part = kinks
                    .windows(2)
                    .find(|pair| middle <= pair[1].0)
                    .unwrap_or(&kinks[kinks.len() - 2..]);
                let ((s0, z0), (s1, z1)) = (part[0], part[1]);
                let slope = (z1 - z0) / (s1 - s0);
                sheared.push(ShearedEdge {
                    edge: piece,
                    entry_at_origin: z0 - slope * s0,
                    gradient: Point::new(slope * direction.x, slope * direction.y),
                });
            }
        }
        sheared
    }

    /// Positions along the direction and entry heights there, between which it is linear.
    fn kinks(&self, low: f64, extent: f64, entry: f64) -> Vec<(f64, f64)> {
        let late = entry - self.depth().metres();
        match *self {
            Self::Flat | Self::Slope { .. } => vec![(low, entry), (low + extent, late)],
            Self::Roof { ridges, first, .. } => {
                let halves = 2 * ridges.max(1);
                let (end, ridge) = match first {
                    RoofFirst::Ridge => (late, entry),
                    RoofFirst::Ends => (entry, late),
                };
                (0..=halves)
                    .map(|i| {
                        let s = low + extent * f64::from(i) / f64::from(halves);
                        (s, if i % 2 == 0 { end } else { ridge })
                    })
                    .collect()
            }
        }
    }
}

/// The parts of `edges` that lie before `limit` along `direction`, entering as they did.
pub fn clip(edges: &[ShearedEdge], direction: Point, limit: f64) -> Vec<ShearedEdge> {
    // Only the inner kink cuts.
    let kinks = [(f64::NEG_INFINITY, 0.0), (limit, 0.0), (f64::INFINITY, 0.0)];
    let mut kept = Vec::new();
    for sheared in edges {
        for edge in split(&sheared.edge, direction, &kinks) {
            if middle_of(&edge).along(direction) < limit {
                kept.push(ShearedEdge { edge, ..*sheared });
            }
        }
    }
    kept
}

fn middle_of(edge: &Edge) -> Point {
    match *edge {
        Edge::Line { start, end } => start.towards_point(end, 0.5),
        Edge::Arc { centre, radius, start_rad, sweep_rad } => {
            centre.displaced(Point::towards(start_rad + sweep_rad / 2.0), radius)
        }
    }
}

/// `edge` cut at the inner kinks.
fn split(edge: &Edge, direction: Point, kinks: &[(f64, f64)]) -> Vec<Edge> {
    let inner = &kinks[1..kinks.len() - 1];
    // Places along the edge as parts of it, from 0 to 1.
    let mut places = vec![0.0, 1.0];
    match *edge {
        Edge::Line { start, end } => {
            let (from, to) = (start.along(direction), end.along(direction));
            for &(s, _) in inner {
                let place = (s - from) / (to - from);
                if place > 0.0 && place < 1.0 {
                    places.push(place);
                }
            }
        }
        Edge::Arc { centre, radius, start_rad, sweep_rad } => {
            let facing = direction.y.atan2(direction.x);
            for &(s, _) in inner {
                let cos = (s - centre.along(direction)) / radius;
                if cos.abs() >= 1.0 {
                    continue;
                }
                for angle in [facing + cos.acos(), facing - cos.acos()] {
                    if arc_contains(start_rad, sweep_rad, angle) {
                        let turned = if sweep_rad >= 0.0 {
                            (angle - start_rad).rem_euclid(TAU)
                        } else {
                            (start_rad - angle).rem_euclid(TAU)
                        };
                        places.push(turned / sweep_rad.abs());
                    }
                }
            }
        }
    }
    let places = order::rising_values(&places);
    places
        .windows(2)
        .filter(|pair| pair[1] - pair[0] > 1e-12)
        .map(|pair| match *edge {
            Edge::Line { start, end } => Edge::Line {
                start: start.towards_point(end, pair[0]),
                end: start.towards_point(end, pair[1]),
            },
            Edge::Arc { centre, radius, start_rad, sweep_rad } => Edge::Arc {
                centre,
                radius,
                start_rad: start_rad + sweep_rad * pair[0],
                sweep_rad: sweep_rad * (pair[1] - pair[0]),
            },
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{Outline, assert_close};

    fn mm(value: f64) -> Length {
        Length::from_millimetres(value)
    }

    fn entries(outline: &Outline, shear: ToolShear) -> (f64, f64, f64) {
        let edges = outline.edges().unwrap();
        let pieces = shear.apply(&edges, mm(4.0));
        let mut length = 0.0;
        let (mut low, mut high) = (f64::INFINITY, f64::NEG_INFINITY);
        for piece in &pieces {
            length += piece.edge.length();
            for point in piece.edge.polyline(1e-7) {
                let z = piece.entry_at(point) * 1e3;
                low = low.min(z);
                high = high.max(z);
            }
        }
        (length * 1e3, low, high)
    }

    #[test]
    fn pieces_keep_the_whole_edge_and_span_the_depth() {
        let circle = Outline::Circle { diameter: mm(30.0) };
        let perimeter = circle.length().unwrap().millimetres();
        for ridges in [1, 2, 5] {
            for first in [RoofFirst::Ridge, RoofFirst::Ends] {
                let shear = ToolShear::Roof { depth: mm(1.5), direction_deg: 37.0, ridges, first };
                let (length, low, high) = entries(&circle, shear);
                assert_close(length, perimeter, 1e-12);
                assert_close(low, 2.5, 1e-4);
                assert_close(high, 4.0, 1e-4);
            }
        }
        let slope = ToolShear::Slope { depth: mm(1.5), direction_deg: 200.0 };
        let (length, low, high) = entries(&circle, slope);
        assert_close(length, perimeter, 1e-12);
        assert_close(low, 2.5, 1e-4);
        assert_close(high, 4.0, 1e-4);
    }

    #[test]
    fn a_straight_cut_square_to_the_direction_enters_flat() {
        let path = Outline::Path {
            points: vec![Point::from_millimetres(0.0, -45.0), Point::from_millimetres(0.0, 45.0)],
            bulges: vec![],
            closed: false,
        };
        let shear = ToolShear::Slope { depth: mm(3.0), direction_deg: 0.0 };
        let (_, low, high) = entries(&path, shear);
        assert_eq!((low, high), (4.0, 4.0));
    }

    #[test]
    fn slope_touches_first_where_the_direction_starts() {
        let path = Outline::Path {
            points: vec![Point::from_millimetres(0.0, -45.0), Point::from_millimetres(0.0, 45.0)],
            bulges: vec![],
            closed: false,
        };
        let shear = ToolShear::Slope { depth: mm(3.0), direction_deg: 90.0 };
        let pieces = shear.apply(&path.edges().unwrap(), mm(3.0));
        assert_eq!(pieces.len(), 1);
        assert_close(pieces[0].entry_at(Point::from_millimetres(0.0, -45.0)), 3e-3, 1e-12);
        assert!(pieces[0].entry_at(Point::from_millimetres(0.0, 45.0)).abs() < 1e-15);
    }
}
