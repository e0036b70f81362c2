//! The weigh sheet: what goes on the scale, phase by phase, and the method.

mod html;
mod method;
mod rows;
mod size;
mod text;

use super::page::Head;
use super::{CannotRender, FormulaContext, Paper, ReportDiagnostic, answer, table};
use crate::model::system;
use crate::model::weights::Weights;
use crate::syntax::tree::Pack;
pub use method::Evaporation;
pub(super) use rows::treatment;
pub use rows::{SheetPart, SheetRow};
use rust_decimal::Decimal;
use serde::Serialize;
pub use size::{Container, Size};

#[derive(Clone, Debug, Serialize)]
pub struct Sheet {
    pub formula: String,
    /// The maker's own count of versions.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub formula_version: Option<String>,
    pub file: String,
    /// What goes on the scale, and what the grams of the rows add up to.
    pub batch_g: Decimal,
    pub scale_g: Decimal,
    pub size: Size,
    pub rows: Vec<SheetRow>,
    pub phases: Vec<SheetPart>,
    pub total_g: Decimal,
    pub evaporation: Vec<Evaporation>,
    /// The pH aimed at: lowest, highest.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub ph: Option<[Decimal; 2]>,
    pub steps: Vec<String>,
    /// `false`: the file has no method, and the steps are what its headings amount to.
    pub steps_written: bool,
    pub cautions: Vec<String>,
    pub objections: Vec<ReportDiagnostic>,
}

/// What may be asked for otherwise than the file says.
#[derive(Clone, Debug, Default)]
pub struct SheetOptions {
    pub batch_g: Option<Decimal>,
    pub scale_g: Option<Decimal>,
    pub fill: Option<Vec<Pack>>,
    pub density_g_ml: Option<Decimal>,
}

pub fn sheet(work: &FormulaContext, wish: &SheetOptions) -> Result<Sheet, CannotRender> {
    work.amounts_known()?;
    let f = work.formula;
    let scale_g = wish
        .scale_g
        .unwrap_or_else(|| work.settings.scale_g(work.kb));
    let size = size::size(work, wish, scale_g)?;
    let too_large = || {
        CannotRender::on(
            f.heading_line,
            "these amounts are too large to be calculated exactly; name a smaller batch",
        )
    };
    let to_weigh = size.to_weigh().ok_or_else(too_large)?;
    let weights = Weights::of(f, Some(to_weigh), scale_g);
    if weights.rows.iter().any(Option::is_none) {
        return Err(too_large());
    }
    let rows = rows::rows(work, &weights);
    let total_g: Decimal = rows.iter().map(|r| r.grams).sum();
    let (steps, steps_written) = method::steps(work);
    // What the scale cannot show is said at the rows, for this batch and this scale.
    let objections = work
        .objections()
        .into_iter()
        .filter(|o| o.code != "below-scale")
        .collect();
    Ok(Sheet {
        formula: work.name(),
        formula_version: f.fields.version.as_ref().map(|v| v.value.clone()),
        file: work.shown_path(),
        batch_g: total_g,
        scale_g,
        phases: rows::parts(work, &rows),
        evaporation: method::evaporation(work, &rows),
        ph: system::ph_aim(f).map(|aim| [aim.low.normalize(), aim.high.normalize()]),
        steps,
        steps_written,
        cautions: method::cautions(work),
        objections,
        size,
        rows,
        total_g,
    })
}

impl Sheet {
    fn head(&self) -> Head {
        Head::of(
            "Weigh sheet",
            &self.formula,
            self.formula_version.as_deref(),
            &self.file,
        )
    }
}

impl SheetPart {
    /// "Phase A, water, at 75 °C, hold 20 min".
    pub fn title(&self) -> String {
        if self.label.is_empty() && self.name.is_none() {
            return "Outside of every phase".to_owned();
        }
        let label = format!(
            "{} {}",
            if self.into.is_some() {
                "Premix"
            } else {
                "Phase"
            },
            self.label
        );
        let into = self.into.as_ref().map(|p| format!("into {p}"));
        let parts = [
            Some(label.trim_end().to_owned()),
            self.name.clone(),
            self.treatment.clone(),
            into,
        ];
        parts.into_iter().flatten().collect::<Vec<_>>().join(", ")
    }
}

impl Evaporation {
    pub fn words(&self) -> String {
        let label = if self.phase.is_empty() {
            "This phase".to_owned()
        } else {
            format!("Phase {}", self.phase)
        };
        format!(
            "{label} holds {} g. Weigh it with its vessel before heating; afterwards bring it back to that weight with hot distilled water.",
            self.start_g
        )
    }
}

impl Paper for Sheet {
    fn text(&self, width: usize) -> String {
        text::text(self, width)
    }
    fn html(&self) -> String {
        html::html(self)
    }
    fn csv(&self) -> Option<String> {
        let rows = self.rows.iter().map(|r| {
            vec![
                r.phase.clone(),
                r.ingredient.clone(),
                r.percent.to_string(),
                r.grams.to_string(),
                r.note.clone().unwrap_or_default(),
            ]
        });
        Some(table::csv(
            &["phase", "ingredient", "percent", "grams", "note"],
            rows,
        ))
    }
    fn json(&self) -> String {
        answer(self)
    }
}
