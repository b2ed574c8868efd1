//! Options that several commands take, and reading their values.

use super::load::Call;
use crate::length::{self, Length, Unit};
use std::path::PathBuf;

/// What every command that looks at a job takes.
#[derive(Clone, Debug, clap::Args)]
pub struct JobArguments {
    /// A job folder, or drawings (.dxf) and lists (.csv, .tsv, .txt, .xlsx, .ods) in any mix
    #[arg(value_name = "PATH", required = true)]
    pub paths: Vec<PathBuf>,
    #[command(flatten)]
    pub settings: Settings,
}

/// What a call says of the job beside its files.
#[derive(Clone, Debug, Default, clap::Args)]
pub struct Settings {
    /// Largest difference that still passes: 1/32, 1/32 in, 0.8mm
    #[arg(long, value_name = "SIZE", value_parser = tolerance)]
    pub tolerance: Option<Length>,
    /// Job file to use in place of the folder's dryfit.toml
    #[arg(long = "job", value_name = "FILE")]
    pub job_file: Option<PathBuf>,
    /// Unit of plain numbers, where nothing else says: in, ft, mm, cm, m; or
    /// for one side, drawing=mm or list=in
    #[arg(long, value_name = "UNIT", value_parser = units)]
    pub units: Vec<UnitsFor>,
    /// Scale of the drawing, where nothing else says: 1:12, or '1 1/2 in = 1 ft'
    #[arg(long, value_name = "SCALE", value_parser = scale)]
    pub scale: Option<f64>,
}

impl JobArguments {
    pub fn call(&self) -> Call {
        self.settings.call(&self.paths)
    }
}

impl Settings {
    pub fn call(&self, paths: &[PathBuf]) -> Call {
        Call {
            paths: paths.to_vec(),
            job_file: self.job_file.clone(),
            tolerance: self.tolerance,
            units: self.units.clone(),
            scale: self.scale,
            ..Call::default()
        }
    }
}

/// What a plain number is worth, and where it stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum UnitsFor {
    /// `in`: drawing and list.
    Both(Unit),
    /// `drawing=mm`
    Drawing(Unit),
    /// `list=in`
    List(Unit),
}

/// `in`, `mm`, `drawing=mm`, `list=in`.
pub fn units(text: &str) -> Result<UnitsFor, String> {
    match text.split_once('=') {
        None => unit(text).map(UnitsFor::Both),
        Some(("drawing", text)) => unit(text).map(UnitsFor::Drawing),
        Some(("list", text)) => unit(text).map(UnitsFor::List),
        Some((other, _)) => Err(format!(
            "`{other}` is neither `drawing` nor `list`; write `in`, `drawing=mm` or `list=in`"
        )),
    }
}

fn unit(text: &str) -> Result<Unit, String> {
    Unit::from_word(text).ok_or_else(|| format!("`{text}` is no unit; write in, ft, mm, cm or m"))
}

/// `1:12`, `12`, or `1 1/2 in = 1 ft`: true length over drawn length.
pub fn scale(text: &str) -> Result<f64, String> {
    let problem = || format!("`{text}` is no scale; write 1:12, 12, or 1 1/2 in = 1 ft");
    let (drawn, real) = if let Some((drawn, real)) = text.split_once('=') {
        let size = |text: &str| {
            length::parse(text, Unit::Inch)
                .map(|parsed| parsed.length.ticks() as f64)
                .map_err(|_| problem())
        };
        (size(drawn)?, size(real)?)
    } else if let Some((drawn, real)) = text.split_once(':') {
        let number = |text: &str| text.trim().parse::<f64>().ok();
        (
            number(drawn).ok_or_else(problem)?,
            number(real).ok_or_else(problem)?,
        )
    } else {
        (1.0, text.trim().parse::<f64>().map_err(|_| problem())?)
    };
    let scale = real / drawn;
    (scale.is_finite() && scale > 0.0)
        .then_some(scale)
        .ok_or_else(problem)
}

/// `1/32`, `1/32 in`, `0.8mm`; a plain number is in inches.
pub fn tolerance(text: &str) -> Result<Length, String> {
    length::parse_tolerance(text, Unit::Inch).map_err(|error| error.to_string())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn scales() {
        assert_eq!(scale("1:12"), Ok(12.0));
        assert_eq!(scale("12"), Ok(12.0));
        assert_eq!(scale("1 1/2 in = 1 ft"), Ok(8.0));
        assert_eq!(scale("1 1/2\" = 1'-0\""), Ok(8.0));
        for wrong in ["", "0", "1:0", "x", "1:", "-2", "NaN", "1 = "] {
            assert!(scale(wrong).is_err(), "{wrong}");
        }
    }

    #[test]
    fn units_of_one_side_or_both() {
        assert_eq!(units("in"), Ok(UnitsFor::Both(Unit::Inch)));
        assert_eq!(units("drawing=mm"), Ok(UnitsFor::Drawing(Unit::Millimetre)));
        assert_eq!(units("list=in"), Ok(UnitsFor::List(Unit::Inch)));
        assert!(units("sheet=in").is_err());
        assert!(units("cubits").is_err());
    }
}
