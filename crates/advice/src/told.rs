//! Advice and ranking in words: what the command prints and the page shows.

use crate::{
    Advice, Edit, Figures, Proposal, Stage,
    placement::place_words,
    punch,
    rank::{DieEntry, Fit, PressEntry, Ranked, press_edits},
    shear::{Form, Grind},
    steps::{Choice, Step},
};
use evenstroke_job::{Job, spec::Unit, units::UnitSystem, words};
use evenstroke_language::{fill, in_sentence, marked, number, say, tr};
use press_load::{
    Energy, Force, Length, LimitId, Placement, cutting::ShearSide, tool_shear::RoofFirst,
};
use serde_json::{Map, Value};

/// What there is to say of one kind of change.
#[derive(Clone, Debug, PartialEq)]
pub struct Topic {
    /// Its name.
    pub title: &'static str,
    /// What may be changed; none where nothing helps.
    pub offers: Vec<Offer>,
    /// Why there is nothing, and what to mind.
    pub notes: Vec<String>,
}

/// A change that is proposed.
#[derive(Clone, Debug, PartialEq)]
pub struct Offer {
    /// In one line.
    pub words: String,
    /// Whether it is the one named first of several.
    pub is_first: bool,
    /// In full.
    pub details: Vec<String>,
    /// What it changes: a name, before, after.
    pub figures: Vec<[String; 3]>,
    /// What it takes for granted.
    pub assumes: Vec<String>,
    /// What it changes in the job file.
    pub edits: Vec<Edit>,
}

/// How far the work has come, where its steps are known beforehand.
pub fn stage_words(stage: Stage, done: usize, of: usize) -> String {
    if done < of && of > 1 {
        say!("{}: {} of {}", stage.words(), done, of)
    } else {
        stage.words().to_owned()
    }
}

/// All advice for a job.
pub fn topics(job: &Job, advice: &Advice, units: UnitSystem) -> Vec<Topic> {
    let say = Say { job, units };
    vec![
        say.placement(advice),
        say.steps(advice),
        say.together(advice),
        say.shear(advice),
        say.speed(advice),
    ]
}

/// The same as plain data.
pub fn topics_value(topics: &[Topic]) -> Value {
    let mut list = Vec::new();
    for topic in topics {
        let mut offers = Vec::new();
        for offer in &topic.offers {
            let rows = offer.figures.iter().map(|row| texts(row)).collect();
            offers.push(object(vec![
                ("words", offer.words.as_str().into()),
                ("first", offer.is_first.into()),
                ("details", texts(&offer.details)),
                ("figures", Value::Array(rows)),
                ("assumes", texts(&offer.assumes)),
                ("edits", edits_value(&offer.edits)),
            ]));
        }
        list.push(object(vec![
            ("title", topic.title.into()),
            ("offers", Value::Array(offers)),
            ("notes", texts(&topic.notes)),
        ]));
    }
    Value::Array(list)
}

/// Edits as plain data.
pub fn edits_value(edits: &[Edit]) -> Value {
    let mut list = Vec::new();
    for edit in edits {
        list.push(object(vec![("path", edit.path.as_str().into()), ("value", edit.value.clone())]));
    }
    Value::Array(list)
}

// Not by `json!`, which lays out the code of every entry anew.
fn object(entries: Vec<(&str, Value)>) -> Value {
    let mut map = Map::new();
    for (key, value) in entries {
        map.insert(key.to_owned(), value);
    }
    Value::Object(map)
}

fn texts(texts: &[String]) -> Value {
    Value::Array(texts.iter().map(|text| Value::String(text.clone())).collect())
}

struct Say<'a> {
    job: &'a Job,
    units: UnitSystem,
}

