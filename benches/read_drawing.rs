//! Reading drawings of 10 to 3,000 cabinets: seconds, peak memory and, where
//! `perf` may count them, instructions, side by side with the `dxf` crate's
//! load of the same file in the same run.
//!
//! ```text
//! cargo bench --bench read_drawing             sizes 10, 100, 1000, 3000
//! cargo bench --bench read_drawing -- 10 20    other sizes
//! cargo bench --bench read_drawing -- write FOLDER 3000
//!                                              only write big.dxf and big.csv
//! ```
//!
//! Every reading is a process of its own, so that peak memory is its own.

mod big;
mod costs;

use costs::{cpu, peak};
use std::path::Path;
use std::process::{Command, Stdio};
use std::time::Instant;

const ROUNDS: usize = 3;

fn main() {
    // Cargo adds `--bench`.
    let arguments: Vec<String> = std::env::args()
        .skip(1)
        .filter(|argument| argument != "--bench")
        .collect();
    if let [which, file] = &arguments[..]
        && (which == "ours" || which == "crate")
    {
        return child(which, Path::new(file));
    }
    if let [write, folder, size] = &arguments[..]
        && write == "write"
    {
        let size = size.parse().expect("a number of cabinets");
        big::write(Path::new(folder), "big", size).expect("a drawing");
        return;
    }
    let mut sizes: Vec<usize> = arguments.iter().filter_map(|a| a.parse().ok()).collect();
    if sizes.is_empty() {
        sizes = vec![10, 100, 1000, 3000];
    }
    let folder = tempfile::tempdir().expect("a folder for the drawings");
    println!("                    dryfit                             dxf crate");
    println!(
        "cabinets     MB     s       cpu s   MB      M instr    s       cpu s   MB      M instr    ratio  of cpu"
    );
    for size in sizes {
        let bytes = big::write(folder.path(), "big", size).expect("a drawing");
        let file = folder.path().join("big.dxf");
        let ours = best("ours", &file);
        let theirs = best("crate", &file);
        println!(
            "{size:>8} {:>7.1}    {ours}   {theirs}   {:.3}  {:.3}",
            bytes as f64 / 1e6,
            ours.seconds / theirs.seconds,
            ours.cpu / theirs.cpu,
        );
    }
}

struct Cost {
    seconds: f64,
    /// Seconds of processor time, which other work on the machine disturbs less.
    cpu: f64,
    megabytes: f64,
    instructions: Option<f64>,
}

impl std::fmt::Display for Cost {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(
            f,
            "{:<7.4} {:<7.2} {:<7.1} ",
            self.seconds, self.cpu, self.megabytes
        )?;
        match self.instructions {
            Some(n) => write!(f, "{n:<8.0}"),
            None => write!(f, "-       "),
        }
    }
}

/// The fastest of some rounds; the others were disturbed.
fn best(which: &str, file: &Path) -> Cost {
    (0..ROUNDS)
        .map(|_| run(which, file))
        .min_by(|a, b| a.seconds.total_cmp(&b.seconds))
        .expect("a round")
}

fn run(which: &str, file: &Path) -> Cost {
    let me = std::env::current_exe().expect("this program");
    let output = Command::new(&me)
        .arg(which)
        .arg(file)
        .output()
        .expect("the measured process");
    let text = String::from_utf8_lossy(&output.stdout);
    let mut numbers = text
        .split_whitespace()
        .filter_map(|n| n.parse::<f64>().ok());
    let mut next = || numbers.next();
    let (Some(seconds), Some(cpu), Some(megabytes)) = (next(), next(), next()) else {
        panic!("{which}: {}", String::from_utf8_lossy(&output.stderr));
    };
    Cost {
        seconds,
        cpu,
        megabytes,
        instructions: instructions(&me, which, file),
    }
}

/// Millions of instructions in user space of the whole process.
fn instructions(me: &Path, which: &str, file: &Path) -> Option<f64> {
    let output = Command::new("perf")
        .args(["stat", "-x", ",", "-e", "instructions:u"])
        .arg(me)
        .arg(which)
        .arg(file)
        .stdin(Stdio::null())
        .output()
        .ok()?;
    let text = String::from_utf8_lossy(&output.stderr).into_owned();
    let line = text.lines().find(|line| line.contains("instructions"))?;
    let count: f64 = line.split(',').next()?.parse().ok()?;
    Some(count / 1e6)
}

/// Reads the file once; prints seconds and peak megabytes.
fn child(which: &str, file: &Path) {
    let start = Instant::now();
    let seconds = match which {
        "ours" => {
            let sheet = dryfit::drawing::read_file(file, "big.dxf").expect("a sheet");
            assert!(sheet.warnings.is_empty(), "{:?}", sheet.warnings);
            start.elapsed()
        }
        _ => {
            let drawing = dxf::Drawing::load_file(file).expect("a drawing");
            assert!(drawing.entities().count() > 0);
            start.elapsed()
        }
    };
    println!(
        "{} {} {}",
        seconds.as_secs_f64(),
        cpu().unwrap_or(f64::NAN),
        peak().unwrap_or(f64::NAN)
    );
}
