//! Single strokes of a recording, and where in each of them the slide is.

use crate::{
    Mapping, Place, Problem, Samples, Wishes,
    predicted::Predicted,
    signal::{Mended, mend},
};
use evenstroke_job::Job;
use press_load::{order, press::SlideMotion};
use std::f64::consts::{PI, TAU};

/// Most strokes that are looked at.
pub const MOST_STROKES: usize = 20_000;
/// Steps of a turn in which BDC is looked for first.
const STEPS: usize = 1_440;
/// Samples of a stroke that are looked at to find its BDC.
const ALIGNED_BY: usize = 400;
/// Part of its typical peak from which on a load begins a stroke, and below which it may end one (our own
/// form).
const BEGINS: f64 = 0.25;

/// One stroke.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ReadStroke {
    /// First sample.
    pub start: usize,
    /// Behind the last sample.
    pub end: usize,
    /// Angle or time of BDC; where heights were read the number of the sample.
    bdc: f64,
}

/// A recording made fit and parted into strokes.
#[derive(Clone, Debug)]
pub struct Recording {
    samples: Samples,
    place: Place,
    motion: Option<SlideMotion>,
    /// Radians of the drive for one unit of place.
    turning: f64,
    /// Height in metres that was read at BDC.
    height_zero: f64,
    /// Height of the slide at each sample, in metres.
    heights: Vec<f32>,
    /// The strokes that are whole around the load.
    pub strokes: Vec<ReadStroke>,
    /// Strokes that are not.
    pub left_out: usize,
    /// What was done to each channel.
    pub mended: Vec<Mended>,
    /// Where BDC is, in the unit of the place: of the first stroke.
    pub bdc: f64,
    /// Whether that was found by laying the reading over the prediction.
    pub bdc_found: bool,
    /// Strokes per minute.
    pub speed_spm: Option<f64>,
    /// What was done and taken for granted.
    pub told: Vec<String>,
}

impl Recording {
    /// Makes samples fit for a job.
    ///
    /// # Errors
    ///
    /// [`Problem`] where no stroke is whole, or the job does not say how the slide moves.
    pub fn new(
        mut samples: Samples,
        mapping: &Mapping,
        wishes: &Wishes,
        job: &Job,
        predicted: &Predicted,
    ) -> Result<Self, Problem> {
        if samples.place.len() < 20 {
            return Err(Problem::new(format!(
                "must have at least 20 samples, but has {}",
                samples.place.len()
            )));
        }
        if !(predicted.touch > 0.0) {
            return Err(Problem::new("the job has no work yet to compare with"));
        }
        // From here on all is in seconds, degrees and millimetres.
        let factor = mapping.place_factor()?;
        let wishes = &Wishes { bdc: wishes.bdc.map(|bdc| bdc * factor), ..wishes.clone() };
        let mended = samples.channels.iter_mut().map(|one| mend(one, wishes.keep_spikes)).collect();
        let mut recording = Self {
            samples,
            place: mapping.place,
            motion: job.press.drive.motion(),
            turning: 1.0,
            height_zero: 0.0,
            heights: Vec::new(),
            strokes: Vec::new(),
            left_out: 0,
            mended,
            bdc: 0.0,
            bdc_found: wishes.bdc.is_none(),
            speed_spm: wishes.speed_spm.or(job.press.speed.map(|speed| speed.per_minute())),
            told: mapping.told.clone(),
        };
        recording.tell_mended();
        if recording.place != Place::Height && recording.motion.is_none() {
            return Err(Problem::new(format!(
                "{} becomes slide height by the press's drive: enter its connecting rod or motion, or name a column of slide height",
                recording.place.label()
            )));
        }
        match recording.place {
            Place::Angle => recording.by_angle(wishes, job, predicted)?,
            Place::Time | Place::Count => recording.by_time(wishes, job, predicted)?,
            Place::Height => recording.by_height(wishes)?,
        }
        recording.find_heights(job, predicted);
        recording.keep_whole(predicted);
        if recording.strokes.is_empty() {
            return Err(Problem::new(
                "no stroke is whole: each must be there from before the die first touches until BDC",
            ));
        }
        recording.take_drift(predicted);
        recording.bdc /= factor;
        Ok(recording)
    }

