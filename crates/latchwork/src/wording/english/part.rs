//! Names of pieces and their parts.

use latchwork_machine::needle::Side;

use crate::fact::{PartName as P, PieceName};
use crate::wording::{Language, say};

pub(in crate::wording) fn piece(PieceName { own, of_pair }: &PieceName, t: Language) -> String {
    match of_pair {
        None => own.clone(),
        Some(Side::Left) => say!(t, "{own}, left", own),
        Some(Side::Right) => say!(t, "{own}, right", own),
    }
}

pub(in crate::wording) fn part(name: &P, t: Language) -> String {
    match name {
        P::Own(name) => name.clone(),
        P::To(name) => say!(t, "to {name}", name),
        P::SideOf(name, Side::Left) => say!(t, "{name}, left side", name),
        P::SideOf(name, Side::Right) => say!(t, "{name}, right side", name),
        P::Parting => say!(t, "the work parts"),
        P::SecondSide => say!(t, "second side"),
        P::CastOn => say!(t, "cast-on"),
        P::Ending => say!(t, "ending"),
        P::Decrease => say!(t, "decrease"),
        P::Increase => say!(t, "increase"),
        P::Counter => say!(t, "counter"),
        P::RowForNew => say!(t, "row for the new stitches"),
        P::Rows => say!(t, "rows"),
        P::Yarn => say!(t, "yarn"),
        P::Rack => say!(t, "rack"),
        P::IntoWork => say!(t, "into work"),
        P::OutOfWork => say!(t, "out of work"),
        P::Hold => say!(t, "hold"),
        P::Forward => say!(t, "forward"),
        P::BackToWork => say!(t, "back to work"),
        P::ToMainBed => say!(t, "to the main bed"),
        P::Cross => say!(t, "cross"),
        P::Drop => say!(t, "drop"),
        P::TakeOff => say!(t, "take off"),
        P::PutBack => say!(t, "put back"),
        P::HangEdge => say!(t, "hang edge"),
        P::HangRow => say!(t, "hang"),
        P::Wrap => say!(t, "wrap"),
        P::WrapOn => say!(t, "wrap on"),
        P::Buttonhole => say!(t, "buttonhole"),
        P::Weights => say!(t, "weights"),
        P::Ribber => say!(t, "ribber"),
        P::Move => say!(t, "move"),
        P::ShortRows => say!(t, "short rows"),
        P::BindOff => say!(t, "bind off"),
    }
}
