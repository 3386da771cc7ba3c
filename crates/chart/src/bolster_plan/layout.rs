//! Where everything in the bolster plan goes.

use evenstroke_language::tr;
use plotters::prelude::Color;

use super::{
    BolsterPlan, FeedDirection, PlanHandle, PlanSize, PlanView, StationActivity, dimensions,
    editing,
};
use crate::frame::{Frame, Point};
use crate::placing::{Taken, beside};
use crate::scene::{Label, Measure, Scene};
use crate::sight::Window;
use crate::style::{RGBColor, Style};
use crate::text::Weight;

pub(crate) fn lay_out(
    plan: &BolsterPlan,
    style: &Style,
    size: (f64, f64),
    measure: Measure,
) -> (Scene, PlanView) {
    let whole = Frame { left: 0.0, top: 0.0, right: size.0, bottom: size.1 };
    let (view, caption_room) = fitted(plan, style, whole);
    let mut layout = Layout {
        plan,
        style,
        measure,
        view,
        whole,
        scene: Scene::default(),
        taken: Taken::default(),
    };
    layout.scene.area(&whole.corners(), style.paper);
    let ground = layout.bolster();
    layout.die();
    layout.openings();
    layout.slide_and_points();
    layout.region();
    layout.centre_cross();
    layout.station_outlines();
    layout.strip_end();
    if plan.editing.is_none() {
        layout.load_path();
    }
    layout.captions(ground, caption_room);
    layout.dimensions(ground, caption_room);
    if plan.editing.is_none() {
        layout.load_words();
    }
    layout.editing();
    layout.handles();
    layout.station_numbers();
    layout.outline_names();
    (layout.scene, layout.view)
}

pub(super) fn usable(size: Option<PlanSize>) -> Option<PlanSize> {
    size.filter(|s| {
        s.width_mm.is_finite() && s.depth_mm.is_finite() && s.width_mm > 0.0 && s.depth_mm > 0.0
    })
}

/// Places that must be in view; y counts to the back here.
fn extent_mm(plan: &BolsterPlan) -> Option<Frame> {
    let sizes = [usable(plan.bolster), usable(plan.slide)];
    let rectangles = sizes
        .into_iter()
        .flatten()
        .map(|size| Frame::around((0.0, 0.0), size.width_mm, size.depth_mm));
    let places = plan
        .stations
        .iter()
        .flat_map(|station| station.outlines_mm.iter().flatten().copied())
        .chain(plan.stations.iter().map(|station| station.at_mm))
        .chain(plan.suspension_points.iter().copied())
        .chain(die_corners(plan).into_iter().flatten());
    rectangles
        .chain(Frame::holding(places))
        .reduce(|a, b| a.joined(&b))
        .filter(|frame| frame.width() > 0.0 || frame.height() > 0.0)
}

/// The die's corners on the bolster, from the front left one counter-clockwise.
fn die_corners(plan: &BolsterPlan) -> Option<[(f64, f64); 4]> {
    let die = plan.die?;
    die.corners_mm().or_else(|| {
        // The die's size is not known: a frame around its stations stands in.
        let outlines = plan.stations.iter().flat_map(|s| s.outlines_mm.iter().flatten());
        let points = plan.stations.iter().map(|s| &s.at_mm);
        let frame = Frame::holding(outlines.chain(points).copied())?;
        let margin = 0.12 * frame.width().max(frame.height());
        Some(frame.grown(margin).corners())
    })
}

/// The height, between `least` and `most`, at which a plan fills a picture of this width.
pub(crate) fn filling_height(
    plan: &BolsterPlan,
    style: &Style,
    width: f64,
    least: f64,
    most: f64,
) -> f64 {
    let Some(extent) = extent_mm(plan).filter(|extent| extent.width() > 0.0) else {
        return most;
    };
    let (left, below) = dimensions::room(&plan.dimensions, style);
    // Margins and captions as `fitted` has them at their largest.
    let margin = 14.0;
    let pixels_per_mm = (width - left - 2.0 * margin) / extent.width();
    let around = below + 2.0 * (margin + style.small_size() * 1.3);
    (extent.height() * pixels_per_mm + around).clamp(least, most)
}