    fn tell_mended(&mut self) {
        for (index, mended) in self.mended.iter().enumerate() {
            if mended.inverted {
                self.told.push(format!("channel {} was read upside down and turned", index + 1));
            }
            if mended.spikes > 0 {
                let stood_out = match mended.spikes {
                    1 => "1 single sample stood out and was".to_owned(),
                    count => format!("{count} single samples stood out and were"),
                };
                self.told.push(format!(
                    "channel {}: {stood_out} replaced by the middle of five neighbours",
                    index + 1
                ));
            }
        }
    }

    /// How many channels there are.
    pub fn channels(&self) -> usize {
        self.samples.channels.len()
    }

    /// Force of a channel in newtons.
    pub fn seen(&self, channel: usize, index: usize) -> f64 {
        1e3 * f64::from(self.samples.channels[channel][index])
    }

    /// Force of the whole press in newtons.
    pub fn total(&self, index: usize) -> f64 {
        (0..self.channels()).map(|channel| self.seen(channel, index)).sum()
    }

    /// How far the drive is past BDC, in radians.
    fn angle(&self, index: usize, bdc: f64) -> f64 {
        self.turning * (self.samples.place[index] - bdc)
    }

    /// Height of the drive, in metres, and whether it goes down.
    fn drive(&self, index: usize, bdc: f64) -> (f64, bool) {
        match &self.motion {
            Some(motion) if self.place != Place::Height => {
                let angle = self.angle(index, bdc);
                (motion.height_at(angle.abs().min(PI)).metres(), angle < 0.0)
            }
            _ => (1e-3 * self.samples.place[index] - self.height_zero, (index as f64) < bdc),
        }
    }

    /// Height of the slide at a sample of a stroke, in metres, and whether it goes down.
    pub fn slide(&self, stroke: &ReadStroke, index: usize) -> (f64, bool) {
        let down = match self.place {
            Place::Height => (index as f64) < stroke.bdc,
            _ => self.samples.place[index] < stroke.bdc,
        };
        (f64::from(self.heights[index]), down)
    }

    /// Works out where the slide is at each sample, which many ask for.
    fn find_heights(&mut self, job: &Job, predicted: &Predicted) {
        let mut heights = vec![0.0_f32; self.samples.place.len()];
        for stroke in &self.strokes {
            for (nth, height) in heights[stroke.start..stroke.end].iter_mut().enumerate() {
                let index = stroke.start + nth;
                *height = self.slide_by(job, predicted, stroke.bdc, index).0 as f32;
            }
        }
        self.heights = heights;
    }

    fn slide_by(&self, job: &Job, predicted: &Predicted, bdc: f64, index: usize) -> (f64, bool) {
        let (drive, down) = self.drive(index, bdc);
        if self.place == Place::Height {
            return (drive, down);
        }
        (predicted.slide_at(job, drive, self.total(index)), down)
    }

    /// Prediction over a turn from TDC through BDC, in steps.
    fn turn(&self, predicted: &Predicted) -> Vec<f64> {
        let height = |angle: f64| {
            self.motion.as_ref().map_or(0.0, |motion| motion.height_at(angle.abs()).metres())
        };
        (0..STEPS)
            .map(|step| {
                let angle = TAU * step as f64 / STEPS as f64 - PI;
                predicted.force(height(angle), angle < 0.0)
            })
            .collect()
    }

    /// How badly a stroke fits with BDC at `bdc`: the part of its squares that the prediction, scaled
    /// to fit, leaves over.
    fn misfit(&self, job: &Job, predicted: &Predicted, some: &[usize], bdc: f64) -> f64 {
        let (mut both, mut read, mut said) = (0.0, 0.0, 0.0);
        for &index in some {
            let (height, down) = self.slide_by(job, predicted, bdc, index);
            let (r, p) = (self.total(index), predicted.force(height, down));
            (both, read, said) = (both + r * p, read + r * r, said + p * p);
        }
        if both > 0.0 { 1.0 - both * both / (read * said) } else { 1.0 }
    }

