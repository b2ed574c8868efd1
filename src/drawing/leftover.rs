//! Kinds and reasons of what is not used, each kept once: a block may hold
//! millions of points.

use foldhash::HashMap;

use super::limits::MAX_SKIP_KINDS;
use super::refusal::Refusal;

#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Leftover {
    /// Type as written.
    pub kind: String,
    pub reason: String,
    /// As [`super::Skipped::matters`].
    pub matters: bool,
    /// Worth a warning with the place: the file is damaged there.
    pub damage: bool,
}

#[derive(Clone, Debug, Default)]
pub struct Leftovers {
    list: Vec<Leftover>,
    ids: HashMap<(String, Refusal), u32>,
}

impl Leftovers {
    pub fn id(&mut self, kind: String, refusal: Refusal) -> u32 {
        let key = if self.list.len() < MAX_SKIP_KINDS {
            (kind, refusal)
        } else if let Some(&id) = self.ids.get(&(kind.clone(), refusal.clone())) {
            return id;
        } else {
            let reason = format!("more than {MAX_SKIP_KINDS} different kinds and reasons");
            ("other".to_owned(), Refusal::Because(reason.into()))
        };
        if let Some(&id) = self.ids.get(&key) {
            return id;
        }
        let id = u32::try_from(self.list.len()).unwrap_or(u32::MAX);
        let (kind, refusal) = &key;
        self.list.push(Leftover {
            kind: kind.clone(),
            reason: refusal.to_string(),
            matters: refusal.matters(),
            damage: matches!(refusal, Refusal::Number(_) | Refusal::Missing(_)),
        });
        self.ids.insert(key, id);
        id
    }

    pub fn count(&self) -> usize {
        self.list.len()
    }

    pub fn get(&self, id: u32) -> Option<&Leftover> {
        self.list.get(id as usize)
    }
}
