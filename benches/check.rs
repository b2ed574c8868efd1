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
//! Every run is a process of its own - `dryfit` itself, and one that does nothing
//! but load the drawing with the system's allocator - and its seconds are those of
//! the whole process from outside. The two take turns, so that a busy machine slows
//! both; what counts is the ratio within a run.

mod big;

use nix::sys::resource::{UsageWho, getrusage};
use nix::sys::time::TimeVal;
use std::path::Path;
use std::process::{Command, ExitCode, Stdio};
use std::time::Instant;

const DRYFIT: &str = env!("CARGO_BIN_EXE_dryfit");
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
    match &arguments[..] {
        [which, folder] if which == "load" => return load(Path::new(folder)),
        [which, program, action, folder] if which == "cost" => {
            return cost(program, action, Path::new(folder));
        }
        _ => {}
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

/// What a check by `dryfit` costs, or a load by the `dxf` crate.
fn run(which: &str, folder: &Path) -> Cost {
    let this = std::env::current_exe().expect("this program");
    let (program, action) = match which {
        "check" => (Path::new(DRYFIT), "check"),
        _ => (this.as_path(), "load"),
    };
    let output = Command::new(&this)
        .arg("cost")
        .arg(program)
        .arg(action)
        .arg(folder)
        .output()
        .expect("the measured process");
    let text = String::from_utf8_lossy(&output.stdout);
    let numbers: Vec<f64> = text
        .split_whitespace()
        .filter_map(|n| n.parse().ok())
        .collect();
    let [seconds, cpu, peak] = numbers[..] else {
        panic!("{which}: {}", String::from_utf8_lossy(&output.stderr));
    };
    Cost { seconds, cpu, peak }
}

/// Runs a program and says what it cost: seconds, processor time, megabytes. In a
/// process of its own, since the system adds up what all of one's processes took.
fn cost(program: &str, action: &str, folder: &Path) -> ExitCode {
    let start = Instant::now();
    let ran = Command::new(program)
        .arg(action)
        .arg(folder)
        .stdout(Stdio::null())
        .stderr(Stdio::null())
        .status()
        .expect("the program");
    let seconds = start.elapsed().as_secs_f64();
    // A check says by its code what it found; more is no check.
    assert!(ran.code().is_some_and(|code| code <= 3), "{ran}");
    let usage = getrusage(UsageWho::RUSAGE_CHILDREN).expect("what it took");
    let of = |time: TimeVal| time.tv_sec() as f64 + time.tv_usec() as f64 / 1e6;
    let cpu = of(usage.user_time()) + of(usage.system_time());
    println!("{seconds} {cpu} {}", usage.max_rss() as f64 * 1024.0 / 1e6);
    ExitCode::SUCCESS
}

fn load(folder: &Path) -> ExitCode {
    let drawing = dxf::Drawing::load_file(folder.join("big.dxf")).expect("a drawing");
    assert!(drawing.entities().count() > 0);
    // As `check` ends: giving back what is held is no part of the load.
    std::mem::forget(drawing);
    ExitCode::SUCCESS
}

/// Millions of instructions of a check, where valgrind is there to count them.
fn instructions(folder: &Path) -> Option<f64> {
    let output = Command::new("valgrind")
        .args(["--tool=callgrind", "--callgrind-out-file=/dev/null"])
        .arg(DRYFIT)
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