impl Say<'_> {
    fn kn(&self, force: Force) -> String {
        self.units.show(force.kilonewtons(), Unit::Kn)
    }

    fn mm(&self, length: Length) -> String {
        self.units.show(length.millimetres(), Unit::Mm)
    }

    fn fine(&self, length: Length) -> String {
        words::fine_length(length, self.units)
    }

    fn offer(&self, words: String, details: Vec<String>, proposal: &Proposal) -> Offer {
        Offer {
            words,
            is_first: false,
            details,
            figures: self.figures(proposal),
            assumes: proposal.assumes.clone(),
            edits: proposal.edits.clone(),
        }
    }

    /// Largest force, reverse load, worst limit, balance and work, before and after.
    fn figures(&self, proposal: &Proposal) -> Vec<[String; 3]> {
        let Proposal { before, after, .. } = proposal;
        let row = |name: &str, of: &dyn Fn(&Figures) -> Option<String>| {
            let [before, after] = [of(before), of(after)];
            (before.is_some() || after.is_some()).then(|| {
                let or_none = |words: Option<String>| words.unwrap_or_else(|| "–".to_owned());
                [name.to_owned(), or_none(before), or_none(after)]
            })
        };
        let used = |used: Option<crate::Used>| {
            used.map(|used| format!("{} {}", words::share_words(used.share), limit_name(used.id)))
        };
        let joules = |energy: Energy| self.units.show(energy.kilojoules(), Unit::Kj);
        [
            row(tr("Verdict"), &|of| Some(words::verdict_words(of.verdict).to_owned())),
            row(tr("Largest force, upper line"), &|of| Some(self.kn(of.peak_upper))),
            row(tr("Largest force, nominal"), &|of| Some(self.kn(of.peak))).filter(differs),
            row(tr("Reverse load, upper line, an estimate"), &|of| {
                of.reverse_upper.map(|force| self.kn(force))
            }),
            row(tr("Worst limit"), &|of| used(of.worst)),
            row(tr("Worst of those that hang on the place"), &|of| used(of.balance)),
            row(tr("Work, upper line"), &|of| Some(joules(of.energy_upper))).filter(differs),
        ]
        .into_iter()
        .flatten()
        .collect()
    }

    fn move_words(&self, to: Placement) -> String {
        let stands = self.job.die.placement;
        match words::direction_words(to.x - stands.x, to.y - stands.y, self.units) {
            by if by == tr("at the centre") => {
                say!("Move the die by less than {}", self.mm(Length::from_millimetres(0.1)))
            }
            by => say!("Move the die {}", by),
        }
    }

    fn placement(&self, advice: &Advice) -> Topic {
        let placement = &advice.placement;
        let mut topic = Topic { title: tr("Placement"), offers: Vec::new(), notes: Vec::new() };
        if let Some(shift) = &placement.shift {
            let details = vec![say!("Its centre is then {}.", place_words(shift.to, self.units))];
            let mut offer = self.offer(self.move_words(shift.to), details, &shift.proposal);
            let gains = shift.gains.iter().map(|gain| {
                let share = |share| words::share_words(share);
                [words::limit_label(gain.id).to_owned(), share(gain.before), share(gain.after)]
            });
            offer.figures.extend(gains.filter(differs));
            topic.offers.push(offer);
        }
        topic
            .notes
            .extend(placement.reason.iter().map(|reason| say!("Nothing to gain: {}", reason)));
        topic.notes.extend(placement.notes.iter().cloned());
        let Some(cause) = &placement.cause else { return topic };
        let moment = |moment: f64| self.units.show(moment.abs() * 1e-3, Unit::Knm);
        topic.notes.push(say!("At the best place {} tips the slide most: {} left–right, {} front–back, of {} and {} in all, at {} with {}", self.job.stations[cause.station].name, moment(cause.moment.x), moment(cause.moment.y), moment(cause.all.x), moment(cause.all.y), self.mm(cause.height), words::strip_state_words(cause.strip_state)));
        match &placement.balance {
            Some(balance) => {
                let line = say!(
                    "Add a load of {} {} of the die's centre",
                    self.kn(balance.force),
                    words::point_words(balance.at, self.units)
                );
                let details = vec![say!(
                    "From {} above BDC down it would balance the die.",
                    self.mm(balance.from)
                )];
                topic.offers.push(self.offer(line, details, &balance.proposal));
            }
            None => topic.notes.push(tr("No single load on the die brings it within").to_owned()),
        }
        topic
    }

    fn choice(&self, choice: &Choice) -> Offer {
        let words = say!(
            "{} groups, {} from one to the next: {} at most",
            choice.levels,
            self.fine(choice.step),
            self.kn(choice.proposal.after.peak_upper)
        );
        let mut details: Vec<String> = choice.steps.iter().map(|step| self.step(step)).collect();
        details.push(say!(
            "Largest force when one group has been ground by itself: {}.",
            self.kn(choice.peak_reground)
        ));
        self.offer(words, details, &choice.proposal)
    }

    fn step(&self, step: &Step) -> String {
        let now = if step.entry == step.before {
            tr("as now").to_owned()
        } else {
            say!("now {}", self.fine(step.before))
        };
        say!(
            "Group {}: {} touches at {}, {}.",
            step.level + 1,
            punch::label(self.job, step.station, step.work),
            self.fine(step.entry),
            now
        )
    }

    fn steps(&self, advice: &Advice) -> Topic {
        let steps = &advice.steps;
        let mut offers: Vec<Offer> =
            steps.choices.iter().map(|choice| self.choice(choice)).collect();
        if let Some(first) = steps.best.and_then(|best| offers.get_mut(best)) {
            first.is_first = true;
        }
        let mut notes = steps.notes.clone();
        if offers.is_empty()
            && let Some(first) = notes.first_mut()
        {
            *first = say!("Nothing to gain: {}", first);
        }
        if !steps.exhaustive {
            notes.push(
                tr("Too many punches to try all divisions: runs along four orders were tried")
                    .to_owned(),
            );
        }
        Topic { title: tr("Punch steps"), offers, notes }
    }

    fn together(&self, advice: &Advice) -> Topic {
        let mut topic = Topic {
            title: tr("Steps and placement together"),
            offers: Vec::new(),
            notes: Vec::new(),
        };
        match &advice.together {
            Some(together) => {
                let mut offer = self.choice(&together.choice);
                offer.words = format!("{}; {}", self.move_words(together.to), offer.words);
                let place = place_words(together.to, self.units);
                offer.details.insert(0, say!("The die's centre is then {}.", place));
                topic.offers.push(offer);
            }
            None => topic.notes.push(
                tr("Nothing to gain: no steps with the die at their own best place do better than the best place or the best steps alone")
                    .to_owned(),
            ),
        }
        topic
    }

    /// A line along which something is ground, as the operator sees it.
    fn way(&self, grind: &Grind) -> (&'static str, &'static str, String) {
        let station = &self.job.stations[grind.station];
        let turn = station.work[grind.work].motion.turn_rad.to_degrees();
        let deg = grind.direction_deg + turn + self.job.die.placement.turn_deg;
        let quarter = (deg / 90.0).round();
        let off = (deg - 90.0 * quarter).abs();
        let ends = match quarter.rem_euclid(4.0) as u32 {
            0 => (tr("left"), tr("right")),
            1 => (tr("front"), tr("back")),
            2 => (tr("right"), tr("left")),
            _ => (tr("back"), tr("front")),
        };
        let turned =
            if off > 0.05 { say!(", turned by {}°", number(off, 1)) } else { String::new() };
        (ends.0, ends.1, turned)
    }

    fn grind(&self, grind: &Grind) -> Vec<String> {
        let (from, to, turned) = self.way(grind);
        let name = punch::label(self.job, grind.station, grind.work);
        let depth = self.fine(grind.depth);
        let on = match grind.on {
            ShearSide::Punch => tr("punch"),
            ShearSide::Die => tr("die"),
        };
        let was_slope = if grind.was_slope { tr(", in place of the slope") } else { "" };
        let mut lines = vec![match grind.form {
            Form::Roof(first) => {
                let first = if first == RoofFirst::Ridge { tr("ridge") } else { tr("ends") };
                say!(
                    "{}: roof of {} from {} to {}{}, {} first, on the {}{}.",
                    name,
                    depth,
                    from,
                    to,
                    turned,
                    first,
                    on,
                    was_slope
                )
            }
            Form::Slope { against } => say!(
                "{}: slope of {}, {} first and {} last{}, on the {}, against that of {}{}.",
                name,
                depth,
                from,
                to,
                turned,
                on,
                punch::label(self.job, against.0, against.1),
                was_slope
            ),
        }];
        let now = self.job.stations[grind.station].work[grind.work].work.entry();
        if grind.entry != now {
            lines.push(say!(
                "{} touches at {} then, now {}, so that it gets through at BDC.",
                name,
                self.fine(grind.entry),
                self.fine(now)
            ));
        }
        lines
    }

    fn shear(&self, advice: &Advice) -> Topic {
        let shear = &advice.shear;
        let mut topic =
            Topic { title: tr("Tool shear"), offers: Vec::new(), notes: shear.notes.clone() };
        for (grinds, proposal, one, many) in [
            (
                &shear.grinds,
                &shear.proposal,
                tr("Grind a roof on one punch or die"),
                marked("Grind {} roofs"),
            ),
            (
                &shear.slopes,
                &shear.slopes_proposal,
                "",
                marked("Grind {} slopes, two by two against each other"),
            ),
        ] {
            let Some(proposal) = proposal else { continue };
            let words =
                if grinds.len() == 1 { one.to_owned() } else { fill(many, &[&grinds.len()]) };
            let details = grinds.iter().flat_map(|grind| self.grind(grind)).collect();
            topic.offers.push(self.offer(words, details, proposal));
        }
        if topic.offers.is_empty()
            && let Some(first) = topic.notes.first_mut()
        {
            *first = say!("Nothing to gain: {}", first);
        }
        topic
    }

    fn speed(&self, advice: &Advice) -> Topic {
        let speed = &advice.speed;
        let mut notes = vec![match &speed.words {
            Some(band) => say!("Energy and motor: runs {}", band),
            None => tr("Neither energy nor motor says how fast it may run").to_owned(),
        }];
        let mut offers = Vec::new();
        match &speed.proposal {
            Some((rate, proposal)) => {
                // As finely as it takes to stay inside the band, without the last digits of a conversion.
                let strokes = (rate.per_minute() * 1e6).round() / 1e6;
                offers.push(self.offer(
                    say!("Run at {} strokes/min", strokes),
                    Vec::new(),
                    proposal,
                ));
            }
            None if speed.words.is_some() && speed.running.is_some() && !speed.band.is_empty() => {
                notes.push(
                    tr("Nothing to gain: the speed that is entered lies in that band").to_owned(),
                );
            }
            None => {}
        }
        Topic { title: tr("Speed"), offers, notes }
    }
}