    /// The BDC around `near` that fits best.
    fn refine(
        &self,
        job: &Job,
        predicted: &Predicted,
        some: &[usize],
        near: f64,
        reach: f64,
    ) -> f64 {
        let of = |bdc: f64| self.misfit(job, predicted, some, bdc);
        // The misfit has many small steps: the best of some first, then halving around it.
        let steps = 24;
        let at = |step: usize| near + reach * (2.0 * step as f64 / f64::from(steps) - 1.0);
        let mut best = (f64::INFINITY, near);
        for step in 0..=steps as usize {
            let value = of(at(step));
            if value < best.0 {
                best = (value, at(step));
            }
        }
        let mut width = 2.0 * reach / f64::from(steps);
        while width > 1e-4 * reach {
            width *= 0.5;
            for bdc in [best.1 - width, best.1 + width] {
                let value = of(bdc);
                if value < best.0 {
                    best = (value, bdc);
                }
            }
        }
        best.1
    }

    /// Some of the samples in time order within an angle of BDC.
    fn around(&self, bdc: f64, angle: f64, most: usize) -> Vec<usize> {
        let at = |time: f64| self.samples.place.partition_point(|&place| place < time);
        let (from, to) = (at(bdc - angle / self.turning), at(bdc + angle / self.turning));
        (from..to).step_by((to - from).div_ceil(most).max(1)).collect()
    }

    /// Angle within which the die works, with some more.
    fn working_angle(&self, predicted: &Predicted) -> f64 {
        let touch = press_load::Length::from_metres(predicted.touch);
        let angle = self.motion.as_ref().map_or(PI, |motion| motion.angle_at(touch));
        (1.25 * angle + 0.05).min(PI)
    }

    fn by_angle(
        &mut self,
        wishes: &Wishes,
        job: &Job,
        predicted: &Predicted,
    ) -> Result<(), Problem> {
        self.turning = PI / 180.0;
        // Told modulo a turn: made to go on.
        let mut turns = 0.0;
        let mut last = self.samples.place[0];
        for angle in &mut self.samples.place {
            let jump = *angle - last;
            last = *angle;
            turns -= (jump / 360.0).round() * 360.0;
            *angle += turns;
        }
        let place = &mut self.samples.place;
        let whole = place[place.len() - 1] - place[0];
        if whole.abs() < 10.0 {
            return Err(Problem::new(format!(
                "crank angle must turn by at least 10°, but turns by {whole:.1}°"
            )));
        }
        let backwards = whole < 0.0;
        if backwards {
            place.iter_mut().for_each(|angle| *angle = -*angle);
            self.told
                .push("the crank angle falls as the press turns and was turned round".to_owned());
        }
        let bdc = match wishes.bdc {
            Some(bdc) => {
                if backwards {
                    -bdc
                } else {
                    bdc
                }
            }
            None => {
                let (mut sums, mut counts) = (vec![0.0; STEPS], vec![0_u32; STEPS]);
                for index in 0..self.samples.place.len() {
                    let part = self.samples.place[index].rem_euclid(360.0) / 360.0;
                    let step = ((part * STEPS as f64) as usize).min(STEPS - 1);
                    sums[step] += self.total(index);
                    counts[step] += 1;
                }
                let said = self.turn(predicted);
                let mut best = (f64::INFINITY, 0);
                for bdc in 0..STEPS {
                    let (mut both, mut read, mut all) = (0.0, 0.0, 0.0);
                    for step in (0..STEPS).filter(|&step| counts[step] > 0) {
                        let r = sums[step] / f64::from(counts[step]);
                        let p = said[(step + STEPS + STEPS / 2 - bdc) % STEPS];
                        (both, read, all) = (both + r * p, read + r * r, all + p * p);
                    }
                    let misfit = if both > 0.0 { 1.0 - both * both / (read * all) } else { 1.0 };
                    if misfit < best.0 {
                        best = (misfit, bdc);
                    }
                }
                let near = 360.0 * best.1 as f64 / STEPS as f64;
                let wide = self.working_angle(predicted);
                let some: Vec<usize> = (0..self.samples.place.len())
                    .filter(|&index| {
                        let off =
                            (self.samples.place[index] - near + 180.0).rem_euclid(360.0) - 180.0;
                        off.abs().to_radians() < wide
                    })
                    .collect();
                // Some thousands do to find the place of one encoder.
                let some: Vec<usize> =
                    some.iter().copied().step_by(some.len().div_ceil(6_000).max(1)).collect();
                // All turns are laid over each other for it.
                let kept = std::mem::take(&mut self.samples.place);
                self.samples.place = kept
                    .iter()
                    .map(|angle| (angle - near + 180.0).rem_euclid(360.0) + near - 180.0)
                    .collect();
                let bdc = self.refine(job, predicted, &some, near, 0.75);
                self.samples.place = kept;
                bdc
            }
        };
        self.bdc = if backwards { -bdc } else { bdc }.rem_euclid(360.0);
        // A new stroke begins where the drive passes TDC, or where samples were skipped.
        let turn = |angle: f64| ((angle - bdc) / 360.0 + 0.5).floor();
        let mut start = 0;
        let count = self.samples.place.len();
        for index in 1..=count {
            let this = turn(self.samples.place[start]);
            if index == count || turn(self.samples.place[index]) != this {
                self.push(ReadStroke { start, end: index, bdc: bdc + 360.0 * this });
                start = index;
            }
        }
        Ok(())
    }

