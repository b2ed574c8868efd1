//! The whole `check` (read, measure, compare, report) of drawings with 10 to
//! 3,000 cabinets and their lists, side by side with the `dxf` crate's bare load
//! of the same drawing in the same run: seconds, processor time, peak memory,
//! instructions of the smaller ones where valgrind is there, and how the time
//! grows.
//!
//! ```text
//! cargo bench --bench check               sizes 10 to 3,000
//! cargo bench --bench check -- 20 100     other sizes
//! ```
//!
//! Every run is a process of its own, and its seconds are those of the whole
//! process from outside. The two take turns, so that a busy machine slows both;
//! what counts is the ratio within a run.

mod big;
mod costs;

use std::path::Path;
use std::process::{Command, ExitCode, Stdio};
use std::time::Instant;

const SIZES: [usize; 7] = [10, 20, 50, 100, 300, 1000, 3000];
const ROUNDS: usize = 5;
/// Instructions are counted fifty times slower than they run.
const MOST_COUNTED: usize = 100;

fn main() -> ExitCode {
    // Cargo adds `--bench`.
    let arguments: Vec<String> = std::env::args()
        .skip(1)
        .filter(|argument| argument != "--bench")
        .collect();
    if let [which, folder] = &arguments[..]
        && (which == "check" || which == "crate")
    {
        return child(which, Path::new(folder));
    }
    let mut sizes: Vec<usize> = arguments.iter().filter_map(|a| a.parse().ok()).collect();
    if sizes.is_empty() {
        sizes = SIZES.to_vec();
    }
    let cores = std::thread::available_parallelism().map_or(1, std::num::NonZero::get);
    println!("{cores} cores; medians of {ROUNDS} rounds; the ratios are what counts");
    println!(
        "cabinets      MB  check s   cpu s  M instr  peak/file  crate s   cpu s  peak/file  wall ratio  cpu ratio"
    );
    let mut grown: Vec<(f64, f64)> = Vec::new();
    for size in sizes {
        grown.push((size as f64, line(size)));
    }
    fit(&grown);
    ExitCode::SUCCESS
}

/// Measures and prints one size; gives the processor time of its check.
fn line(size: usize) -> f64 {
    let home = tempfile::tempdir().expect("a folder for the drawing");
    let bytes = big::write(home.path(), "big", size).expect("a drawing");
    let megabytes = bytes as f64 / 1e6;
    let (mut ours, mut theirs) = (Vec::new(), Vec::new());
    for _ in 0..ROUNDS {
        ours.push(run("check", home.path()));
        theirs.push(run("crate", home.path()));
    }
    let ratio = |of: fn(&Cost) -> f64| {
        let pairs = ours.iter().zip(&theirs);
        median(pairs.map(|(a, b)| of(a) / of(b)).collect())
    };
    let (wall, cpu) = (ratio(|c| c.seconds), ratio(|c| c.cpu));
    let of = |costs: &[Cost], of: fn(&Cost) -> f64| median(costs.iter().map(of).collect());
    let counted = (size <= MOST_COUNTED).then(|| instructions(home.path()));
    let counted = counted
        .flatten()
        .map_or("-".to_owned(), |n| format!("{n:.0}"));
    println!(
        "{size:>8} {megabytes:>7.1} {:>8.3} {:>7.2} {counted:>8} {:>10.2} {:>8.3} {:>7.2} {:>10.2} {wall:>11.3} {cpu:>10.3}",
        of(&ours, |c| c.seconds),
        of(&ours, |c| c.cpu),
        of(&ours, |c| c.peak) / megabytes,
        of(&theirs, |c| c.seconds),
        of(&theirs, |c| c.cpu),
        of(&theirs, |c| c.peak) / megabytes,
    );
    of(&ours, |c| c.seconds)
}

struct Cost {
    seconds: f64,
    cpu: f64,
    /// Megabytes.
    peak: f64,
}

fn median(mut of: Vec<f64>) -> f64 {
    of.sort_by(f64::total_cmp);
    of[of.len() / 2]
}

fn run(which: &str, folder: &Path) -> Cost {
    let start = Instant::now();
    let output = Command::new(std::env::current_exe().expect("this program"))
        .arg(which)
        .arg(folder)
        .stdout(Stdio::null())
        .output()
        .expect("the measured process");
    let seconds = start.elapsed().as_secs_f64();
    let text = String::from_utf8_lossy(&output.stderr);
    let last = text.lines().last().unwrap_or_default();
    let numbers: Vec<f64> = last
        .split_whitespace()
        .filter_map(|n| n.parse().ok())
        .collect();
    let [cpu, peak] = numbers[..] else {
        panic!("{which}: {text}");
    };
    Cost { seconds, cpu, peak }
}

/// One run in a process of its own; says last on standard error what it cost.
fn child(which: &str, folder: &Path) -> ExitCode {
    let status = match which {
        "check" => dryfit::cli::run([
            "dryfit".into(),
            "check".into(),
            folder.as_os_str().to_owned(),
        ]),
        _ => {
            let drawing = dxf::Drawing::load_file(folder.join("big.dxf")).expect("a drawing");
            assert!(drawing.entities().count() > 0);
            // As `check` ends: giving back what is held is no part of the load.
            std::mem::forget(drawing);
            ExitCode::SUCCESS
        }
    };
    eprintln!(
        "{} {}",
        costs::cpu().unwrap_or(f64::NAN),
        costs::peak().unwrap_or(f64::NAN)
    );
    status
}

/// Millions of instructions of a check, where valgrind is there to count them.
fn instructions(folder: &Path) -> Option<f64> {
    let output = Command::new("valgrind")
        .args(["--tool=callgrind", "--callgrind-out-file=/dev/null"])
        .arg(std::env::current_exe().ok()?)
        .arg("check")
        .arg(folder)
        .stdout(Stdio::null())
        .output()
        .ok()?;
    let text = String::from_utf8_lossy(&output.stderr);
    let line = text.lines().find(|line| line.contains("Collected :"))?;
    let count: f64 = line.rsplit(' ').next()?.parse().ok()?;
    Some(count / 1e6)
}

/// Prints how time grows: the power of n that fits all sizes, that of the
/// larger half, where starting the process no longer counts, and seconds per
/// n log n, which must not rise.
fn fit(grown: &[(f64, f64)]) {
    let power = |of: &[(f64, f64)]| {
        let n = of.len() as f64;
        let (mut x, mut y, mut xx, mut xy) = (0.0, 0.0, 0.0, 0.0);
        for (size, seconds) in of.iter().map(|(n, s)| (n.ln(), s.ln())) {
            x += size;
            y += seconds;
            xx += size * size;
            xy += size * seconds;
        }
        let b = (n * xy - x * y) / (n * xx - x * x);
        (b, ((y - b * x) / n).exp())
    };
    if grown.len() >= 2 {
        let (b, a) = power(grown);
        println!("all sizes: seconds = {a:.2e} n^{b:.3}");
    }
    let half = &grown[grown.len() / 2..];
    if half.len() >= 2 {
        let (b, a) = power(half);
        println!("from {}: seconds = {a:.2e} n^{b:.3}", half[0].0);
    }
    print!("microseconds per n log n:");
    for (size, seconds) in grown {
        print!("  {size}: {:.1}", 1e6 * seconds / (size * size.ln()));
    }
    println!();
}