fn differs([_, before, after]: &[String; 3]) -> bool {
    before != after
}

/// A limit's name inside a sentence.
pub fn limit_name(id: LimitId) -> String {
    in_sentence(words::limit_label(id))
}

/// How a die does in one press.
#[derive(Clone, Debug, PartialEq)]
pub struct RankedWords {
    /// Of a state: its key, or `refused` where die and press cannot be put together.
    pub key: &'static str,
    /// The same in words.
    pub verdict: &'static str,
    /// The limit that is used most and its share; empty where nothing could be checked.
    pub worst: String,
    /// The name of that limit alone.
    pub limit: String,
    /// The share alone.
    pub share: String,
    /// Where it stands best, what was not checked, what to mind.
    pub details: Vec<String>,
}

/// A row of a ranking.
pub fn ranked_words(ranked: &Ranked, units: UnitSystem) -> RankedWords {
    let fit = match &ranked.outcome {
        Ok(fit) => fit,
        Err(refused) => {
            return RankedWords {
                key: "refused",
                verdict: tr("Cannot be put in it"),
                worst: String::new(),
                limit: String::new(),
                share: String::new(),
                details: refused.0.iter().map(ToString::to_string).collect(),
            };
        }
    };
    let (limit, share) = fit
        .figures
        .worst
        .map(|worst| (limit_name(worst.id), words::share_words(worst.share)))
        .unwrap_or_default();
    RankedWords {
        key: fit.figures.verdict.key(),
        verdict: words::verdict_words(fit.figures.verdict),
        worst: if limit.is_empty() {
            tr("nothing could be checked").to_owned()
        } else {
            format!("{limit} {share}")
        },
        limit,
        share,
        details: details_of(fit, units),
    }
}

