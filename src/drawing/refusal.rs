//! Why one entity was not used.

use std::borrow::Cow;

/// Printed in the tally of entities left out.
#[derive(Clone, Debug, PartialEq, Eq, Hash, thiserror::Error)]
pub enum Refusal {
    #[error("the value of group {0} is no usable number")]
    Number(i32),
    #[error("group {0} is missing")]
    Missing(i32),
    #[error("{0}")]
    Because(Cow<'static, str>),
    /// Nothing measured could be in it, whatever it is.
    #[error("{0}")]
    Nothing(&'static str),
}

impl Refusal {
    /// True when an edge, text or dimension may have been lost.
    pub fn matters(&self) -> bool {
        !matches!(self, Self::Nothing(_))
    }
}

impl From<&'static str> for Refusal {
    fn from(reason: &'static str) -> Self {
        Self::Because(Cow::Borrowed(reason))
    }
}