    fn push(&mut self, stroke: ReadStroke) {
        if self.strokes.len() < MOST_STROKES {
            self.strokes.push(stroke);
        } else {
            self.left_out += 1;
        }
    }

    fn by_time(
        &mut self,
        wishes: &Wishes,
        job: &Job,
        predicted: &Predicted,
    ) -> Result<(), Problem> {
        let Some(mut speed) = self.speed_spm.filter(|speed| *speed > 0.0 && speed.is_finite())
        else {
            return Err(Problem::new(
                "time becomes slide height by the speed: enter the press's strokes per minute, or say them",
            ));
        };
        let count = self.samples.place.len();
        let whole = self.samples.place[count - 1] - self.samples.place[0];
        let mut loads = self.loads(60.0 / speed)?;
        let begins: Vec<f64> = loads.iter().map(|&(first, _)| self.samples.place[first]).collect();
        let apart: Vec<f64> = begins.windows(2).map(|pair| pair[1] - pair[0]).collect();
        if apart.len() >= 2 && wishes.speed_spm.is_none() {
            let sorted = order::rising_values(&apart);
            let (middle, low, high) =
                (sorted[sorted.len() / 2], sorted[0], sorted[sorted.len() - 1]);
            let measured = 60.0 / middle;
            let steady = high - low < 0.05 * middle;
            if steady && (measured / speed - 1.0).abs() < 0.25 {
                if (measured / speed - 1.0).abs() > 0.01 {
                    self.told.push(format!(
                        "the strokes follow each other at {measured:.1} a minute, the job says {speed:.1}: the former is taken"
                    ));
                }
                speed = measured;
            } else if steady {
                self.told.push(format!(
                    "the strokes follow each other at {measured:.1} a minute: taken for single strokes at {speed:.1}"
                ));
            }
        }
        self.speed_spm = Some(speed);
        self.turning = TAU * speed / 60.0;
        if whole * speed / 60.0 < 0.02 {
            return Err(Problem::new(format!(
                "must last for a good part of a stroke, but lasts for {whole} s"
            )));
        }
        // BDC is looked for in those strokes alone that are kept.
        self.left_out += loads.len().saturating_sub(MOST_STROKES);
        loads.truncate(MOST_STROKES);
        let period = 60.0 / speed;
        let wide = self.working_angle(predicted);
        let mut after_begin = None;
        for (nth, &(first, last)) in loads.iter().enumerate() {
            let begin = self.samples.place[first];
            let bdc = match (wishes.bdc, after_begin) {
                // The user says where the first one is; the others follow by their loads.
                (Some(bdc), None) => bdc,
                (_, Some(after)) => {
                    let near = begin + after;
                    let some = self.around(near, wide, ALIGNED_BY);
                    if wishes.bdc.is_some() {
                        near
                    } else {
                        self.refine(job, predicted, &some, near, period / 180.0)
                    }
                }
                (None, None) => {
                    // The first load is looked at from every side.
                    let reach = (self.samples.place[last] - begin) / 2.0 + period / 8.0;
                    let middle = begin + reach - period / 16.0;
                    let some = self.around(middle, PI, 4 * ALIGNED_BY);
                    let steps = 240_u32;
                    let mut best = (f64::INFINITY, begin);
                    for step in 0..=steps {
                        let bdc = middle + reach * (2.0 * f64::from(step) / f64::from(steps) - 1.0);
                        let misfit = self.misfit(job, predicted, &some, bdc);
                        if misfit < best.0 {
                            best = (misfit, bdc);
                        }
                    }
                    let some = self.around(best.1, wide, 4 * ALIGNED_BY);
                    self.refine(job, predicted, &some, best.1, 2.0 * reach / f64::from(steps))
                }
            };
            after_begin.get_or_insert(bdc - begin);
            if nth == 0 {
                self.bdc = bdc;
            }
            // Half a stroke to either side, but not into the next load.
            let from = self.samples.place.partition_point(|&time| time < bdc - 0.5 * period);
            let to = self.samples.place.partition_point(|&time| time < bdc + 0.5 * period);
            let before = self.strokes.last().map_or(0, |stroke| stroke.end);
            self.push(ReadStroke { start: from.max(before), end: to.max(before), bdc });
        }
        Ok(())
    }

