//! What came of the tries, and the table of it.

use std::collections::BTreeMap;
use std::fmt::Write;

#[derive(Clone, Copy, Debug, Default)]
pub struct Tally {
    pub tried: usize,
    pub caught: usize,
    /// Of those not caught: left open with a reason that says why.
    pub open: usize,
    /// The first finding is the changed row's own.
    pub leads: usize,
    /// Tried where one mistake alone makes the figure, and its cause came first.
    pub clear: usize,
    pub clear_first: usize,
    /// Tried where another mistake makes the same figure; its cause or this one
    /// came first; this one was shown.
    pub shared: usize,
    pub shared_first: usize,
    pub shared_shown: usize,
    /// Another row or a second finding came with it.
    pub alarms: usize,
}

impl std::ops::AddAssign for Tally {
    fn add_assign(&mut self, other: Tally) {
        self.tried += other.tried;
        self.caught += other.caught;
        self.open += other.open;
        self.leads += other.leads;
        self.clear += other.clear;
        self.clear_first += other.clear_first;
        self.shared += other.shared;
        self.shared_first += other.shared_first;
        self.shared_shown += other.shared_shown;
        self.alarms += other.alarms;
    }
}

pub type Tallies = BTreeMap<&'static str, Tally>;

pub fn sum(tallies: &Tallies) -> Tally {
    let mut all = Tally::default();
    for tally in tallies.values() {
        all += *tally;
    }
    all
}

pub fn table(tallies: &Tallies) -> String {
    let mut text = String::from(
        "| mistake | tried | caught | leads the report | cause first | same figure by another \
         mistake | either first | this one shown | others blamed |\n\
         |---|---:|---:|---:|---:|---:|---:|---:|---:|\n",
    );
    let mut line = |name: &str, t: &Tally| {
        let named = t.clear + t.shared > 0;
        let of = |n: usize, all: usize| match (named, all) {
            (false, _) => "–".to_owned(),
            (_, 0) => "0".to_owned(),
            _ => format!("{n} of {all}"),
        };
        let plain = |n: usize| {
            if named {
                n.to_string()
            } else {
                "–".to_owned()
            }
        };
        let _ = writeln!(
            text,
            "| {name} | {} | {} | {} | {} | {} | {} | {} | {} |",
            t.tried,
            t.caught,
            t.leads,
            of(t.clear_first, t.clear),
            plain(t.shared),
            plain(t.shared_first),
            plain(t.shared_shown),
            t.alarms
        );
    };
    for (name, tally) in tallies {
        line(name, tally);
    }
    line("**all**", &sum(tallies));
    text
}