/// The scale that shows everything, and the room kept above and below for captions.
fn fitted(plan: &BolsterPlan, style: &Style, whole: Frame) -> (PlanView, f64) {
    let edited = plan.editing.as_ref().and_then(super::PlanEdit::extent_mm);
    let extent =
        edited.or_else(|| extent_mm(plan)).unwrap_or(Frame::around((0.0, 0.0), 1000.0, 600.0));
    let caption_room = match whole.height() > style.small_size() * 7.0 {
        true => style.small_size() * 1.3,
        false => 0.0,
    };
    let margin = (whole.width().min(whole.height()) * 0.04).min(14.0);
    let (left, below) = dimensions::room(&plan.dimensions, style);
    let whole = Frame { left: whole.left + left, bottom: whole.bottom - below, ..whole };
    let (width, height) =
        (whole.width() - 2.0 * margin, whole.height() - 2.0 * (margin + caption_room));
    let pixels_per_mm =
        (width / extent.width().max(1e-6)).min(height / extent.height().max(1e-6)).max(1e-9);
    let (middle_x, middle_y) = extent.centre();
    let (size, centre) = ((whole.width(), whole.height()), whole.centre());
    let around = |(x_mm, y_mm): (f64, f64), pixels_per_mm: f64| PlanView {
        centre_x: centre.0 - x_mm * pixels_per_mm,
        // The extent counts y to the back, pixels count downwards.
        centre_y: centre.1 + y_mm * pixels_per_mm,
        pixels_per_mm,
        size,
        whole: Window { left: 0.0, right: 0.0, bottom: 0.0, top: 0.0 },
    };
    let all = around((middle_x, middle_y), pixels_per_mm);
    let all = PlanView { whole: all.window(), ..all };
    let Some(window) = plan.window else { return (all, caption_room) };
    // The picture may have become wider or narrower since the window was chosen.
    let Window { left, right, bottom, top } = window.within(&all.whole);
    let scale = (size.0 / (right - left)).min(size.1 / (top - bottom));
    let near = around(((left + right) / 2.0, (bottom + top) / 2.0), scale.max(pixels_per_mm));
    (PlanView { whole: all.whole, ..near }, caption_room)
}

/// A plan half laid out.
struct Layout<'a> {
    plan: &'a BolsterPlan,
    style: &'a Style,
    measure: Measure<'a>,
    view: PlanView,
    whole: Frame,
    scene: Scene,
    taken: Taken,
}

