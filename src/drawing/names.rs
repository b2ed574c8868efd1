//! Names kept once: layers, line styles, blocks, dimension styles. DXF names
//! do not tell capital from small letters; the first spelling is kept.

use foldhash::HashMap;

use super::encoding::CodePage;

#[derive(Clone, Debug, Default)]
pub struct Names {
    list: Vec<String>,
    by_key: HashMap<String, u32>,
    /// The bytes as they stand in the file, to skip decoding the second time.
    by_bytes: HashMap<Box<[u8]>, u32>,
    /// Entities of one layer mostly stand together.
    last: Option<(Vec<u8>, u32)>,
}

impl Names {
    pub fn with(names: &[&str]) -> Self {
        let mut this = Self::default();
        for name in names {
            this.add((*name).to_owned());
        }
        this
    }

    pub fn id(&mut self, bytes: &[u8], page: &CodePage) -> u32 {
        if let Some((last, id)) = &self.last
            && last == bytes
        {
            return *id;
        }
        let id = match self.by_bytes.get(bytes) {
            Some(&id) => id,
            None => {
                let id = self.add(page.decode(bytes.trim_ascii()).into_owned());
                self.by_bytes.insert(bytes.into(), id);
                id
            }
        };
        let (last, last_id) = self.last.get_or_insert_with(Default::default);
        last.clear();
        last.extend_from_slice(bytes);
        *last_id = id;
        id
    }

    fn add(&mut self, name: String) -> u32 {
        let key = name.to_uppercase();
        if let Some(&id) = self.by_key.get(&key) {
            return id;
        }
        // Each name takes several bytes of the file, so ids fit for files up
        // to tens of gigabytes; past that all further names share the last id.
        let id = u32::try_from(self.list.len()).unwrap_or(u32::MAX);
        self.list.push(name);
        self.by_key.insert(key, id);
        id
    }

    pub fn get(&self, id: u32) -> &str {
        self.list.get(id as usize).map_or("", String::as_str)
    }

    pub fn count(&self) -> usize {
        self.list.len()
    }

    pub fn into_list(self) -> Vec<String> {
        self.list
    }
}
