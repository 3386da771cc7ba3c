//! A drawing as numbers and words, for handing it from a worker to a page without a copy of every
//! point.

use crate::{Drawing, Format, Gap, LengthUnit, Outline, Point, Skipped};

/// A drawing as one list of numbers and one of words.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Flat {
    /// All counts, flags, lengths and coordinates, in the order in which [`Flat::drawing`] takes
    /// them.
    pub numbers: Vec<f64>,
    /// Names of layers first, then what was passed over and why, then the notes.
    pub words: Vec<String>,
}

impl Flat {
    /// The drawing in this form.
    pub fn of(drawing: &Drawing) -> Self {
        let mut flat = Self { numbers: Vec::new(), words: drawing.layers.clone() };
        let unit = |unit: LengthUnit| {
            LengthUnit::ALL.iter().position(|&other| other == unit).map_or(-1.0, |at| at as f64)
        };
        let layer = |name: &str| {
            drawing.layers.iter().position(|layer| layer == name).map_or(-1.0, |at| at as f64)
        };
        flat.numbers.extend([
            f64::from(u8::from(drawing.format == Format::Svg)),
            drawing.file_unit.map_or(-1.0, unit),
            unit(drawing.unit),
            f64::from(u8::from(drawing.unit_assumed)),
            drawing.deviation_mm,
            drawing.layers.len() as f64,
            drawing.outlines.len() as f64,
            drawing.gaps.len() as f64,
            drawing.skipped.len() as f64,
            drawing.notes.len() as f64,
        ]);
        for outline in &drawing.outlines {
            flat.numbers.extend([
                layer(&outline.layer),
                f64::from(u8::from(outline.closed)),
                outline.points.len() as f64,
                outline.bulges.len() as f64,
                outline.length_mm,
                outline.centroid.x,
                outline.centroid.y,
            ]);
            flat.numbers.extend(outline.points.iter().flat_map(|point| [point.x, point.y]));
            flat.numbers.extend(&outline.bulges);
        }
        for Gap { layer: name, from, to, distance_mm } in &drawing.gaps {
            flat.numbers.extend([layer(name), from.x, from.y, to.x, to.y, *distance_mm]);
        }
        for skipped in &drawing.skipped {
            flat.numbers.push(skipped.count as f64);
            flat.words.extend([skipped.what.clone(), skipped.why.clone()]);
        }
        flat.words.extend(drawing.notes.iter().cloned());
        flat
    }

    /// The drawing that was put into this form; `None` if it is not one.
    pub fn drawing(&self) -> Option<Drawing> {
        let mut numbers = Numbers(&self.numbers);
        let mut words = self.words.iter();
        let format = if numbers.flag()? { Format::Svg } else { Format::Dxf };
        let unit = |at: f64| LengthUnit::ALL.get(at as usize).copied().filter(|_| at >= 0.0);
        let file_unit = unit(numbers.next()?);
        let taken = unit(numbers.next()?)?;
        let unit_assumed = numbers.flag()?;
        let deviation_mm = numbers.next()?;
        let [layers, outlines, gaps, skipped, notes] = [(); 5].map(|()| numbers.count());
        let layers: Vec<String> = words.by_ref().take(layers?).cloned().collect();
        // One without a name was on none of the layers that are listed.
        let name =
            |at: f64| layers.get(at as usize).filter(|_| at >= 0.0).cloned().unwrap_or_default();
        let outlines = (0..outlines?)
            .map(|_| {
                let layer = name(numbers.next()?);
                let closed = numbers.flag()?;
                let [points, bulges] = [numbers.count()?, numbers.count()?];
                let length_mm = numbers.next()?;
                let centroid = numbers.point()?;
                let points = numbers.take(points.checked_mul(2)?)?;
                let points =
                    points.chunks_exact(2).map(|pair| Point::new(pair[0], pair[1])).collect();
                let bulges = numbers.take(bulges)?.to_vec();
                Some(Outline { layer, closed, points, bulges, length_mm, centroid })
            })
            .collect::<Option<Vec<_>>>()?;
        let gaps = (0..gaps?)
            .map(|_| {
                Some(Gap {
                    layer: name(numbers.next()?),
                    from: numbers.point()?,
                    to: numbers.point()?,
                    distance_mm: numbers.next()?,
                })
            })
            .collect::<Option<Vec<_>>>()?;
        let skipped = (0..skipped?)
            .map(|_| {
                Some(Skipped {
                    what: words.next()?.clone(),
                    why: words.next()?.clone(),
                    count: numbers.count()?,
                })
            })
            .collect::<Option<Vec<_>>>()?;
        let notes: Vec<String> = words.by_ref().take(notes?).cloned().collect();
        (numbers.0.is_empty() && words.next().is_none()).then_some(Drawing {
            format,
            file_unit,
            unit: taken,
            unit_assumed,
            layers,
            outlines,
            gaps,
            skipped,
            notes,
            deviation_mm,
        })
    }
}

/// Numbers that are still to be taken.
struct Numbers<'a>(&'a [f64]);

impl<'a> Numbers<'a> {
    fn next(&mut self) -> Option<f64> {
        let (&first, rest) = self.0.split_first()?;
        self.0 = rest;
        Some(first)
    }

    fn flag(&mut self) -> Option<bool> {
        Some(self.next()? == 1.0)
    }

    fn count(&mut self) -> Option<usize> {
        Some(self.next()? as usize)
    }

    fn point(&mut self) -> Option<Point> {
        Some(Point::new(self.next()?, self.next()?))
    }

    fn take(&mut self, count: usize) -> Option<&'a [f64]> {
        let (taken, rest) = self.0.split_at_checked(count)?;
        self.0 = rest;
        Some(taken)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{Options, read};

    const DRAWING: &[u8] = b"0\nSECTION\n2\nENTITIES\n0\nTEXT\n8\nNOTES\n1\nhello\n0\nCIRCLE\n8\nHOLE\n10\n5\n20\n6\n40\n10\n\
        0\nLINE\n8\nCUT\n10\n0\n20\n0\n11\n30\n21\n0\n0\nLINE\n8\nCUT\n10\n31\n20\n0\n11\n60\n21\n5\n0\nENDSEC\n0\nEOF\n";

    #[test]
    fn drawing_comes_back_from_numbers_and_words_as_it_was() {
        let drawing = read(DRAWING, &Options::default()).expect("a drawing");
        assert!(!drawing.gaps.is_empty() && !drawing.skipped.is_empty());
        assert_eq!(Flat::of(&drawing).drawing(), Some(drawing));
    }

    #[test]
    fn numbers_that_are_no_drawing_give_none() {
        let drawing = read(DRAWING, &Options::default()).expect("a drawing");
        let flat = Flat::of(&drawing);
        for missing in 0..flat.numbers.len() {
            let short = Flat { numbers: flat.numbers[..missing].to_vec(), ..flat.clone() };
            assert_eq!(short.drawing(), None, "{missing} numbers");
        }
        let wordless = Flat { words: flat.words[1..].to_vec(), ..flat.clone() };
        assert_eq!(wordless.drawing(), None);
        let huge = Flat { numbers: vec![1e300; 40], ..flat };
        assert_eq!(huge.drawing(), None);
    }
}
