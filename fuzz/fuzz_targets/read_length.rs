//! Any text as a size or a tolerance: no panic, and a size printed in full is
//! read as the same size.
#![no_main]

use dryfit::length::{DecimalMark, Reader, Unit, parse, parse_tolerance};
use libfuzzer_sys::fuzz_target;

fuzz_target!(|text: &str| {
    for unit in [
        Unit::Inch,
        Unit::Foot,
        Unit::Millimetre,
        Unit::Centimetre,
        Unit::Metre,
    ] {
        for decimal_mark in [None, Some(DecimalMark::Comma), Some(DecimalMark::Point)] {
            let reader = Reader { unit, decimal_mark };
            match reader.read(text) {
                Ok(parsed) => {
                    assert!(parsed.step.ticks() >= 0);
                    // A tick is 0.000 012 5 mm.
                    let ticks = parsed.length.abs().ticks();
                    if ticks < 80_000 * 1_000_000 {
                        let (whole, rest) = (ticks / 80_000, ticks % 80_000 * 125);
                        let again = format!("{whole}.{rest:07} mm");
                        let again = parse(&again, unit).expect("a plain decimal");
                        assert_eq!(again.length, parsed.length.abs(), "{text:?}");
                    }
                }
                Err(error) => assert!(!error.to_string().is_empty()),
            }
        }
        let _ = parse_tolerance(text, unit);
    }
});
