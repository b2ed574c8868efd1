//! What a process cost, as the system tells it of itself.

/// Processor time of this process, where the system tells: fields 14 and 15
/// of `stat`, in hundredths of a second.
pub fn cpu() -> Option<f64> {
    let stat = std::fs::read_to_string("/proc/self/stat").ok()?;
    let (_, fields) = stat.rsplit_once(')')?;
    let ticks = fields.split_whitespace().skip(11).take(2);
    let ticks: f64 = ticks.filter_map(|t| t.parse::<f64>().ok()).sum();
    Some(ticks / 100.0)
}

/// Peak resident memory of this process, MB, where the system tells.
pub fn peak() -> Option<f64> {
    let status = std::fs::read_to_string("/proc/self/status").ok()?;
    let line = status.lines().find(|line| line.starts_with("VmHWM"))?;
    let kilobytes: f64 = line.split_whitespace().nth(1)?.parse().ok()?;
    Some(kilobytes * 1024.0 / 1e6)
}