impl Layout<'_> {
    /// Draws the bolster with its slots; returns the frame the captions go by.
    fn bolster(&mut self) -> Frame {
        let Some(size) = usable(self.plan.bolster) else {
            let everything = extent_mm(self.plan).map(|extent| {
                Frame::holding(extent.corners().map(|corner| self.view.pixel_at(corner)))
            });
            return everything.flatten().unwrap_or(self.whole.grown(-14.0));
        };
        let frame = self.view.rectangle(size);
        self.scene.area(&frame.corners(), self.style.surface);
        for slot in &self.plan.slots {
            let slot = self.view.pixels(slot);
            self.scene.line(&slot, 3.0, self.style.grid.mix(0.75));
        }
        self.scene.line(&frame.outline(), 1.8, self.style.ink);
        frame
    }

    fn die(&mut self) {
        let (Some(die), Some(corners)) = (self.plan.die, die_corners(self.plan)) else {
            return;
        };
        let corners = self.view.pixels(&corners);
        self.scene.area(&corners, self.style.paper.mix(0.86));
        let mut outline = corners;
        outline.extend(outline.first().copied());
        match usable(die.size) {
            Some(_) => self.scene.line(&outline, 1.6, self.style.ink),
            None => self.scene.dashed(&outline, (9.0, 6.0), 1.2, self.style.quiet_ink),
        }
        self.taken.lines.push(outline);
    }

    /// Holes in the bolster, seen through the die.
    fn openings(&mut self) {
        for opening in &self.plan.openings {
            let outline = self.view.pixels(opening);
            self.scene.area(&outline, self.style.grid.mix(0.35));
            self.scene.dashed(&outline, (2.5, 3.5), 1.2, self.style.quiet_ink);
        }
    }

    fn slide_and_points(&mut self) {
        let quiet = self.style.quiet_ink;
        if let Some(size) = usable(self.plan.slide) {
            let outline = self.view.rectangle(size).outline();
            self.scene.dashed(&outline, (7.0, 5.0), 1.0, quiet);
            self.taken.lines.push(outline);
        }
        let radius = (self.whole.width().min(self.whole.height()) * 0.035).clamp(3.0, 14.0);
        for point in self.view.pixels(&self.plan.suspension_points) {
            let circle = circle(point, radius);
            self.scene.dashed(&circle, (3.5, 3.5), 1.2, quiet);
            self.scene.disc(point, 1.6, quiet);
            self.taken.lines.push(circle);
        }
    }

    fn region(&mut self) {
        let mut region = self.view.pixels(&self.plan.allowed_region);
        region.extend(region.first().copied());
        for piece in self.whole.clip_polyline(&region) {
            self.scene.dashed(&piece, (6.0, 4.5), 1.5, self.style.ink);
            self.taken.lines.push(piece);
        }
    }

    fn centre_cross(&mut self) {
        let (x, y) = self.view.pixel_at((0.0, 0.0));
        for line in [[(x - 11.0, y), (x + 11.0, y)], [(x, y - 11.0), (x, y + 11.0)]] {
            self.scene.line(&line, 1.4, self.style.ink);
            self.taken.lines.push(line.to_vec());
        }
    }

    fn station_outlines(&mut self) {
        for station in &self.plan.stations {
            let (width, colour) = match station.activity {
                StationActivity::Working => (3.0, self.style.accent),
                StationActivity::Resting => (1.6, self.style.ink),
            };
            for outline in &station.outlines_mm {
                let line = self.view.pixels(outline);
                self.scene.line(&line, width, colour);
                self.taken.lines.push(line);
            }
        }
    }

    fn editing(&mut self) {
        if let Some(edit) = &self.plan.editing {
            let (scene, taken) = (&mut self.scene, &mut self.taken);
            editing::draw(edit, self.style, &self.view, self.whole, scene, taken, self.measure);
        }
    }

    /// Squares to take stations by; a locked one is crossed out.
    fn handles(&mut self) {
        const HALF_PX: f64 = 7.0;
        for (station, handle) in self.plan.stations.iter().zip(&self.plan.handles) {
            let Some(&at) = self.view.pixels(&[station.at_mm]).first() else { continue };
            let square = |half: f64| Frame::around(at, 2.0 * half, 2.0 * half);
            let (paper, accent, ink) = (self.style.paper, self.style.accent, self.style.ink);
            match handle {
                PlanHandle::Chosen => {
                    self.scene.area(&square(HALF_PX + 3.5).corners(), paper);
                    self.scene.area(&square(HALF_PX + 2.0).corners(), accent);
                }
                _ => self.scene.area(&square(HALF_PX).corners(), paper),
            }
            let frame = square(HALF_PX);
            self.scene.line(&frame.outline(), 1.8, ink);
            if *handle == PlanHandle::Locked {
                let [a, b, c, d] = frame.corners();
                self.scene.line(&[a, c], 1.8, ink);
                self.scene.line(&[b, d], 1.8, ink);
            }
            self.taken.frames.push(square(HALF_PX + 4.0));
        }
    }

    fn dimensions(&mut self, ground: Frame, caption_room: f64) {
        let (scene, taken) = (&mut self.scene, &mut self.taken);
        let around = (self.whole, ground, ground.bottom + caption_room * 1.4);
        let dimensions = &self.plan.dimensions;
        dimensions::draw(dimensions, self.style, &self.view, around, scene, taken, self.measure);
    }

    /// A line with words where the strip ends.
    fn strip_end(&mut self) {
        let line = self.view.pixels(&self.plan.strip_end);
        let Some(&end) = line.first() else { return };
        self.scene.dashed(&line, (10.0, 3.0), 2.0, self.style.accent);
        self.taken.lines.push(line);
        let size = self.style.small_size();
        self.caption(tr("strip ends here"), (end.0, (end.1 + size).min(self.whole.bottom - size)));
    }

    fn load_path(&mut self) {
        let accent = self.style.accent;
        let path = self.view.pixels(&self.plan.load_path);
        for piece in self.whole.clip_polyline(&path) {
            self.scene.line(&piece, 3.6, self.style.paper.mix(0.8));
            self.scene.line(&piece, 1.8, accent);
            self.taken.lines.push(piece);
        }
        let now = self.plan.load_now.as_ref().map(|load| load.at_mm);
        for dot in self.view.pixels(now.as_slice()) {
            self.scene.disc(dot, 7.5, self.style.paper);
            self.scene.disc(dot, 6.0, accent);
            self.taken.frames.push(Frame::around(dot, 13.0, 13.0));
        }
    }

    /// Above the bolster the feed or what is missing, below it where the operator stands.
    fn captions(&mut self, ground: Frame, caption_room: f64) {
        if caption_room == 0.0 {
            return;
        }
        let size = self.style.small_size();
        let below = (ground.bottom + size * 1.15).min(self.whole.bottom - size * 0.7);
        self.caption(tr("front (operator)"), (ground.centre().0, below));
        let above = (ground.top - size * 1.15).max(self.whole.top + size * 0.7);
        if let Some(direction) = self.plan.feed {
            self.feed(direction, (ground.left, above));
        }
        let has_die_size = self.plan.die.is_none_or(|die| usable(die.size).is_some());
        let missing = match (usable(self.plan.bolster).is_some(), has_die_size) {
            (true, true) => return,
            (true, false) => tr("die size not entered"),
            (false, true) => tr("bolster size not entered"),
            (false, false) => tr("bolster and die size not entered"),
        };
        let width = (self.measure)(missing, size, Weight::Regular);
        self.caption(missing, (ground.right - width / 2.0, above));
    }

    fn feed(&mut self, direction: FeedDirection, (left, y): Point) {
        let size = self.style.small_size();
        let text = tr("strip feeds");
        let width = (self.measure)(text, size, Weight::Regular);
        let arrow = size * 1.5;
        self.caption(text, (left + width / 2.0, y));
        let middle = (left + width + 8.0 + arrow / 2.0, y);
        let (dx, dy) = match direction {
            FeedDirection::Rightwards => (1.0, 0.0),
            FeedDirection::Leftwards => (-1.0, 0.0),
            FeedDirection::Backwards => (0.0, -1.0),
            FeedDirection::Frontwards => (0.0, 1.0),
        };
        // Along the arrow and across it, from its middle.
        let at = |along: f64, across: f64| {
            (middle.0 + along * dx - across * dy, middle.1 + along * dy + across * dx)
        };
        let half = arrow / 2.0;
        let ink = self.style.quiet_ink;
        self.scene.line(&[at(-half, 0.0), at(half, 0.0)], 1.5, ink);
        let head = [at(half - 4.0, -3.5), at(half, 0.0), at(half - 4.0, 3.5)];
        self.scene.line(&head, 1.5, ink);
        self.taken.frames.push(Frame::around(middle, arrow, arrow));
    }

    /// Names the dashed outlines, where there is room on all sides.
    fn outline_names(&mut self) {
        let size = self.style.small_size();
        let region = Frame::holding(self.view.pixels(&self.plan.allowed_region));
        if let Some(region) = region {
            let width = (self.measure)(tr("allowed"), size, Weight::Regular) + 4.0;
            let [_, _, (right, bottom), (left, _)] = region.corners();
            let candidates = [(right, bottom), (left, bottom), (right, region.top)]
                .map(|corner| beside(corner, width, size * 1.2, 0.0))
                .concat();
            self.quiet_name(tr("allowed"), candidates);
        }
        if let Some(slide) = usable(self.plan.slide).map(|size| self.view.rectangle(size)) {
            let width = (self.measure)(tr("slide"), size, Weight::Regular) + 4.0;
            let inside = slide.grown(-5.0);
            let y = inside.bottom - size * 0.6;
            let candidates = [inside.left + width / 2.0, inside.right - width / 2.0]
                .map(|x| Frame::around((x, y), width, size * 1.2));
            self.quiet_name(tr("slide"), candidates.to_vec());
        }
    }

    fn quiet_name(&mut self, text: &str, candidates: Vec<Frame>) {
        let size = self.style.small_size();
        if let Some(frame) = self.taken.best(candidates, &self.whole, 0) {
            self.put(text, frame, size, Weight::Regular, self.style.quiet_ink);
        }
    }

    fn load_words(&mut self) {
        let Some(load) = &self.plan.load_now else {
            return;
        };
        let Some(dot) = self.view.pixels(&[load.at_mm]).first().copied() else {
            return;
        };
        let size = self.style.font_size;
        let width = (self.measure)(&load.words, size, Weight::Bold) + 6.0;
        let candidates = beside(dot, width, size * 1.3, 10.0);
        let frame = self.taken.best(candidates, &self.whole, usize::MAX);
        if let Some(frame) = frame {
            // A ground of paper keeps the words legible over the lines they may have to cross.
            self.scene.area(&frame.corners(), self.style.paper.mix(0.85));
            self.put(&load.words, frame, size, Weight::Bold, self.style.accent);
        }
    }

    fn station_numbers(&mut self) {
        let size = self.style.small_size();
        for station in &self.plan.stations {
            let points = station.outlines_mm.iter().flatten().copied();
            let outline = self.view.pixels(&points.chain([station.at_mm]).collect::<Vec<_>>());
            let Some(frame) = Frame::holding(outline) else {
                continue;
            };
            let (weight, colour) = match station.activity {
                StationActivity::Working => (Weight::Bold, self.style.accent),
                StationActivity::Resting => (Weight::Regular, self.style.ink),
            };
            let width = (self.measure)(&station.number, size, weight) + 3.0;
            let height = size * 1.15;
            // A flat outline is named at its end, any other below or above; then farther out.
            let (x, y) = frame.centre();
            let is_flat = frame.width() > 2.0 * frame.height();
            let candidates = (0..3).flat_map(|ring| {
                let gap = 4.0 + f64::from(ring) * height * 0.6;
                let across = (frame.width() + width) / 2.0 + gap;
                let up = (frame.height() + height) / 2.0 + gap;
                let ends = [(x + across, y), (x - across, y)];
                let sides = [(x, y + up), (x, y - up)];
                let corners = [(x + across, y + up), (x - across, y + up)];
                match is_flat {
                    true => [ends, sides, corners],
                    false => [sides, ends, corners],
                }
                .concat()
                .into_iter()
                .map(|centre| Frame::around(centre, width, height))
            });
            if let Some(place) = self.taken.best(candidates, &self.whole, 2) {
                self.put(&station.number, place, size, weight, colour);
            }
        }
    }

    fn caption(&mut self, text: &str, centre: Point) {
        let size = self.style.small_size();
        let width = (self.measure)(text, size, Weight::Regular);
        let frame = Frame::around(centre, width, size * 1.15);
        if self.whole.contains(&frame) && self.taken.is_clear_of_frames(&frame) {
            self.put(text, frame, size, Weight::Regular, self.style.quiet_ink);
        }
    }

    fn put(&mut self, text: &str, frame: Frame, size: f64, weight: Weight, colour: RGBColor) {
        self.taken.frames.push(frame);
        self.scene.text(Label { text: text.to_owned(), frame, size, weight, colour });
    }
}

