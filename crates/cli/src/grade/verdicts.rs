//! Marks that are kept: in memory for the run, with a bound, and in a folder between runs where one is given.

use sealin_core::canon::{Hash, Writer, hex};
use sealin_exercise::grade::{Judge, kept};
use sealin_exercise::marking::Marks;
use sealin_exercise::project::Project;
use sealin_exercise::scenario::Scenario;
use std::collections::HashMap;
use std::io::Write;
use std::path::{Path, PathBuf};
use std::sync::{Arc, Mutex, OnceLock, PoisonError};

/// Designs of which the marks stay in memory at least, once they were asked for; at most twice as many.
const MOST_KEPT: usize = 500;

/// What was kept of one design. Whoever needs it while another computes it waits; none where it cannot be kept.
type Slot = Arc<OnceLock<Option<String>>>;

/// Marks by what they depend on.
#[derive(Default)]
pub struct Verdicts {
    memory: Mutex<Generations>,
    folder: Option<PathBuf>,
}

/// What was asked for lately, and before that. Nothing iterates over either.
#[derive(Default)]
struct Generations {
    young: HashMap<Hash, Slot>,
    old: HashMap<Hash, Slot>,
}

impl Generations {
    fn slot(&mut self, key: Hash) -> Slot {
        if let Some(slot) = self.young.get(&key) {
            return Arc::clone(slot);
        }
        if self.young.len() >= MOST_KEPT {
            self.old = std::mem::take(&mut self.young);
        }
        let slot = self.old.remove(&key).unwrap_or_default();
        self.young.insert(key, Arc::clone(&slot));
        slot
    }
}

impl Verdicts {
    /// With a folder, which is made where it is not there.
    pub fn new(folder: Option<PathBuf>) -> Result<Verdicts, String> {
        if let Some(folder) = &folder {
            std::fs::create_dir_all(folder).map_err(|e| format!("{}: {e}", folder.display()))?;
        }
        Ok(Verdicts { folder, ..Verdicts::default() })
    }

    /// The marks of a work: kept ones, or computed now.
    pub fn marks(&self, scenario: &Scenario, project: &Project, judge: Judge) -> Marks {
        let key = kept::key(scenario, project, judge);
        let slot = self.memory.lock().unwrap_or_else(PoisonError::into_inner).slot(key);
        let mut now = None;
        let text = slot.get_or_init(|| {
            let file = self.folder.as_ref().map(|folder| File::of(folder, &key));
            let found = file.as_ref().and_then(File::read);
            // What was damaged in a way that the file does not show is computed anew, too.
            if let Some(text) = found.filter(|text| kept::read(scenario, text).is_some()) {
                return Some(text);
            }
            let marks = judge.marks(scenario, project);
            let text = kept::write(&marks);
            if let (Some(file), Some(text)) = (&file, &text) {
                file.write(text);
            }
            now = Some(marks);
            text
        });
        now.or_else(|| kept::read(scenario, text.as_ref()?)).unwrap_or_else(|| judge.marks(scenario, project))
    }
}

/// A file of the folder: a hash over key and text, and the text.
struct File {
    path: PathBuf,
    key: Hash,
}

impl File {
    fn of(folder: &Path, key: &Hash) -> File {
        let name = hex(key);
        File { path: folder.join(&name[..2]).join(format!("{name}.kept")), key: *key }
    }

    fn sum(&self, text: &str) -> String {
        hex(&Writer::new("sealin kept file").bytes(&self.key).str(text).finish())
    }

    /// The text, where there is one and nothing of it is damaged.
    fn read(&self) -> Option<String> {
        let file = std::fs::read_to_string(&self.path).ok()?;
        let (sum, text) = file.split_once('\n')?;
        (sum == self.sum(text)).then(|| text.to_string())
    }

    /// Writes it whole or not at all. Where that cannot be done it is computed again next time.
    fn write(&self, text: &str) {
        let Some(folder) = self.path.parent() else { return };
        let written = std::fs::create_dir_all(folder).and_then(|()| {
            let mut file = tempfile::NamedTempFile::new_in(folder)?;
            write!(file, "{}\n{text}", self.sum(text))?;
            file.persist(&self.path).map_err(|e| e.error)
        });
        if let Err(e) = written {
            eprintln!("{}: cannot be kept: {e}", self.path.display());
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// What is asked for often stays while others come and go; no more than two generations are there.
    #[test]
    fn within_the_bound_and_the_asked_for_stays() {
        let key = |n: usize| -> Hash { Writer::new("test").u64(n as u64).finish() };
        let mut memory = Generations::default();
        memory.slot(key(0)).set(Some("kept".to_string())).unwrap();
        for n in 1..=20 * MOST_KEPT {
            memory.slot(key(n));
            if n % (MOST_KEPT / 2) == 0 {
                assert!(memory.slot(key(0)).get().is_some(), "after {n}");
            }
            assert!(memory.young.len() <= MOST_KEPT && memory.old.len() <= MOST_KEPT);
        }
        assert!(!memory.young.contains_key(&key(1)) && !memory.old.contains_key(&key(1)));
    }
}
