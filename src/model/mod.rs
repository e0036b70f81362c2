//! A formula resolved: amounts, phases, composition, temperatures.

pub mod acidity;
pub mod ageing;
pub mod bench;
pub mod component;
pub mod composition;
pub mod dilution;
pub mod effective_level;
pub mod fields;
pub mod file_loader;
pub mod formula;
pub mod hlb;
pub mod making;
pub mod pairs;
pub mod ph_needs;
pub mod preservation;
pub mod product;
pub mod reach;
pub mod record;
mod resolve;
pub mod seal;
pub mod settings;
pub mod shelf;
pub mod shop;
pub mod stock_item;
pub mod system;
pub mod timeline;
pub mod volume;
pub mod weights;

pub use file_loader::{FileLoader, NoFiles};
pub use formula::{Basis, Formula, Material, Phase, Row, Total};
pub use resolve::resolve;
pub use settings::Settings;
pub use stock_item::StockItem;
