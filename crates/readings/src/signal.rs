//! Raw samples made fit: zero, sign, spikes.

use press_load::order;

/// Samples that are looked at for a level: enough for a share of a percent.
const LOOKED_AT: usize = 40_000;
/// Part of the whole span by which a sample stands out from its neighbours to be a spike (our own
/// form; a press does not change its load by so much within one sample and back again).
const SPIKE_SHARE: f64 = 0.2;

/// What was done to a channel.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Mended {
    /// Kilonewtons that were taken off: what the channel showed without load.
    pub zero_kn: f64,
    /// Whether its sign was turned.
    pub inverted: bool,
    /// Samples that stood out and were replaced.
    pub spikes: usize,
}

/// Some of the samples, evenly spread, in rising order.
fn some_in_order(samples: &[f32]) -> Vec<f64> {
    let step = samples.len().div_ceil(LOOKED_AT).max(1);
    let some: Vec<f64> = samples.iter().step_by(step).map(|&sample| f64::from(sample)).collect();
    order::rising_values(&some)
}

/// The level at which a channel stands most of the time: the middle of the shortest stretch of values
/// that holds a quarter of all. A die works during a small part of the stroke, so that this is the
/// level without load.
pub fn resting_level(samples: &[f32]) -> f64 {
    let sorted = some_in_order(samples);
    let width = (sorted.len() / 4).max(1);
    let mut best = (f64::INFINITY, 0.0);
    for start in 0..=sorted.len().saturating_sub(width) {
        let span = sorted[start + width - 1] - sorted[start];
        if span < best.0 {
            best = (span, sorted[start + width / 2]);
        }
    }
    best.1
}

/// Takes the zero off, turns the sign where the load is negative, and replaces spikes unless they are
/// to be kept.
pub fn mend(samples: &mut [f32], keep_spikes: bool) -> Mended {
    let mut mended = Mended { zero_kn: resting_level(samples), ..Mended::default() };
    for sample in samples.iter_mut() {
        *sample -= mended.zero_kn as f32;
    }
    if !keep_spikes {
        mended.spikes = replace_spikes(samples);
    }
    // A load lasts, what springs back does not: the larger area is the load.
    let highest = samples.iter().fold(0.0_f32, |most, sample| most.max(sample.abs()));
    let (mut up, mut down) = (0.0_f64, 0.0_f64);
    for &sample in samples.iter().filter(|sample| sample.abs() > 0.1 * highest) {
        *(if sample > 0.0 { &mut up } else { &mut down }) += f64::from(sample.abs());
    }
    if down > up {
        mended.inverted = true;
        samples.iter_mut().for_each(|sample| *sample = -*sample);
    }
    mended
}

/// Replaces by the middle of five neighbours what lies off it by more than a part of the whole span,
/// where the neighbours agree.
fn replace_spikes(samples: &mut [f32]) -> usize {
    let sorted = some_in_order(samples);
    let at = |part: f64| sorted[((sorted.len() - 1) as f64 * part) as usize];
    // The ends of the span are not left to a few wild samples.
    let most = (SPIKE_SHARE * (at(0.999) - at(0.001))) as f32;
    let mut replaced = 0;
    let mut before = [0.0_f32; 2];
    for index in 0..samples.len() {
        let original = samples[index];
        if index >= 2 && index + 2 < samples.len() && most > 0.0 {
            let next = [samples[index + 1], samples[index + 2]];
            let mut five = [before[0], before[1], original, next[0], next[1]];
            // Five numbers are put in order by hand: a sort is much code.
            for end in (1..5).rev() {
                for place in 0..end {
                    if five[place] > five[place + 1] {
                        five.swap(place, place + 1);
                    }
                }
            }
            let middle = five[2];
            let off = (original - middle).abs();
            // One or two samples that jump away and back again.
            let others_agree = five[3] - five[1] < 0.5 * off || five[2] - five[0] < 0.25 * off;
            if off > most && others_agree {
                samples[index] = middle;
                replaced += 1;
            }
        }
        before = [before[1], original];
    }
    replaced
}

/// Lowest and highest value of each of `count` pieces of some numbers, as points `(index, value)` in
/// the order in which they stand: what is drawn of them loses no peak.
pub fn thinned(samples: &[f32], count: usize) -> Vec<(usize, f32)> {
    let width = samples.len().div_ceil(count.max(1)).max(1);
    let mut found = Vec::with_capacity(2 * count.min(samples.len()));
    for start in (0..samples.len()).step_by(width) {
        let piece = &samples[start..(start + width).min(samples.len())];
        let (mut low, mut high) = (0, 0);
        for index in 1..piece.len() {
            if piece[index] < piece[low] {
                low = index;
            }
            if piece[index] > piece[high] {
                high = index;
            }
        }
        let (first, second) = (low.min(high), low.max(high));
        found.push((start + first, piece[first]));
        if second != first {
            found.push((start + second, piece[second]));
        }
    }
    found
}

#[cfg(test)]
mod tests {
    use super::*;

    fn pulse(count: usize) -> Vec<f32> {
        (0..count)
            .map(|i| {
                let noise = ((i * 7919) % 13) as f32 / 13.0 - 0.5;
                let load = if i % 500 > 400 && i % 500 < 440 { 300.0 } else { 0.0 };
                load + noise
            })
            .collect()
    }

    #[test]
    fn zero_is_the_level_without_load() {
        let mut samples: Vec<f32> = pulse(5_000).iter().map(|force| force + 37.0).collect();
        let mended = mend(&mut samples, false);
        assert!((mended.zero_kn - 37.0).abs() < 0.5, "{mended:?}");
        assert_eq!((mended.inverted, mended.spikes), (false, 0));
    }

    #[test]
    fn inverted_sign_is_turned_and_told() {
        let mut samples: Vec<f32> = pulse(5_000).iter().map(|force| 5.0 - force).collect();
        let mended = mend(&mut samples, false);
        assert!(mended.inverted);
        assert!((samples[420] - 300.0).abs() < 2.0);
    }

    #[test]
    fn single_samples_that_stand_out_are_replaced_and_edges_are_kept() {
        let clean = pulse(5_000);
        let mut samples = clean.clone();
        for at in [100, 101, 1_420, 3_000] {
            samples[at] = 5_000.0;
        }
        samples[2_420] = 0.0;
        let mended = mend(&mut samples, false);
        assert_eq!(mended.spikes, 5);
        let off = samples.iter().zip(&clean).map(|(a, b)| (a - b).abs()).fold(0.0, f32::max);
        assert!(off < 2.0, "{off}");
    }

    #[test]
    fn thinning_keeps_the_highest_and_the_lowest() {
        let mut samples = vec![0.0_f32; 100_003];
        (samples[77_777], samples[12]) = (9.0, -4.0);
        let thin = thinned(&samples, 300);
        assert!(thin.len() <= 602);
        assert!(thin.contains(&(77_777, 9.0)) && thin.contains(&(12, -4.0)));
        assert!(thin.windows(2).all(|pair| pair[0].0 < pair[1].0));
        assert_eq!(thinned(&[], 10), []);
    }
}
