//! Reading the values of options.

use crate::length::{Length, Unit};

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
    [
        Unit::Inch,
        Unit::Foot,
        Unit::Millimetre,
        Unit::Centimetre,
        Unit::Metre,
    ]
    .into_iter()
    .find(|unit| unit.abbreviation() == text.trim())
    .ok_or_else(|| format!("`{text}` is no unit; write in, ft, mm, cm or m"))
}

/// `1:12`, `12`, or `1 1/2 in = 1 ft`: true length over drawn length.
pub fn scale(text: &str) -> Result<f64, String> {
    let problem = || format!("`{text}` is no scale; write 1:12, 12, or 1 1/2 in = 1 ft");
    let (drawn, real) = if let Some((drawn, real)) = text.split_once('=') {
        let drawn = crate::report::size::parse(drawn, Unit::Inch).ok_or_else(problem)?;
        let real = crate::report::size::parse(real, Unit::Inch).ok_or_else(problem)?;
        (drawn.ticks() as f64, real.ticks() as f64)
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
    crate::report::size::parse(text, Unit::Inch)
        .filter(|length| *length >= Length::ZERO)
        .ok_or_else(|| format!("`{text}` is no tolerance; write 1/32, 1/32 in or 0.8mm"))
}
