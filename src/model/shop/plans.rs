//! The plans of many batches: most are of a few formulas, so each is read and understood once.

use super::plan::{Plan, plan_of, solution};
use crate::kb::Kb;
use crate::model::Settings;
use crate::model::StockItem;
use crate::model::file_loader::{FileLoader, resolve_relative};
use crate::model::record::Record;
use std::collections::HashMap;
use std::path::{Path, PathBuf};
use std::sync::{Arc, Mutex, OnceLock, PoisonError};

/// The plan of a formula, or why it cannot be read.
pub type PlanResult = Result<Arc<Plan>, String>;

/// Plans by the formula's file. They hold for one state of the files, one knowledge base and one set of settings.
#[derive(Default)]
pub struct Plans {
    plans: Kept<PlanResult>,
    solutions: Kept<Option<StockItem>>,
}

/// One answer for each file, worked out once also where several threads ask.
type Kept<T> = Mutex<HashMap<PathBuf, Arc<OnceLock<T>>>>;

fn get<T: Clone>(kept: &Kept<T>, path: &Path, work: impl FnOnce() -> T) -> T {
    let cell = {
        let mut all = kept.lock().unwrap_or_else(PoisonError::into_inner);
        all.entry(path.to_owned()).or_default().clone()
    };
    cell.get_or_init(work).clone()
}

impl Plans {
    /// The plan of a record. None where its heading names no formula.
    pub fn of(
        &self,
        record: &Record,
        kb: &Kb,
        settings: &Settings,
        loader: &dyn FileLoader,
    ) -> Option<PlanResult> {
        let name = record.formula.as_ref()?;
        let path = resolve_relative(&record.path, &name.value);
        Some(get(&self.plans, &path, || {
            plan_of(&path, kb, settings, loader).map(Arc::new)
        }))
    }

    /// What a solution made here is; see [`solution`].
    pub fn solution(
        &self,
        file: &Path,
        kb: &Kb,
        settings: &Settings,
        loader: &dyn FileLoader,
    ) -> Option<StockItem> {
        get(&self.solutions, file, || {
            solution(file, kb, settings, loader)
        })
    }
}