    /// First and last sample of each load: a load ends where the press carries little for an eighth of
    /// a stroke.
    fn loads(&self, period: f64) -> Result<Vec<(usize, usize)>, Problem> {
        let place = &self.samples.place;
        // The highest of each stroke's length; their middle is not moved by a wild sample.
        let mut peaks = vec![0.0_f64];
        let mut until = place[0] + period;
        for (index, &time) in place.iter().enumerate() {
            if time >= until {
                peaks.push(0.0);
                until = (time + period).max(until + period);
                if peaks.len() > 10 * MOST_STROKES {
                    return Err(Problem::new(format!(
                        "must hold at most {} strokes, but lasts for more; is time in the right unit?",
                        10 * MOST_STROKES
                    )));
                }
            }
            let last = peaks.len() - 1;
            peaks[last] = peaks[last].max(self.total(index));
        }
        let sorted = order::rising_values(&peaks);
        let highest = sorted[sorted.len() - 1];
        let loaded: Vec<f64> = sorted.into_iter().filter(|peak| *peak > 0.2 * highest).collect();
        let typical = loaded.get(loaded.len() / 2).copied().unwrap_or(0.0);
        let mut found: Vec<(usize, usize)> = Vec::new();
        for (index, time) in place.iter().enumerate() {
            if self.total(index) < BEGINS * typical || typical <= 0.0 {
                continue;
            }
            match found.last_mut() {
                Some((_, last)) if time - place[*last] < period / 8.0 => *last = index,
                _ => found.push((index, index)),
            }
        }
        if found.is_empty() {
            return Err(Problem::new("no load was found in any channel"));
        }
        Ok(found)
    }

    fn by_height(&mut self, wishes: &Wishes) -> Result<(), Problem> {
        let (mut low, mut high, mut weighted, mut weight) =
            (f64::INFINITY, f64::NEG_INFINITY, 0.0, 0.0);
        for index in 0..self.samples.place.len() {
            let height = self.samples.place[index];
            (low, high) = (low.min(height), high.max(height));
            let force = self.total(index).max(0.0);
            (weighted, weight) = (weighted + force * height, weight + force);
        }
        if !(high - low > 0.1) {
            return Err(Problem::new(format!(
                "slide height must change by at least 0.1 mm, but changes by {} mm",
                high - low
            )));
        }
        let mut sign = 1.0;
        if weight > 0.0 && weighted / weight > 0.5 * (low + high) {
            sign = -1.0;
            self.samples.place.iter_mut().for_each(|height| *height = -*height);
            self.told.push("the height falls as the slide rises and was turned round".to_owned());
        }
        // A turn of the slide is one that it goes on from by a fifth of its way.
        let far = 0.2 * (high - low);
        let place = &self.samples.place;
        let (mut turn, mut rising) = (0, false);
        let (mut start, mut bottom) = (0, 0);
        let mut strokes = Vec::new();
        for index in 1..place.len() {
            if rising {
                if place[index] > place[turn] {
                    turn = index;
                } else if place[index] < place[turn] - far {
                    strokes.push(ReadStroke { start, end: turn + 1, bdc: bottom as f64 });
                    (start, rising, turn) = (turn + 1, false, index);
                }
            } else if place[index] < place[turn] {
                turn = index;
            } else if place[index] > place[turn] + far {
                (bottom, rising, turn) = (turn, true, index);
            }
        }
        let end = place.len();
        strokes.push(ReadStroke { start, end, bdc: if rising { bottom } else { turn } as f64 });
        let lowest: Vec<f64> = strokes.iter().map(|stroke| place[stroke.bdc as usize]).collect();
        let sorted = order::rising_values(&lowest);
        let zero = wishes.bdc.map_or(sorted[sorted.len() / 2], |bdc| sign * bdc);
        self.bdc = sign * zero;
        self.height_zero = 1e-3 * zero;
        strokes.into_iter().for_each(|stroke| self.push(stroke));
        self.speed_spm = None;
        Ok(())
    }

