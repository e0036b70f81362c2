//! From a tree to a formula: phases, rows, amounts, the sum.

use super::composition::{self, measured_density, row_density};
use super::fields;
use super::file_loader::{FileLoader, resolve_relative};
use super::formula::{Basis, Formula, Material, Phase, Row, Total, lower};
use super::product::Product;
use super::settings::Settings;
use super::system::{is_oily, is_water, percent_where};
use super::timeline;
use crate::chem::units::{Dimension, Unit};
use crate::kb::{Kb, Lookup};
use crate::syntax;
use crate::syntax::tree::{
    Amount, ErrorCode, FileKind, Heading, Line, LineAt, Measure, Node, PhaseHeading, SectionKind,
    Tree,
};
use rust_decimal::Decimal;
use smol_str::SmolStr;
use std::collections::HashMap;
use std::path::{Path, PathBuf};
use std::sync::Arc;

/// Formulas inside formulas: a chain longer than this is taken for a loop.
const MAX_NESTING: usize = 6;
const LOOP: &str = "it leads back to this formula";
const TOO_DEEP: &str = "formulas are nested more than";

/// Understands a formula file. `path` is where it lies, for the files that it names.
pub fn resolve(
    tree: &Tree,
    path: &Path,
    kb: &Kb,
    settings: &Settings,
    loader: &dyn FileLoader,
) -> Formula {
    Resolver {
        kb,
        settings,
        loader,
        chain: vec![resolve_relative(
            path,
            path.file_name()
                .and_then(|n| n.to_str())
                .unwrap_or_default(),
        )],
    }
    .formula(tree, path)
}

struct Resolver<'a> {
    kb: &'a Kb,
    settings: &'a Settings,
    loader: &'a dyn FileLoader,
    /// The files that led here.
    chain: Vec<PathBuf>,
}