fn circle((x, y): Point, radius: f64) -> Vec<Point> {
    (0..=32)
        .map(|i| {
            let angle = f64::from(i) / 32.0 * std::f64::consts::TAU;
            (x + radius * angle.cos(), y + radius * angle.sin())
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::bolster_plan::{LoadCentre, PlanDie, PlanStation};
    use crate::text::estimated_width;

    fn plan() -> BolsterPlan {
        let station = |number: &str, x: f64| PlanStation {
            number: number.to_owned(),
            at_mm: (x, 0.0),
            outlines_mm: vec![vec![(x, -60.0), (x + 40.0, -60.0), (x, 60.0), (x, -60.0)]],
            activity: StationActivity::Working,
        };
        BolsterPlan {
            bolster: Some(PlanSize { width_mm: 1600.0, depth_mm: 900.0 }),
            slide: Some(PlanSize { width_mm: 1500.0, depth_mm: 800.0 }),
            suspension_points: vec![(-450.0, 0.0), (450.0, 0.0)],
            die: Some(PlanDie {
                size: Some(PlanSize { width_mm: 900.0, depth_mm: 450.0 }),
                shift_x_mm: 18.0,
                shift_y_mm: 0.0,
                turn_deg: 0.0,
            }),
            stations: vec![station("1", -240.0), station("2", -120.0), station("3", 120.0)],
            load_path: vec![(100.0, 0.0), (-128.0, 4.0)],
            load_now: Some(LoadCentre { at_mm: (-128.0, 4.0), words: "128 mm left".to_owned() }),
            allowed_region: vec![(-150.0, -60.0), (150.0, -60.0), (150.0, 60.0), (-150.0, 60.0)],
            feed: Some(FeedDirection::Rightwards),
            editing: None,
            ..BolsterPlan::default()
        }
    }

    fn laid_out(plan: &BolsterPlan, size: (f64, f64)) -> (Scene, PlanView) {
        lay_out(plan, &Style::paper(), size, &estimated_width)
    }

    #[test]
    fn the_view_maps_invert_each_other() {
        let (_, view) = laid_out(&plan(), (490.0, 370.0));
        for place in [(0.0, 0.0), (-800.0, 450.0), (12.5, -33.0)] {
            let (x, y) = view.place_at(view.pixel_at(place));
            assert!((x - place.0).abs() < 1e-9 && (y - place.1).abs() < 1e-9);
        }
        let (front, back) = (view.pixel_at((0.0, -1.0)), view.pixel_at((0.0, 1.0)));
        assert!(front.1 > back.1, "the operator stands below the picture");
    }

    #[test]
    fn the_whole_bolster_is_in_view() {
        for size in [(490.0, 370.0), (360.0, 280.0), (200.0, 600.0)] {
            let (_, view) = laid_out(&plan(), size);
            let (left, top) = view.pixel_at((-800.0, 450.0));
            let (right, bottom) = view.pixel_at((800.0, -450.0));
            assert!(left >= 0.0 && top >= 0.0 && right <= size.0 && bottom <= size.1);
        }
    }

    #[test]
    fn labels_do_not_overlap_wherever_the_die_is_shifted() {
        for size in [(490.0, 370.0), (360.0, 280.0)] {
            for shift in -20..=20 {
                let mut plan = plan();
                let shift = f64::from(shift) * 17.0;
                plan.die.as_mut().unwrap().shift_x_mm = shift;
                for station in &mut plan.stations {
                    station.at_mm.0 += shift;
                    station.outlines_mm[0].iter_mut().for_each(|p| p.0 += shift);
                }
                plan.load_now.as_mut().unwrap().at_mm.0 += shift;
                let (scene, _) = laid_out(&plan, size);
                let labels: Vec<&Label> = scene.labels().collect();
                for (i, a) in labels.iter().enumerate() {
                    for b in &labels[..i] {
                        assert!(!a.frame.overlaps(&b.frame), "{shift}: {a:?} {b:?}");
                    }
                }
                assert!(labels.iter().any(|label| label.text == "128 mm left"));
            }
        }
    }

    #[test]
    fn missing_sizes_are_named() {
        let mut plan = plan();
        plan.bolster = None;
        plan.die = plan.die.map(|die| PlanDie { size: None, ..die });
        let (scene, _) = laid_out(&plan, (490.0, 370.0));
        let missing = "bolster and die size not entered";
        assert!(scene.labels().any(|label| label.text == missing));
    }

    #[test]
    fn a_die_turned_a_quarter_shows_its_width_from_front_to_back() {
        let mut plan = plan();
        plan.die.as_mut().unwrap().turn_deg = 90.0;
        let frame = Frame::holding(die_corners(&plan).unwrap()).unwrap();
        assert!((frame.width() - 450.0).abs() < 1e-9 && (frame.height() - 900.0).abs() < 1e-9);
    }

    #[test]
    fn a_part_looked_at_closely_stays_where_it_is_while_the_die_moves() {
        let mut plan = plan();
        let (_, all) = laid_out(&plan, (490.0, 370.0));
        plan.window = all.sight().moved((100.0, 200.0), (100.0, 200.0), 4.0);
        let (_, near) = laid_out(&plan, (490.0, 370.0));
        assert!((near.pixels_per_mm - 4.0 * all.pixels_per_mm).abs() < 1e-9);
        let (was, is) = (all.place_at((100.0, 200.0)), near.place_at((100.0, 200.0)));
        assert!((was.0 - is.0).abs() < 1e-9 && (was.1 - is.1).abs() < 1e-9, "{was:?} {is:?}");
        plan.die.as_mut().unwrap().shift_x_mm = 55.0;
        let (_, moved) = laid_out(&plan, (490.0, 370.0));
        assert_eq!(moved, near);
        // In a picture of another form everything that was in view still is.
        let (_, other) = laid_out(&plan, (700.0, 300.0));
        let (left, top) = other.pixel_at((near.window().left, near.window().top));
        assert!(left >= -1e-6 && top >= -1e-6);
    }

    #[test]
    fn handles_stand_on_the_stations_and_numbers_keep_clear_of_them() {
        let mut plan = plan();
        plan.handles = vec![PlanHandle::Free, PlanHandle::Chosen, PlanHandle::Locked];
        let (scene, view) = laid_out(&plan, (490.0, 370.0));
        for station in &plan.stations {
            let at = view.pixel_at(station.at_mm);
            let handle = Frame::around(at, 14.0, 14.0);
            assert!(scene.labels().all(|label| !label.frame.overlaps(&handle)), "{at:?}");
        }
    }
}