fn details_of(fit: &Fit, units: UnitSystem) -> Vec<String> {
    let names =
        |ids: &[LimitId]| ids.iter().map(|&id| limit_name(id)).collect::<Vec<_>>().join(", ");
    let mut details = vec![say!(
        "best place {}",
        words::direction_words(fit.placement.x, fit.placement.y, units)
    )];
    if fit.figures.over.len() > 1 {
        details.push(say!("over: {}", names(&fit.figures.over)));
    }
    if !fit.open.is_empty() {
        details.push(say!("not checked, because the data are missing: {}", names(&fit.open)));
    }
    if let Some(short) = fit.too_low {
        let short = units.show(short.millimetres(), Unit::Mm);
        details.push(say!("the die is too low by {}: parallels", short));
    }
    details.extend(words::speed_words(&fit.speed).map(|speed| say!("runs {}", speed)));
    if fit.speed_of_die {
        details.push(tr("speed of the die's own job taken").to_owned());
    }
    details
}

/// What is told of a die in a press.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Extent {
    /// All that there is to say, with the edits that put the die there; best press first.
    InFull,
    /// The state, the limit used most and its share; presses in the order in which they were given.
    InShort,
}

/// A ranking as plain data: for each die its title and its presses.
pub fn ranking_value(
    dies: &[DieEntry],
    presses: &[PressEntry],
    ranked: &[Vec<Ranked>],
    units: UnitSystem,
    extent: Extent,
) -> Value {
    let mut list = Vec::new();
    for (die, ranked) in dies.iter().zip(ranked) {
        let mut rows = vec![Value::Null; ranked.len()];
        for (place, ranked) in ranked.iter().enumerate() {
            let told = ranked_words(ranked, units);
            let mut row = vec![
                ("key", told.key.into()),
                ("share", told.share.into()),
                ("limit", told.limit.into()),
            ];
            if extent == Extent::InShort {
                rows[ranked.press] = object(row);
                continue;
            }
            let press = &presses[ranked.press];
            row.push(("name", press.name.as_str().into()));
            row.push(("verdict", told.verdict.into()));
            row.push(("worst", told.worst.into()));
            row.push(("details", texts(&told.details)));
            if let Ok(fit) = &ranked.outcome {
                row.push(("edits", edits_value(&press_edits(die, press, fit))));
            }
            rows[place] = object(row);
        }
        list.push(object(vec![
            ("title", die.job.title.as_str().into()),
            ("presses", Value::Array(rows)),
        ]));
    }
    Value::Array(list)
}
