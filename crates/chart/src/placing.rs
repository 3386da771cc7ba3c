//! Finding a free place for a label.

use crate::frame::{Frame, Point};

/// What labels must keep clear of.
#[derive(Debug, Default)]
pub(crate) struct Taken {
    /// Other labels and marks: never overlapped.
    pub frames: Vec<Frame>,
    /// Lines: not crossed by a label.
    pub lines: Vec<Vec<Point>>,
}

impl Taken {
    pub fn is_clear_of_frames(&self, frame: &Frame) -> bool {
        !self.frames.iter().any(|other| other.overlaps(frame))
    }

    /// How many lines pass through the frame.
    pub fn crossings(&self, frame: &Frame) -> usize {
        self.lines.iter().filter(|line| frame.is_crossed_by(line)).count()
    }

    /// The candidate inside `bounds` that covers no frame and crosses the fewest lines, the
    /// earlier one if equal; at most `most_crossings` lines are accepted.
    pub fn best(
        &self,
        candidates: impl IntoIterator<Item = Frame>,
        bounds: &Frame,
        most_crossings: usize,
    ) -> Option<Frame> {
        candidates
            .into_iter()
            .filter(|frame| bounds.contains(frame) && self.is_clear_of_frames(frame))
            .map(|frame| {
                let crossings = self.crossings(&frame);
                (frame, crossings)
            })
            .filter(|(_, crossings)| *crossings <= most_crossings)
            .min_by_key(|(_, crossings)| *crossings)
            .map(|(frame, _)| frame)
    }
}

/// Frames of this size beside a point: right, left, above, below, then the corners, each nearer
/// ring first.
pub(crate) fn beside((x, y): Point, width: f64, height: f64, gap: f64) -> Vec<Frame> {
    let mut frames = Vec::new();
    for ring in 0..4 {
        let gap = gap + f64::from(ring) * height * 0.75;
        let (across, up) = (width / 2.0 + gap, height / 2.0 + gap);
        for (dx, dy) in [
            (across, 0.0),
            (-across, 0.0),
            (0.0, -up),
            (0.0, up),
            (across, -up),
            (-across, -up),
            (across, up),
            (-across, up),
        ] {
            frames.push(Frame::around((x + dx, y + dy), width, height));
        }
    }
    frames
}