impl Resolver<'_> {
    fn formula(&mut self, tree: &Tree, path: &Path) -> Formula {
        let (fields, problems) = fields::read(tree, self.kb);
        let product = Product::of(&fields);
        let is_row = |at: &&LineAt| matches!(at.line.node, Node::Row(_));
        let rows = tree.lines.iter().filter(is_row).count();
        let mut f = Formula {
            name: None,
            heading_line: 0,
            fields,
            problems,
            phases: Vec::new(),
            labels: HashMap::new(),
            rows: Vec::with_capacity(rows),
            basis: Basis::Nothing,
            total: Total::Known(Decimal::ZERO),
            components: Vec::with_capacity(rows * 2),
            gaps: Vec::new(),
            water_percent: Decimal::ZERO,
            oil_percent: Decimal::ZERO,
            has_unknown: false,
            product,
            timeline: Default::default(),
        };
        let mut current: Option<usize> = None;
        let mut lost = Lost::default();
        for (n, at) in tree.lines.iter().enumerate() {
            let line = n as u32;
            if let Some(line) = lost.pass(line, &at.line)
                && matches!(f.total, Total::Known(_))
            {
                f.total = Total::Unknown { line };
            }
            match &at.line.node {
                Node::Heading(Heading::Formula { name }) => {
                    f.heading_line = line;
                    f.name = f.name.take().or_else(|| name.clone());
                    current = None;
                }
                Node::Heading(Heading::Phase(h)) => {
                    current = Some(open_phase(&mut f, line, h, false))
                }
                Node::Heading(Heading::Premix(h)) => {
                    current = Some(open_phase(&mut f, line, h, true))
                }
                Node::Heading(_) => {
                    current = matches!(at.line.section, SectionKind::Phase | SectionKind::Premix)
                        .then(|| {
                            open_phase(
                                &mut f,
                                line,
                                &PhaseHeading::default(),
                                at.line.section == SectionKind::Premix,
                            )
                        });
                }
                Node::Row(row) => {
                    let material = self.material(&row.name.value, row.file, path);
                    let index = f.rows.len();
                    f.rows.push(Row {
                        line,
                        phase: current,
                        name: row.name.clone(),
                        file: row.file,
                        material,
                        amount: row.amount.clone(),
                        purpose: row.purpose.clone(),
                        percent: None,
                        most: None,
                        estimated: false,
                        strength_only: false,
                    });
                    if let Some(p) = current {
                        f.phases[p].rows.push(index);
                    }
                }
                // A line of a phase that cannot be read may have held an amount.
                Node::Broken
                    if matches!(at.line.section, SectionKind::Phase | SectionKind::Premix)
                        && at
                            .line
                            .errors
                            .iter()
                            .any(|e| e.code != ErrorCode::UnknownField)
                        && matches!(f.total, Total::Known(_)) =>
                {
                    f.total = Total::Unknown { line };
                }
                _ => {}
            }
        }
        if let (Some(line), Total::Known(_)) = (lost.end(), f.total) {
            f.total = Total::Unknown { line };
        }
        join_premixes(&mut f);
        for row in &mut f.rows {
            row.strength_only = strength_only(self.kb, row);
        }
        self.amounts(&mut f);
        for n in 0..f.rows.len() {
            let row = &f.rows[n];
            let complete = composition::walk_row(self.kb, n, row, &mut f.components, &mut f.gaps);
            f.has_unknown |= !complete;
        }
        f.has_unknown |= matches!(f.total, Total::Unknown { .. });
        f.components.sort_by_key(|s| (s.id, s.row));
        f.water_percent = percent_where(&f, self.kb, is_water);
        f.oil_percent = percent_where(&f, self.kb, is_oily);
        f.timeline = timeline::simulate(tree, &f, self.kb, self.settings);
        f
    }

    fn material(&mut self, name: &str, file: bool, path: &Path) -> Material {
        if file {
            return self.nested(name, path);
        }
        match self.kb.lookup(name) {
            Lookup::Known { id, strength } => Material::Known { id, strength },
            Lookup::Ambiguous(ids) => Material::Ambiguous(ids),
            Lookup::Unknown => Material::Unknown,
        }
    }

    fn nested(&mut self, name: &str, path: &Path) -> Material {
        let target = resolve_relative(path, name);
        if self.chain.contains(&target) {
            return Material::Unusable(LOOP.into());
        }
        if self.chain.len() > MAX_NESTING {
            return Material::Unusable(format!("{TOO_DEEP} {MAX_NESTING} deep"));
        }
        let text = match self.loader.read(&target) {
            Ok(text) => text,
            Err(why) => return Material::Unusable(why),
        };
        self.chain.push(target.clone());
        let tree = syntax::parse(FileKind::Formula, &text);
        let inner = self.formula(&tree, &target);
        self.chain.pop();
        if inner.rows.is_empty() {
            return Material::Unusable("it is no formula that can be read".into());
        }
        // A loop, or one formula too many, may lie deeper: all above it must not be trusted, and says why.
        if let Some((row, why)) = inner.rows.iter().find_map(|r| match &r.material {
            Material::Unusable(why) if why.starts_with(LOOP) || why.starts_with(TOO_DEEP) => {
                Some((r, why))
            }
            _ => None,
        }) {
            let by = format!(
                ", by way of \"{}\" on its line {}",
                row.name.value,
                row.line + 1
            );
            return Material::Unusable(if why.contains(", by way of") {
                why.clone()
            } else {
                format!("{why}{by}")
            });
        }
        Material::Nested(Arc::new(inner))
    }

    /// Percent of each row, and the sum.
    fn amounts(&self, f: &mut Formula) {
        f.basis = basis(f);
        if f.basis == Basis::Mixed {
            return;
        }
        // What each row weighs in the unit of the basis; fills come last.
        let mut sizes: Vec<Option<Decimal>> = vec![None; f.rows.len()];
        let mut unreadable = match f.total {
            Total::Unknown { line } => Some(line),
            Total::Known(_) => None,
        };
        let mut sum = Decimal::ZERO;
        let mut fill = None;
        let mut fills = 0;
        for (n, row) in f.rows.iter_mut().enumerate() {
            let size = match row.amount.value {
                _ if row.strength_only => None,
                Amount::Measured(m) => self.size(
                    measured_density(self.kb, &row.material),
                    m,
                    &mut row.estimated,
                ),
                Amount::Enough { about, .. } => match about {
                    Some(m) => self.size(
                        measured_density(self.kb, &row.material),
                        m,
                        &mut row.estimated,
                    ),
                    None => Some(Decimal::ZERO),
                },
                Amount::Fill { to } => {
                    fills += 1;
                    fill = Some((n, to));
                    continue;
                }
                Amount::Missing | Amount::Unreadable => None,
            };
            match size.and_then(|s| sum.checked_add(s)) {
                Some(s) => sum = s,
                None => unreadable = unreadable.or(Some(row.line)),
            }
            sizes[n] = size;
        }
        if let (Some((n, to)), 1, None) = (fill, fills, unreadable) {
            let target = match (f.basis, to) {
                (Basis::Percent | Basis::Nothing, _) => Some(Decimal::ONE_HUNDRED),
                (_, Some(m)) if m.unit.dimension() == Dimension::Volume => {
                    self.fill_to_volume(f, &sizes, n, m)
                }
                (_, Some(m)) => self.size(None, m, &mut false),
                (_, None) => None,
            };
            match target {
                Some(t) if t >= sum => {
                    sizes[n] = Some(t - sum);
                    sum = t;
                }
                // No room: the rule says so; the shares of the others are still those that are written.
                Some(_) => sizes[n] = Some(Decimal::ZERO),
                None => unreadable = Some(f.rows[n].line),
            }
        } else if fills > 1 {
            unreadable = unreadable.or(fill.map(|(n, _)| f.rows[n].line));
        }
        f.total = unreadable.map_or(Total::Known(sum), |line| Total::Unknown { line });
        let percent_of = |size: Decimal| match f.basis {
            Basis::Percent | Basis::Nothing => Some(size),
            // Parts and weights are shares of their own sum, which must be known.
            _ if unreadable.is_some() || sum.is_zero() => None,
            _ => size
                .checked_mul(Decimal::ONE_HUNDRED)
                .and_then(|s| s.checked_div(sum)),
        };
        let kb_density = |row: &Row| measured_density(self.kb, &row.material);
        for (n, row) in f.rows.iter_mut().enumerate() {
            row.percent = sizes[n].and_then(percent_of);
            if let Amount::Enough {
                at_most: Some(m), ..
            } = row.amount.value
            {
                row.most = self
                    .size(kb_density(row), m, &mut row.estimated)
                    .and_then(percent_of);
            }
        }
    }

    /// A measure in percent, grams or parts.
    fn size(&self, density: Option<Decimal>, m: Measure, estimated: &mut bool) -> Option<Decimal> {
        match m.unit.dimension() {
            Dimension::Share | Dimension::Ratio => Some(m.value),
            Dimension::Mass => m.value.checked_mul(m.unit.grams()?),
            Dimension::Volume => {
                *estimated = true;
                m.value
                    .checked_mul(m.unit.millilitres()?)?
                    .checked_mul(density.unwrap_or(Decimal::ONE))
            }
            Dimension::Count => None,
        }
    }

    /// `to 1000 mL`: the grams of the whole when the fill tops the others up to this volume, volumes taken as additive.
    fn fill_to_volume(
        &self,
        f: &mut Formula,
        sizes: &[Option<Decimal>],
        fill: usize,
        to: Measure,
    ) -> Option<Decimal> {
        let whole = to.value.checked_mul(to.unit.millilitres()?)?;
        let mut volume = Decimal::ZERO;
        let mut grams = Decimal::ZERO;
        for (row, size) in f.rows.iter().zip(sizes) {
            let Some(g) = size else { continue };
            volume += g / row_density(self.kb, &row.material).unwrap_or(Decimal::ONE);
            grams += g;
        }
        f.rows[fill].estimated = true;
        let left = (whole - volume).max(Decimal::ZERO);
        Some(grams + left * row_density(self.kb, &f.rows[fill].material).unwrap_or(Decimal::ONE))
    }
}

