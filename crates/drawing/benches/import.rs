//! How long it takes to read a drawing of 5 MB, and how time grows with size.

use criterion::Criterion;
use evenstroke_drawing::{Options, read};
use std::{fmt::Write, hint::black_box, time::Instant};

/// Size of the drawing that the page is to read within a second.
const SIZE: usize = 5_000_000;

fn main() {
    let mut criterion = Criterion::default().configure_from_args().sample_size(10);
    let (drawing, picture) = (dxf(SIZE), svg(SIZE));
    let options = Options::default();
    criterion.bench_function("DXF of 5 MB", |b| b.iter(|| read(drawing.as_bytes(), &options)));
    criterion.bench_function("SVG of 5 MB", |b| b.iter(|| read(picture.as_bytes(), &options)));
    criterion.final_summary();

    print_growth("DXF", dxf, SIZE);
    // Five times as much comes to more lines and arcs than are read.
    print_growth("SVG", svg, SIZE / 5);
}

/// Prints the time of `size`, a fifth of it and five times as much, and how much longer the last one
/// takes than 25 times the first.
fn print_growth(what: &str, make: fn(usize) -> String, size: usize) {
    let seconds = [size / 5, size, size * 5].map(|size| {
        let text = make(size);
        let times = (0..3).map(|_| {
            let start = Instant::now();
            let drawing = read(text.as_bytes(), &Options::default()).expect("a drawing");
            assert!(!black_box(drawing).outlines.is_empty());
            start.elapsed().as_secs_f64()
        });
        times.fold(f64::INFINITY, f64::min)
    });
    let mb = size as f64 / 1e6;
    println!(
        "{what}: {} MB {:.3} s, {mb} MB {:.3} s, {} MB {:.3} s; per byte the last over the first: {:.2}",
        mb / 5.0,
        seconds[0],
        seconds[1],
        mb * 5.0,
        seconds[2],
        seconds[2] / (25.0 * seconds[0])
    );
}

/// Loose lines and arcs of round rectangles out of order, polylines, splines, ellipses and circles.
fn dxf(size: usize) -> String {
    let mut text =
        "0\nSECTION\n2\nHEADER\n9\n$INSUNITS\n70\n4\n0\nENDSEC\n0\nSECTION\n2\nENTITIES\n"
            .to_owned();
    // Sides and corners of several rectangles wait here, so that they come far from each other.
    let mut waiting: Vec<String> = Vec::new();
    let mut index = 0_u32;
    while text.len() < size {
        let (x, y) = (f64::from(index % 100) * 37.123_456, f64::from(index / 100) * 29.654_321);
        index += 1;
        for (a, b, c, d) in [(5, 0, 25, 0), (30, 5, 30, 15), (25, 20, 5, 20), (0, 15, 0, 5)] {
            waiting.push(format!(
                "0\nLINE\n5\n{index:X}\n100\nAcDbEntity\n8\nCUT\n100\nAcDbLine\n10\n{}\n20\n{}\n30\n0.0\n\
                 11\n{}\n21\n{}\n31\n0.0\n",
                x + f64::from(a),
                y + f64::from(b),
                x + f64::from(c),
                y + f64::from(d)
            ));
        }
        for (quarter, (cx, cy)) in [(25, 15), (5, 15), (5, 5), (25, 5)].into_iter().enumerate() {
            waiting.push(format!(
                "0\nARC\n8\nCUT\n100\nAcDbCircle\n10\n{}\n20\n{}\n30\n0.0\n40\n5.0\n50\n{}\n51\n{}\n",
                x + f64::from(cx),
                y + f64::from(cy),
                quarter * 90,
                quarter * 90 + 90
            ));
        }
        let _ = write!(
            text,
            "0\nLWPOLYLINE\n8\nHOLES\n90\n3\n70\n1\n10\n{x}\n20\n{y}\n42\n0.5\n10\n{}\n20\n{y}\n10\n{x}\n\
             20\n{}\n0\nCIRCLE\n8\nHOLES\n10\n{x}\n20\n{y}\n40\n2.5\n0\nSPLINE\n8\nFORM\n70\n8\n71\n3\n",
            x + 7.0,
            y + 6.0
        );
        for knot in [0, 0, 0, 0, 1, 2, 2, 2, 2] {
            let _ = write!(text, "40\n{knot}.0\n");
        }
        for (px, py) in [(0.0, 0.0), (4.0, 9.0), (11.0, -3.0), (15.0, 5.0), (20.0, 1.0)] {
            let _ = write!(text, "10\n{}\n20\n{}\n30\n0.0\n", x + px, y + py);
        }
        if waiting.len() > 4000 {
            shuffle_into(&mut text, &mut waiting);
        }
    }
    shuffle_into(&mut text, &mut waiting);
    text += "0\nENDSEC\n0\nEOF\n";
    text
}

fn shuffle_into(text: &mut String, waiting: &mut Vec<String>) {
    for step in 0..97 {
        for part in waiting.iter().skip(step).step_by(97) {
            text.push_str(part);
        }
    }
    waiting.clear();
}

/// Paths of every kind in turned groups.
fn svg(size: usize) -> String {
    let mut text = "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"900mm\" height=\"900mm\" \
                    viewBox=\"0 0 900 900\">"
        .to_owned();
    let mut index = 0_u32;
    while text.len() < size {
        let (x, y) = (f64::from(index % 100) * 9.1, f64::from(index / 100) * 3.7);
        index += 1;
        let _ = write!(
            text,
            "<g transform=\"translate({x} {y}) rotate({index})\"><path d=\"M0 0h5.25v3.125l-2 1z\"/>\
             <path d=\"M0 0C1 2 3.5 4.25 5 0S8.125-2 9 1a2 1 20 0 1 3 4\"/><circle r=\"1.5\"/>\
             <rect width=\"4\" height=\"2\" rx=\"0.5\"/></g>"
        );
    }
    text += "</svg>";
    text
}
