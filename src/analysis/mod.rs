//! One formula with all that is known of it: rules, papers and editor features read the same answers.
//!
//! What follows from a formula is worked out when it is first asked for, and kept. Nothing here looks at the disk or the
//! clock.

pub mod finding;
pub mod law;
pub mod skin;

use crate::kb::{Kb, Market};
use crate::model::component::Component;
use crate::model::timeline::Timeline;
use crate::model::{FileLoader, Formula, Settings, resolve};
use crate::syntax::tree::Tree;
use finding::Finding;
use law::{LawAssessment, LawCells};
use std::path::{Path, PathBuf};
use std::sync::{Arc, OnceLock};

/// Finds what is to be said of a formula. The rules stand above this module and are handed in.
pub type Judge = fn(&Analysis) -> Vec<Finding>;

/// A formula file: read, understood, and judged when that is asked for.
pub struct Analysis {
    /// Where the file lies.
    pub path: PathBuf,
    pub tree: Tree,
    pub formula: Arc<Formula>,
    pub kb: Kb,
    pub settings: Settings,
    markets: Vec<Market>,
    law: LawCells,
    findings: OnceLock<Vec<Finding>>,
    judge: Judge,
}

impl Analysis {
    /// Understands a file. `loader` gives the formulas that it names.
    pub fn new(
        tree: Tree,
        path: &Path,
        kb: &Kb,
        settings: &Settings,
        loader: &dyn FileLoader,
        judge: Judge,
    ) -> Analysis {
        let formula = resolve(&tree, path, kb, settings, loader);
        Analysis::of(tree, path, formula, kb, settings, judge)
    }

    /// Of a formula that is understood already.
    pub fn of(
        tree: Tree,
        path: &Path,
        formula: impl Into<Arc<Formula>>,
        kb: &Kb,
        settings: &Settings,
        judge: Judge,
    ) -> Analysis {
        let formula = formula.into();
        let said = formula.fields.sold_in.as_ref().map(|s| &s.value);
        Analysis {
            path: path.to_owned(),
            tree,
            markets: said.unwrap_or(&settings.markets).clone(),
            formula,
            kb: kb.clone(),
            settings: settings.clone(),
            law: LawCells::default(),
            findings: OnceLock::new(),
            judge,
        }
    }

    /// The same formula by the law of these markets, whatever the file says.
    pub fn for_markets(&self, markets: &[Market]) -> Analysis {
        Analysis {
            path: self.path.clone(),
            tree: self.tree.clone(),
            formula: self.formula.clone(),
            kb: self.kb.clone(),
            settings: self.settings.clone(),
            markets: markets.to_vec(),
            law: LawCells::default(),
            findings: OnceLock::new(),
            judge: self.judge,
        }
    }

    /// The same, judged already.
    pub fn with_findings(self, findings: Vec<Finding>) -> Analysis {
        Analysis {
            findings: OnceLock::from(findings),
            ..self
        }
    }

    /// The markets whose law is asked: those of `sold in`, else those of the settings.
    pub fn markets(&self) -> &[Market] {
        &self.markets
    }

    /// What the law of the markets says of the formula.
    pub fn law(&self) -> LawAssessment<'_> {
        LawAssessment::new(self, &self.law)
    }

    /// All that the formula holds, through blends, own ingredients, nested formulas and natural constituents, in percent of the whole,
    /// sorted by substance. No other code walks through formulas; through entries, only [`Kb::contents`].
    pub fn components(&self) -> &[Component] {
        &self.formula.components
    }

    /// What happens to each row and phase while it is made.
    pub fn timeline(&self) -> &Timeline {
        &self.formula.timeline
    }

    /// All that the rules find, sorted by place.
    pub fn findings(&self) -> &[Finding] {
        self.findings.get_or_init(|| (self.judge)(self))
    }
}
