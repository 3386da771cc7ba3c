//! Which part of a picture is in view, and how hands change that.
//!
//! A picture that is looked at more closely is laid out anew for a smaller range, so that its axes,
//! labels and lines stay as fine as before.

/// How many times larger than the whole a picture is shown at most, each way.
const MOST_TIMES: f64 = 50.0;

/// Values at the edges of what is in view, in the units of the picture. Where values fall to the
/// right, `left` is the larger one.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Window {
    /// At the left edge.
    pub left: f64,
    /// At the right edge.
    pub right: f64,
    /// At the lower edge.
    pub bottom: f64,
    /// At the upper edge.
    pub top: f64,
}

impl Window {
    /// This window moved, and made smaller where it has to be, so that it lies within the whole.
    pub(crate) fn within(self, whole: &Self) -> Self {
        let (left, right) = fit((whole.left, whole.right), (self.left, self.right));
        let (bottom, top) = fit((whole.bottom, whole.top), (self.bottom, self.top));
        Self { left, right, bottom, top }
    }
}

/// The span `now` brought inside `whole`, both in the direction of `whole`.
fn fit(whole: (f64, f64), now: (f64, f64)) -> (f64, f64) {
    let length = whole.1 - whole.0;
    let (from, to) = ((now.0 - whole.0) / length, (now.1 - whole.0) / length);
    if !from.is_finite() || !to.is_finite() || to <= from {
        return whole;
    }
    let part = (to - from).clamp(1.0 / MOST_TIMES, 1.0);
    let from = from.clamp(0.0, 1.0 - part);
    (whole.0 + from * length, whole.0 + (from + part) * length)
}

/// A picture as drawn: where its plot lies, what there is to see, and what of it is shown.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Sight {
    /// Left edge of the plot, in CSS pixels.
    pub left: f64,
    /// Right edge of the plot.
    pub right: f64,
    /// Upper edge of the plot.
    pub top: f64,
    /// Lower edge of the plot.
    pub bottom: f64,
    /// The whole.
    pub whole: Window,
    /// What is shown of it.
    pub shown: Window,
}

impl Sight {
    /// The values at a pixel.
    pub fn at(&self, (x, y): (f64, f64)) -> (f64, f64) {
        let shown = &self.shown;
        let across = (x - self.left) / (self.right - self.left);
        let up = (self.bottom - y) / (self.bottom - self.top);
        (
            shown.left + across * (shown.right - shown.left),
            shown.bottom + up * (shown.top - shown.bottom),
        )
    }

    /// The pixel of a pair of values.
    pub fn pixel(&self, (across, up): (f64, f64)) -> (f64, f64) {
        let shown = &self.shown;
        let across = (across - shown.left) / (shown.right - shown.left);
        let up = (up - shown.bottom) / (shown.top - shown.bottom);
        (self.left + across * (self.right - self.left), self.bottom - up * (self.bottom - self.top))
    }

    /// The window in which what lies at the pixel `from` now lies at the pixel `to`, `times` as
    /// large; none where that is the whole.
    pub fn moved(&self, from: (f64, f64), to: (f64, f64), times: f64) -> Option<Window> {
        if !(times.is_finite() && times > 0.0) {
            return self.window();
        }
        let held = self.at(from);
        let part = |(low, high): (f64, f64)| (high - low) / times;
        let axis = |whole: (f64, f64), shown: (f64, f64), held: f64, at: f64| {
            let least = (whole.1 - whole.0) / MOST_TIMES;
            let span = part(shown);
            // Beyond what can be shown the place that is held stays all the same.
            let span = if span.abs() < least.abs() { least } else { span };
            fit(whole, (held - at * span, held + (1.0 - at) * span))
        };
        let (whole, shown) = (&self.whole, &self.shown);
        let across = (to.0 - self.left) / (self.right - self.left);
        let up = (self.bottom - to.1) / (self.bottom - self.top);
        let (left, right) =
            axis((whole.left, whole.right), (shown.left, shown.right), held.0, across);
        let (bottom, top) = axis((whole.bottom, whole.top), (shown.bottom, shown.top), held.1, up);
        Self { shown: Window { left, right, bottom, top }, ..*self }.window()
    }

    /// The window in view; none where that is the whole.
    pub fn window(&self) -> Option<Window> {
        let part = |whole: (f64, f64), shown: (f64, f64)| (shown.1 - shown.0) / (whole.1 - whole.0);
        let (whole, shown) = (&self.whole, &self.shown);
        let across = part((whole.left, whole.right), (shown.left, shown.right));
        let up = part((whole.bottom, whole.top), (shown.bottom, shown.top));
        (across < 0.999 || up < 0.999).then_some(*shown)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const WHOLE: Window = Window { left: 20.0, right: 0.0, bottom: 0.0, top: 1000.0 };

    fn sight(shown: Window) -> Sight {
        Sight { left: 50.0, right: 850.0, top: 10.0, bottom: 410.0, whole: WHOLE, shown }
    }

    #[test]
    fn what_the_fingers_hold_stays_below_them() {
        let whole = sight(WHOLE);
        let held = whole.at((250.0, 110.0));
        assert_eq!(held, (15.0, 750.0));
        let nearer = sight(whole.moved((250.0, 110.0), (300.0, 150.0), 4.0).expect("a part"));
        let back = nearer.at((300.0, 150.0));
        assert!((back.0 - held.0).abs() < 1e-9 && (back.1 - held.1).abs() < 1e-9, "{back:?}");
        assert!((nearer.shown.left - nearer.shown.right - 5.0).abs() < 1e-9);
        assert_eq!(nearer.pixel(held), (300.0, 150.0));
    }

    #[test]
    fn a_window_never_leaves_the_whole_and_has_a_least_size() {
        let mut now = sight(WHOLE);
        for (step, times) in [1.5, 3.0, 0.7, 90.0, 90.0, 0.2, 1.0, 1.0].into_iter().enumerate() {
            let to = (100.0 + 150.0 * (step % 5) as f64, 400.0 - 90.0 * (step % 4) as f64);
            now.shown = now.moved((850.0, 10.0), to, times).unwrap_or(WHOLE);
            let Window { left, right, bottom, top } = now.shown;
            assert!(left <= 20.0 + 1e-9 && right >= -1e-9 && left - right >= 0.4 - 1e-9);
            assert!(bottom >= -1e-9 && top <= 1000.0 + 1e-9 && top - bottom >= 20.0 - 1e-9);
        }
        assert_eq!(now.moved((400.0, 200.0), (400.0, 200.0), 1e-6), None, "back to the whole");
        assert_eq!(now.moved((0.0, 0.0), (0.0, 0.0), f64::NAN), now.window());
    }

    #[test]
    fn a_window_outside_a_new_whole_is_brought_back() {
        let window = Window { left: 40.0, right: 30.0, bottom: 2000.0, top: 2500.0 };
        let inside = window.within(&WHOLE);
        assert_eq!(inside, Window { left: 20.0, right: 10.0, bottom: 500.0, top: 1000.0 });
        let odd = Window { left: f64::NAN, right: 3.0, bottom: 5.0, top: 5.0 };
        assert_eq!(odd.within(&WHOLE), WHOLE);
    }
}
