//! Days of the calendar, UTC.

use std::time::{SystemTime, UNIX_EPOCH};

/// A day of the proleptic Gregorian calendar, ordered.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Day {
    year: i64,
    month: u32,
    day: u32,
}

/// Why a text is no day.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("`{text}` is no day; write it like 2026-03-31")]
pub struct DayError {
    text: String,
}

impl Day {
    /// Today; `SOURCE_DATE_EPOCH` (reproducible-builds.org) stands in for the
    /// clock where it is set.
    pub fn today() -> Self {
        let seconds = std::env::var("SOURCE_DATE_EPOCH")
            .ok()
            .and_then(|text| text.parse::<i64>().ok())
            .or_else(|| {
                let passed = SystemTime::now().duration_since(UNIX_EPOCH).ok()?;
                i64::try_from(passed.as_secs()).ok()
            })
            .unwrap_or(0);
        Day::from_days(seconds.div_euclid(86_400))
    }

    /// The day so many days after 1970-01-01.
    fn from_days(days: i64) -> Self {
        // Counted in eras of 400 years from 0000-03-01, so that the leap day is
        // the last of its year.
        let days = days + 719_468;
        let era = days.div_euclid(146_097);
        let of_era = days.rem_euclid(146_097);
        let year_of_era = (of_era - of_era / 1_460 + of_era / 36_524 - of_era / 146_096) / 365;
        let of_year = of_era - (365 * year_of_era + year_of_era / 4 - year_of_era / 100);
        let march_month = (5 * of_year + 2) / 153;
        let day = of_year - (153 * march_month + 2) / 5 + 1;
        let month = if march_month < 10 {
            march_month + 3
        } else {
            march_month - 9
        };
        Day {
            year: year_of_era + era * 400 + i64::from(month <= 2),
            month: u32::try_from(month).unwrap_or(1),
            day: u32::try_from(day).unwrap_or(1),
        }
    }

    /// Reads `2026-03-31` (ISO 8601).
    ///
    /// # Errors
    /// When it is written another way or there is no such day.
    pub fn parse(text: &str) -> Result<Self, DayError> {
        let error = || DayError {
            text: text.to_owned(),
        };
        let pieces: Vec<&str> = text.trim().split('-').collect();
        let &[year, month, day] = pieces.as_slice() else {
            return Err(error());
        };
        let digits = |text: &str, length: usize| {
            (text.len() == length && text.bytes().all(|byte| byte.is_ascii_digit()))
                .then(|| text.parse::<u32>().ok())
                .flatten()
                .ok_or_else(error)
        };
        let (year, month, day) = (digits(year, 4)?, digits(month, 2)?, digits(day, 2)?);
        let leap = year % 4 == 0 && (year % 100 != 0 || year % 400 == 0);
        let last = match month {
            2 => 28 + u32::from(leap),
            4 | 6 | 9 | 11 => 30,
            1..=12 => 31,
            _ => 0,
        };
        if day == 0 || day > last {
            return Err(error());
        }
        Ok(Day {
            year: i64::from(year),
            month,
            day,
        })
    }
}

impl std::fmt::Display for Day {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "{:04}-{:02}-{:02}", self.year, self.month, self.day)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// POSIX.1-2017, section 4.16: 1970-01-01 is day 0; 2000-02-29 was day 11016.
    #[test]
    fn days_of_the_calendar() {
        let show = |days| Day::from_days(days).to_string();
        assert_eq!(show(0), "1970-01-01");
        assert_eq!(show(-1), "1969-12-31");
        assert_eq!(show(11_016), "2000-02-29");
        assert_eq!(show(11_017), "2000-03-01");
        // 2^31 seconds, the end of 32-bit time: 2038-01-19.
        assert_eq!(show(2_147_483_648 / 86_400), "2038-01-19");
    }

    #[test]
    fn days_are_read_strictly() {
        assert_eq!(Day::parse("2024-02-29").unwrap().to_string(), "2024-02-29");
        for wrong in [
            "2023-02-29",
            "2024-13-01",
            "24-01-01",
            "2024/01/01",
            "",
            "2024-1-1",
        ] {
            let error = Day::parse(wrong).unwrap_err().to_string();
            assert!(error.ends_with("write it like 2026-03-31"), "{error}");
        }
        assert!(Day::parse("2026-12-31").unwrap() < Day::parse("2027-01-01").unwrap());
    }
}
