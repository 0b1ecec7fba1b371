//! Every stage as text, for tests, bug reports and other programs.

mod cloth;
mod fabric;
mod files;
mod fit;
mod json;
mod reader;
mod stages;

pub use cloth::cloth;
pub use fabric::{by_kind, fabric_page};
pub use files::{files, fresh, tidy};
pub use fit::fit;
pub use json::{plan, rehearsal};
pub use reader::{LARGEST_PLAN, PlanFault, PlanFile, PlannedPiece, read_plan};
pub use stages::{Stage, show};
