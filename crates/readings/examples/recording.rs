//! Writes an invented recording of the contract's example: two channels over crank angle, the notch
//! asking 1.3 times what is predicted, an encoder that shows 172° at BDC, zeros of their own and some
//! noise. `tests/readings/signature.csv` is what it writes with `3 2400`; without the strokes and
//! samples of a stroke named it writes more.

#[path = "../tests/support/mod.rs"]
mod support;

use std::io::{Write, stdout};

fn main() -> std::io::Result<()> {
    let mut numbers = std::env::args().skip(1).filter_map(|word| word.parse::<usize>().ok());
    let truth = support::Truth {
        factors: vec![1.0, 1.3, 1.0, 1.0],
        bdc_deg: 172.0,
        noise_kn: 0.4,
        zero_kn: [3.0, -2.0],
        strokes: numbers.next().unwrap_or(100),
        samples: numbers.next().unwrap_or(2_880),
        ..support::Truth::default()
    };
    let job = support::job(&support::stiff_example());
    stdout().write_all(support::over_angle(&job, &truth).as_bytes())
}
