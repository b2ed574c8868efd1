//! Scales as people write them.

use crate::length::{Unit, parse};

/// `1:12`, `12`, `1 1/2 in = 1 ft`: true length over drawn length.
///
/// # Errors
/// When it is not a scale, with what to write.
pub fn scale(text: &str) -> Result<f64, String> {
    let problem = || format!("`{text}` is not a scale; write 1:12, 12, or 1 1/2 in = 1 ft");
    let (drawn, real) = if let Some((drawn, real)) = text.split_once('=') {
        let ticks = |text: &str| {
            parse(text, Unit::Inch)
                .map(|parsed| parsed.length.ticks() as f64)
                .map_err(|_| problem())
        };
        (ticks(drawn)?, ticks(real)?)
    } else {
        let number = |text: &str| text.trim().parse::<f64>().map_err(|_| problem());
        match text.split_once(':') {
            Some((drawn, real)) => (number(drawn)?, number(real)?),
            None => (1.0, number(text)?),
        }
    };
    let scale = real / drawn;
    if scale.is_finite() && scale > 0.0 {
        Ok(scale)
    } else {
        Err(problem())
    }
}

#[cfg(test)]
mod tests {
    use super::scale;

    #[test]
    fn scales_as_written() {
        assert_eq!(scale("1:12"), Ok(12.0));
        assert_eq!(scale("10"), Ok(10.0));
        assert_eq!(scale("1 1/2 in = 1 ft"), Ok(8.0));
        assert_eq!(scale("3/4\" = 1'"), Ok(16.0));
        assert_eq!(scale("2:1"), Ok(0.5));
        for text in ["", "1:0", "0:1", "-1:12", "one", "inf", "1 in = "] {
            let error = scale(text).expect_err(text);
            assert!(error.contains("is not a scale; write 1:12"), "{error}");
        }
    }
}