/// What a heading that is not understood takes out of the sum: the rows that are kept unread under it, or itself, where it
/// stands among rows and nothing under it.
#[derive(Default)]
struct Lost {
    heading: Option<u32>,
    among_rows: bool,
    /// Nothing has come under the heading yet.
    bare: bool,
    in_phase: bool,
}

impl Lost {
    /// The line to be named where an amount is lost.
    fn pass(&mut self, n: u32, line: &Line) -> Option<u32> {
        let opens =
            line.section == SectionKind::Unknown && line.node == Node::Heading(Heading::Broken);
        let lost = match line.node {
            Node::Blank | Node::Comment => return None,
            Node::Kept => {
                self.bare = false;
                self.heading.filter(|_| line.may_hold_an_amount())
            }
            _ => self.end(),
        };
        if opens {
            self.heading = Some(n);
            self.among_rows = self.in_phase;
            self.bare = true;
        } else if line.section != SectionKind::Unknown {
            self.heading = None;
        }
        self.in_phase = matches!(line.section, SectionKind::Phase | SectionKind::Premix);
        lost
    }

    fn end(&self) -> Option<u32> {
        self.heading.filter(|_| self.bare && self.among_rows)
    }
}

/// "lactic acid 80 %" alone: a strength in which it is sold, far above any level at which it is used.
fn strength_only(kb: &Kb, row: &Row) -> bool {
    let (Amount::Measured(m), Material::Known { id, strength: None }) =
        (row.amount.value, &row.material)
    else {
        return false;
    };
    let entry = kb.get(*id);
    let usual = entry.r#use.iter().filter_map(|u| u.high).max();
    m.unit == Unit::Percent
        && entry.sold_as_percent.iter().any(|s| s.0 == m.value)
        && usual.is_some_and(|u| m.value > u.0)
}

