//! What the cloth will look like: each fabric from near, each piece whole, and both in words.

use latchwork_machine::loops::Kind;
use latchwork_machine::needle::Bed;
use latchwork_thread::cell::Cell;
use latchwork_thread::look::{Face, Pixels, pixels};

use crate::check::Proven;
use crate::cloth::AtRest;
use crate::design::Design;
use crate::fabric::Fabric;
use crate::reach::{Looks, PieceLook, ink, public_face};
use crate::units::Mm;

/// A picture of cloth.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ClothPicture {
    /// What it shows.
    pub caption: String,
    /// What is to be seen, in words.
    pub alt: String,
    /// The picture.
    pub pixels: Pixels,
    /// How much room it takes.
    pub shape: Shape,
}

/// What a picture of cloth takes on the page.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Shape {
    /// A close-up of a fabric.
    Near,
    /// A piece across the page.
    Wide,
    /// A piece beside others.
    Narrow,
}

/// Side of a close-up in millimetres, and pixels across it and across a piece.
const NEAR: f64 = 14.0;
const NEAR_ACROSS: usize = 360;
const PIECE_ACROSS: usize = 1000;
/// Plies of the yarn as drawn.
const PLIES: u32 = 2;

/// The pictures of a handout: both faces of each fabric, and the public face of each piece in the middle one of some
/// of the proven sizes (by place among them).
#[must_use]
pub fn cloth(proven: &Proven, sizes: &[usize], looks: &Looks) -> Vec<ClothPicture> {
    let design = proven.design();
    let mut all = Vec::new();
    for look in &looks.all {
        let Ok((cell, rest)) = &look.rested else { continue };
        let Some(yarn) = design.yarns.get(look.yarn) else { continue };
        let (strands, window) = rest.close_up(rest.to_fill(NEAR), ink(yarn).colour, 0.3);
        for (face, side) in [(Face::Far, "main bed's side"), (Face::Near, "ribber's side")] {
            all.push(ClothPicture {
                caption: format!("{}, {side}, {} across", look.fabric.name, design.show.length(Mm(window[2]))),
                alt: near(look.fabric, cell, rest, face),
                pixels: pixels(&strands, window, face, 2 * NEAR_ACROSS, PLIES).halved(),
                shape: Shape::Near,
            });
        }
    }
    let middle = sizes.get(sizes.len() / 2).and_then(|i| proven.sizes().get(*i));
    let Some(size) = middle else { return all };
    let name = &design.sizes[size.size].name;
    for (plan, proof) in size.plans.pieces.iter().zip(&size.pieces) {
        let Some(look) = looks.piece(design, plan, &proof.run) else { continue };
        let Some(yarn) = look.yarn.as_ref().ok().filter(|y| y.wrong == 0) else { continue };
        let face = public_face(design, plan.piece);
        // Narrow pieces stand side by side.
        let wide = yarn.window[2] > 1.2 * yarn.window[3];
        let across = if wide { PIECE_ACROSS } else { PIECE_ACROSS / 2 };
        all.push(ClothPicture {
            caption: format!("{}, size {name}, public side, flat and at rest", plan.name),
            alt: whole(design, plan, &look),
            pixels: pixels(&yarn.strands, yarn.window, face, 2 * across, PLIES).halved(),
            shape: if wide { Shape::Wide } else { Shape::Narrow },
        });
    }
    all
}

/// One face of a fabric in words.
fn near(fabric: &Fabric, cell: &Cell, rest: &AtRest, face: Face) -> String {
    let (bed, other) = if face == Face::Far { (Bed::Main, "ribber") } else { (Bed::Ribber, "main bed") };
    let stitches = || cell.courses.iter().flat_map(|c| &c.stitches);
    let columns = |here: bool| {
        let mut places: Vec<i32> = stitches().filter(|s| (s.bed == bed) == here).map(|s| s.place).collect();
        places.sort_unstable();
        places.dedup();
        places.len()
    };
    let (smooth, back) = (columns(true), columns(false));
    let shown = match (smooth, back) {
        (_, 0) => "smooth columns of V-shaped loops, edge to edge".to_string(),
        (0, _) => "rows of small arcs, bump beside bump, with no smooth columns".to_string(),
        (s, b) => {
            format!(
                "{s} smooth column{} of V-shaped loops, then {b} of the {other}'s, which lie deeper and show arcs",
                if s == 1 { "" } else { "s" }
            )
        }
    };
    let tucks = |here: bool| stitches().any(|s| s.kind == Kind::Tuck && (s.bed == bed) == here);
    let tucked = match (tucks(true), tucks(false)) {
        (false, false) => "",
        (true, _) => " Tucked yarn lies behind its long loops and spreads them.",
        (false, true) => " Tucked yarn on the other side pushes its columns apart.",
    };
    format!(
        "A close-up of {} as its yarn lies: {shown}.{tucked} In 10 cm {:.0} needles and {:.0} passes by the yarn alone; {:.1} mm thick; the yarn covers {:.0} % of the area.",
        fabric.name,
        100.0 / rest.needle(),
        100.0 / rest.pass(),
        rest.thickness(),
        100.0 * rest.cover
    )
}

/// A piece in words.
fn whole(design: &Design, plan: &crate::plan::PiecePlan, look: &PieceLook) -> String {
    let length = |mm: f64| design.show.length(Mm(mm));
    let parts = look.rest.parts.iter().filter_map(|p| {
        let part = plan.origins.get(p.part)?;
        let (narrow, wide) = (length(p.width.0), length(p.width.1));
        let wide = if narrow == wide { wide } else { format!("{narrow} to {wide}") };
        Some(format!("{}, {}: {wide} wide, {} long", part.label, part.fabric()?, length(p.length.1)))
    });
    let parts: Vec<String> = parts.collect();
    format!("The {} as its yarn lies, from its beginning up. {}.", plan.name, parts.join("; "))
}
