//! What one walk through a DXF file tells of where and how to add to it.

use super::groups::{Form, Group, Groups};

/// Everything needed to add layers and entities.
#[derive(Clone, Debug)]
pub struct Plan<'a> {
    pub form: Form,
    /// `$ACADVER`, `AC1009` when the file does not say.
    pub version: String,
    /// Where `$HANDSEED` stands, and its value.
    pub seed: Option<(usize, usize, u64)>,
    /// The highest handle seen; 0 when the file has none.
    pub highest: u64,
    /// Start of the group that ends the layer table.
    pub layers_end: Option<usize>,
    pub layer_names: Vec<Vec<u8>>,
    /// Handle of the layer table, for its records to point at.
    pub layer_table: Option<Vec<u8>>,
    /// The record of layer 0, as an example of what this file's layers carry.
    pub layer_zero: Vec<Group<'a>>,
    pub model_space: Option<Vec<u8>>,
    pub paper_space: Option<Vec<u8>>,
    /// Start of the group that ends the entities section.
    pub entities_end: Option<usize>,
    /// Where the walk broke off, when it did.
    pub broken_at: Option<usize>,
    pub ended: bool,
}

impl Plan<'_> {
    /// Release 13 or later: handles and subclass markers are needed.
    pub fn has_subclasses(&self) -> bool {
        self.version.as_str() >= "AC1012"
    }

    /// Release 2000 or later: entities name their owner.
    pub fn has_owners(&self) -> bool {
        self.version.as_str() >= "AC1015"
    }
}

/// Walks through the file.
pub fn plan(bytes: &[u8]) -> Plan<'_> {
    let mut groups = Groups::new(bytes);
    let mut plan = Plan {
        form: groups.form(),
        version: "AC1009".to_owned(),
        seed: None,
        highest: 0,
        layers_end: None,
        layer_names: Vec::new(),
        layer_table: None,
        layer_zero: Vec::new(),
        model_space: None,
        paper_space: None,
        entities_end: None,
        broken_at: None,
        ended: false,
    };
    let mut walk = Walk::default();
    for group in groups.by_ref() {
        if walk.step(&mut plan, group) {
            break;
        }
    }
    plan.broken_at = groups.broken_at;
    plan
}

#[derive(Default)]
struct Walk<'a> {
    section: Vec<u8>,
    table: Vec<u8>,
    /// The type of the record that is being read.
    record: Vec<u8>,
    variable: Vec<u8>,
    awaits_name: bool,
    handle: Vec<u8>,
    layer: Vec<Group<'a>>,
}

impl<'a> Walk<'a> {
    /// True at the end of the file.
    fn step(&mut self, plan: &mut Plan<'a>, group: Group<'a>) -> bool {
        if group.code == 0 {
            self.finish_layer(plan);
            match group.value {
                b"SECTION" | b"TABLE" => self.awaits_name = true,
                b"ENDSEC" => {
                    if self.section == b"ENTITIES" {
                        plan.entities_end = Some(group.start);
                    }
                    self.section.clear();
                }
                b"ENDTAB" => {
                    if self.table == b"LAYER" {
                        plan.layers_end = Some(group.start);
                    }
                    self.table.clear();
                }
                b"EOF" => {
                    plan.ended = true;
                    return true;
                }
                _ => {}
            }
            self.record = group.value.to_vec();
            self.handle.clear();
            return false;
        }
        if group.code == 2 && self.awaits_name {
            self.awaits_name = false;
            let name = group.value.to_ascii_uppercase();
            if self.record == b"SECTION" {
                self.section = name;
            } else {
                self.table = name;
            }
            return false;
        }
        if self.section == b"HEADER" {
            self.header(plan, group);
            return false;
        }
        if matches!(group.code, 5 | 105) {
            if self.handle.is_empty() {
                self.handle = group.value.to_vec();
            }
            if let Some(handle) = hexadecimal(group.value) {
                plan.highest = plan.highest.max(handle);
            }
            if self.record == b"TABLE" && self.table == b"LAYER" {
                plan.layer_table = Some(group.value.to_vec());
            }
        }
        if self.section == b"TABLES" && self.record == self.table {
            if self.table == b"LAYER" {
                self.layer.push(group);
            } else if self.table == b"BLOCK_RECORD" && group.code == 2 {
                let handle = || Some(self.handle.clone()).filter(|handle| !handle.is_empty());
                if group.value.eq_ignore_ascii_case(b"*MODEL_SPACE") {
                    plan.model_space = handle();
                } else if group.value.eq_ignore_ascii_case(b"*PAPER_SPACE") {
                    plan.paper_space = handle();
                }
            }
        }
        false
    }

    fn header(&mut self, plan: &mut Plan<'_>, group: Group<'_>) {
        if group.code == 9 {
            self.variable = group.value.to_vec();
        } else if self.variable == b"$ACADVER" && group.code == 1 {
            plan.version = String::from_utf8_lossy(group.value).into_owned();
        } else if self.variable == b"$HANDSEED"
            && group.code == 5
            && let Some(seed) = hexadecimal(group.value)
        {
            plan.seed = Some((group.value_at, group.value.len(), seed));
        }
    }

    fn finish_layer(&mut self, plan: &mut Plan<'a>) {
        let layer = std::mem::take(&mut self.layer);
        let Some(name) = layer.iter().find(|group| group.code == 2) else {
            return;
        };
        plan.layer_names.push(name.value.to_ascii_uppercase());
        if name.value == b"0" {
            plan.layer_zero = layer;
        }
    }
}

fn hexadecimal(value: &[u8]) -> Option<u64> {
    u64::from_str_radix(std::str::from_utf8(value).ok()?, 16).ok()
}