    /// Keeps the strokes that are there from before first touch to BDC.
    fn keep_whole(&mut self, predicted: &Predicted) {
        let strokes = std::mem::take(&mut self.strokes);
        let (mut whole, mut empty) = (Vec::new(), 0);
        let highest = |stroke: &ReadStroke| {
            (stroke.start..stroke.end).map(|index| self.total(index)).fold(0.0, f64::max)
        };
        let peaks: Vec<f64> = strokes.iter().map(highest).collect();
        let most = peaks.iter().copied().fold(0.0, f64::max);
        let all = strokes.len();
        for (stroke, peak) in strokes.into_iter().zip(peaks) {
            let (mut top, mut bottom) = (0.0_f64, f64::INFINITY);
            for index in stroke.start..stroke.end {
                let (height, down) = self.slide(&stroke, index);
                if down {
                    top = top.max(height);
                }
                bottom = bottom.min(height);
            }
            if peak < 0.02 * most {
                empty += 1;
            } else if top >= predicted.touch && bottom < 0.1 * predicted.touch {
                whole.push(stroke);
            }
        }
        let left_out = all - whole.len() - empty;
        self.left_out += left_out;
        if empty > 0 {
            self.told.push(match empty {
                1 => "one stroke without load was left out".to_owned(),
                _ => format!("{empty} strokes without load were left out"),
            });
        }
        if left_out > 0 && !whole.is_empty() {
            self.told.push(match left_out {
                1 => "one stroke is not whole and was left out".to_owned(),
                _ => format!("{left_out} strokes are not whole and were left out"),
            });
        }
        self.strokes = whole;
    }

    /// Takes off each stroke's own level without load, going evenly from stroke to stroke.
    fn take_drift(&mut self, predicted: &Predicted) {
        let clear = predicted.touch + 3e-3;
        let mut without_load = true;
        for channel in 0..self.channels() {
            let mut levels: Vec<(f64, f64)> = Vec::new();
            for stroke in &self.strokes {
                let free = |index: &usize| self.slide(stroke, *index).0 > clear;
                let count = (stroke.start..stroke.end).filter(free).count();
                if count < 8 {
                    continue;
                }
                let some = (stroke.start..stroke.end).filter(free).step_by(count.div_ceil(200));
                let values: Vec<f64> =
                    some.map(|index| f64::from(self.samples.channels[channel][index])).collect();
                let sorted = order::rising_values(&values);
                levels.push((0.5 * (stroke.start + stroke.end) as f64, sorted[sorted.len() / 2]));
            }
            let (Some(first), Some(last)) = (levels.first().copied(), levels.last().copied())
            else {
                without_load = false;
                continue;
            };
            let values = levels.iter().map(|level| level.1);
            let (low, high) = values
                .fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), value| {
                    (low.min(value), high.max(value))
                });
            let most = self.samples.channels[channel].iter().fold(0.0_f32, |most, f| most.max(*f));
            if high - low > 0.01 * f64::from(most) {
                self.told.push(format!(
                    "channel {}: the zero drifts by {:.1} kN over the strokes and was followed",
                    channel + 1,
                    high - low
                ));
            }
            let mut next = 0;
            for (index, force) in self.samples.channels[channel].iter_mut().enumerate() {
                let at = index as f64;
                while next < levels.len() && levels[next].0 <= at {
                    next += 1;
                }
                let level = match (next.checked_sub(1), levels.get(next)) {
                    (Some(before), Some(&(to, level))) => {
                        let (from, before) = levels[before];
                        before + (level - before) * (at - from) / (to - from)
                    }
                    (Some(_), None) => last.1,
                    (None, _) => first.1,
                };
                *force -= level as f32;
            }
            self.mended[channel].zero_kn +=
                0.5 * (low + high) * if self.mended[channel].inverted { -1.0 } else { 1.0 };
        }
        if !without_load {
            self.told.push(
                "no part without load was recorded: zero is the level at which a channel stands most of the time".to_owned(),
            );
        }
        for (channel, mended) in self.mended.iter().enumerate() {
            self.told.push(format!(
                "channel {}: zero taken at {:.1} kN",
                channel + 1,
                mended.zero_kn
            ));
        }
    }
}
