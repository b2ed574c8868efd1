//! Bounds on time and memory. A drawing that needs more is read as far as the
//! bound goes; what is over it is counted and named in a warning.

/// Some bounds are lower in this crate's own unit tests, which have to reach them.
const fn bound(usual: u64, in_tests: u64) -> u64 {
    if cfg!(test) { in_tests } else { usual }
}

/// Longest single line (or binary string) looked at, bytes. The rest of a
/// longer one is passed over.
pub const MAX_LINE_BYTES: usize = 1 << 20;

/// Most groups kept of one entity. A polyline of half a million vertices fits.
pub const MAX_ENTITY_GROUPS: usize = 2_000_000;

/// Most text bytes kept of one entity.
pub const MAX_ENTITY_BYTES: usize = 64 << 20;

/// Most primitives (segments, arcs, ellipses, texts, dimensions) of one drawing.
pub const MAX_PRIMITIVES: u64 = bound(8_000_000, 300_000);

/// Most entities kept in all block definitions of one drawing.
#[allow(clippy::cast_possible_truncation)]
pub const MAX_BLOCK_ITEMS: usize = bound(4_000_000, 150_000) as usize;

/// Most attributes of one INSERT.
pub const MAX_ATTRIBUTES: usize = 10_000;

/// Most primitives that exploding INSERTs may add to one drawing.
pub const MAX_EXPANDED: u64 = bound(4_000_000, 200_000);

/// Deepest nesting of INSERTs.
pub const MAX_NESTING: u32 = 64;

/// Largest coordinate, drawing units, either side of the origin. Beyond it a
/// double no longer resolves a thousandth of an inch with room to calculate.
pub const MAX_COORDINATE: f64 = 1e10;

/// Most different warnings kept; further ones are counted.
pub const MAX_WARNINGS: usize = 100;

/// Most different (kind, reason) pairs in the tally of things left out.
pub const MAX_SKIP_KINDS: usize = 1_000;

/// Most different block paths told apart; deeper parts of later ones are
/// reported under their parent.
#[allow(clippy::cast_possible_truncation)]
pub const MAX_BLOCK_PATHS: usize = bound(100_000, 20_000) as usize;

/// Longest block path as text, bytes.
pub const MAX_PATH_BYTES: usize = 400;

/// Highest spline degree evaluated.
pub const MAX_SPLINE_DEGREE: usize = 25;

/// Most control points of one spline.
pub const MAX_SPLINE_POINTS: usize = 100_000;

/// Most straight pieces of one spline.
pub const MAX_SPLINE_PIECES: usize = 200_000;

/// A flattened spline stays within its own size times this of the true curve.
pub const SPLINE_TOLERANCE: f64 = 2e-5;

/// Deepest halving of one spline span.
pub const MAX_SPLINE_HALVINGS: u32 = 10;

/// Longest run of plain text kept from one text entity, bytes.
pub const MAX_TEXT_BYTES: usize = 1 << 16;
