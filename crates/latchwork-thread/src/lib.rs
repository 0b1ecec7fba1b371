//! The thread: the whole path of the yarn through a rehearsed piece, as a diagram of crossings.
//!
//! The piece is seen from the knitter's side, the main bed behind and the ribber in front. The diagram grows row by
//! row: the loops that are live stand side by side as pairs of strands, and each step of the plan crosses strands,
//! turns the yarn up into a new pair, or closes a pair that left its needle. A repeat of it is laid out in space
//! (`cell`), checked (`crossings`) and brought to rest (`relax`, as bytes by `keep`); whole pieces are sheets (`sheet`); `look` shows both.

mod weave;
pub mod path;
mod carry;
mod wrap;
mod fasten;
pub mod demand;
pub mod code;
pub mod cell;
pub mod crossings;
pub mod rod;
mod descent;
mod newton;
pub mod relax;
pub mod keep;
pub mod portrait;
pub mod look;
mod sparse;
pub mod sheet;
pub mod form;
pub mod space;
pub mod scene;