fn basis(f: &Formula) -> Basis {
    let mut found: Vec<Dimension> = Vec::new();
    let mut any = false;
    for row in &f.rows {
        let m = match row.amount.value {
            Amount::Measured(m) => Some(m),
            Amount::Fill { to } => {
                any = true;
                to
            }
            Amount::Enough { about, at_most, .. } => {
                any = true;
                about.or(at_most)
            }
            Amount::Missing | Amount::Unreadable => None,
        };
        if let Some(m) = m {
            let d = match m.unit.dimension() {
                Dimension::Volume => Dimension::Mass,
                d => d,
            };
            if !found.contains(&d) {
                found.push(d);
            }
        }
    }
    match found[..] {
        [] if any => Basis::Percent,
        [] => Basis::Nothing,
        [Dimension::Share] => Basis::Percent,
        [Dimension::Mass | Dimension::Volume] => Basis::Weight,
        [Dimension::Ratio] => Basis::Parts,
        _ => Basis::Mixed,
    }
}

/// Opens a phase, or continues the one of the same label.
fn open_phase(f: &mut Formula, line: u32, h: &PhaseHeading, premix: bool) -> usize {
    let label = h
        .label
        .as_ref()
        .map_or(SmolStr::default(), |l| l.value.clone());
    let found = f.labelled(&label);
    let n = found.unwrap_or_else(|| {
        if !label.is_empty() {
            f.labels.insert(lower(&label), f.phases.len());
        }
        f.phases.push(Phase {
            label,
            name: None,
            premix,
            heat: None,
            dry: false,
            hold_minutes: None,
            into: None,
            into_unknown: None,
            lines: Vec::new(),
            label_span: h.label.as_ref().map_or_else(Default::default, |l| l.span),
            rows: Vec::with_capacity(16),
        });
        f.phases.len() - 1
    });
    let phase = &mut f.phases[n];
    phase.lines.push(line);
    phase.name = phase
        .name
        .take()
        .or_else(|| h.name.as_ref().map(|n| n.value.clone()));
    phase.heat = phase.heat.take().or_else(|| h.heat.clone());
    phase.dry |= h.dry;
    phase.hold_minutes = phase
        .hold_minutes
        .or(h.hold_minutes.as_ref().map(|m| m.value));
    if phase.into_unknown.is_none() {
        phase.into_unknown = h.into.clone();
    }
    n
}

/// Finds the phase that each premix goes into; what is not found stays in `into_unknown`.
fn join_premixes(f: &mut Formula) {
    for n in 0..f.phases.len() {
        let Some(into) = f.phases[n].into_unknown.take() else {
            continue;
        };
        let found = f.labelled(&into.value).filter(|p| *p != n);
        match found {
            Some(p) => f.phases[n].into = Some(p),
            None => f.phases[n].into_unknown = Some(into),
        }
    }
}
