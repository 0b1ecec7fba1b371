//! Pictures of the fabric: each fabric close up, each piece whole, and both in words.

use std::sync::Arc;

use latchwork_machine::loops::Kind;
use latchwork_machine::needle::Bed;
use latchwork_machine::rehearsal::Run;
use latchwork_thread::cell::Cell;
use latchwork_thread::look::{Face, Pixels, Strand, pixels};

use super::shown;
use crate::check::{Proven, SizeProof};
use crate::cloth::{AtRest, PieceAtRest, Sample};
use crate::design::{Design, Stretch};
use crate::fabric::Fabric;
use crate::notes::ONE_SIZE;
use crate::plan::PiecePlan;
use crate::reach::{Look, Looks, PieceLook, ink, public_face, sampled, sheet, stuff};
use crate::units::{Language, Mm, Show};
use crate::wording::{piece, say};

/// A picture of a fabric or of a piece.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ClothPicture {
    /// What it shows.
    pub caption: String,
    /// What can be seen, in words.
    pub alt: String,
    /// The picture as a JPEG, on white.
    pub jpeg: Vec<u8>,
    /// How much room it takes.
    pub shape: Shape,
    /// The foot of the piece at twice life size, for the head of the cover, as a JPEG; empty where the cover does not show it.
    pub cover: Vec<u8>,
}

/// The room that a picture takes on the page.
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
/// The part of a piece shown on the cover: its width, half of that in print; its height to its width; pixels across it.
const COVER_MM: f64 = 105.0;
const COVER_HIGH: f64 = 146.0 / 210.0;
const COVER_ACROSS: usize = 1400;
/// Rows of its pixels drawn at a time.
const BAND: usize = 128;
/// Plies of the yarn as drawn.
const PLIES: u32 = 2;

/// A picture that a handout has room for.
#[derive(Debug, Clone)]
pub struct Wanted<'a> {
    design: &'a Design,
    what: What<'a>,
}

#[derive(Debug, Clone)]
enum What<'a> {
    Near { fabric: Arc<Fabric>, yarn: usize, sample: Sample, face: Face },
    Whole { size: &'a str, plan: &'a PiecePlan, run: &'a Run, cover: bool },
}

/// The pictures that a handout has room for: both faces of each fabric, and the public side of each piece in the size
/// that pictures show, of the proven sizes named (by place).
#[must_use]
pub fn cloth<'a>(proven: &'a Proven, sizes: &[usize]) -> Vec<Wanted<'a>> {
    let design = proven.design();
    let samples = Looks::samples(design).into_iter();
    let near = samples.flat_map(|(fabric, yarn, sample)| {
        [Face::Far, Face::Near].map(|face| What::Near { fabric: Arc::clone(&fabric), yarn, sample, face })
    });
    let all: Vec<&SizeProof> = sizes.iter().filter_map(|i| proven.sizes().get(*i)).collect();
    let middle = shown(design, &all);
    let pieces = middle.into_iter().flat_map(|size| {
        let name = design.sizes[size.size].name.as_str();
        // A piece with rows of unknown length cannot be drawn as it lies.
        let drawn = |plan: &PiecePlan| size.stitches.pieces.get(plan.piece).is_some_and(|p| p.length().is_some());
        let pieces = size.plans.pieces.iter().zip(&size.pieces).filter(move |(plan, _)| drawn(plan));
        pieces.map(move |(plan, proof)| {
            // The cover shows the first piece unless the author has a photograph.
            let cover = plan.piece == 0 && !plan.mirrored && design.publication.photo.is_none();
            What::Whole { size: name, plan, run: &proof.run, cover }
        })
    });
    near.chain(pieces).map(|what| Wanted { design, what }).collect()
}

fn stretches(design: &Design) -> impl Iterator<Item = &Stretch> {
    design.pieces.iter().flat_map(|p| &p.stretches)
}

impl Wanted<'_> {
    /// A text of everything that determines the picture: where it is the same, so is the picture.
    #[must_use]
    pub fn name(&self) -> String {
        let d = self.design;
        let show = d.show;
        match &self.what {
            What::Near { fabric, yarn, sample, face } => {
                let inks: Vec<_> = d.yarns.iter().map(ink).collect();
                let (stuff, of) = (sample.asked(fabric, 1.0).name(), d.yarns.get(*yarn).map(ink));
                let laid: Vec<_> = stretches(d).filter(|s| s.fabric == *fabric).map(|s| (&s.yarns, &s.gauge)).collect();
                format!("near {stuff} {sample:?} {face:?} {of:?} {inks:?} {laid:?} {show:?}")
            }
            What::Whole { size, plan, cover, .. } => {
                let (yarns, profile) = (&d.yarns, &d.machine.profile);
                let (stuff, samples, face) = (stuff(d, plan), Looks::samples(d), public_face(d, plan.piece));
                format!("whole {cover} {size} {show:?} {face:?} {profile:?} {yarns:?} {samples:?} {stuff:?} {plan:?}")
            }
        }
    }

    /// The loops of a whole piece; 0 for a close-up. The picture with the most takes the longest.
    #[must_use]
    pub fn loops(&self) -> usize {
        match self.what {
            What::Near { .. } => 0,
            What::Whole { run, .. } => run.loops.len(),
        }
    }

    /// The piece that it shows, at rest. It does not depend on the looks of the fabrics and can be computed before them.
    #[must_use]
    pub fn sheet(&self) -> Option<PieceAtRest> {
        match self.what {
            What::Near { .. } => None,
            What::Whole { plan, run, .. } => sheet(self.design, plan, run),
        }
    }

    /// Draws it on its [`Wanted::sheet`]; `jpeg` encodes pixels. A piece that did not come to rest, or has a crossing the
    /// wrong way round, is not shown.
    ///
    /// # Errors
    /// Why it is not shown, in a sentence.
    pub fn draw(
        &self,
        looks: &Looks,
        sheet: Option<PieceAtRest>,
        jpeg: &dyn Fn(&Pixels) -> Vec<u8>,
    ) -> Result<ClothPicture, String> {
        match &self.what {
            What::Near { fabric, yarn, sample, face } => {
                self.near(looks, (fabric.clone(), *yarn, *sample), *face, jpeg)
            }
            What::Whole { size, plan, run, cover } => self.whole(looks, sheet, size, (plan, run, *cover), jpeg),
        }
    }

    fn near(
        &self,
        looks: &Looks,
        (fabric, yarn, sample): (Arc<Fabric>, usize, Sample),
        face: Face,
        jpeg: &dyn Fn(&Pixels) -> Vec<u8>,
    ) -> Result<ClothPicture, String> {
        let t = self.design.show.language;
        let missing = || say!(t, "There is no picture of {name} from near: its yarn is not known.", name = fabric.name);
        let look = looks
            .all
            .iter()
            .find(|l| (l.fabric.clone(), l.yarn, l.loop_length) == (fabric.clone(), yarn, sample.loop_length));
        let (look, yarn) = look.zip(self.design.yarns.get(yarn)).ok_or_else(missing)?;
        let not = |why| say!(t, "There is no picture of {name} from near: {why}.", name = fabric.name, why);
        if !look.own {
            return self.near_sample(look, face, jpeg);
        }
        let (cell, rest) = look.rested.as_ref().map_err(not)?;
        let (strands, window) = rest.close_up(rest.to_fill(NEAR), ink(yarn).colour, 0.3);
        Ok(ClothPicture {
            caption: self.caption(&fabric, face, window[2]),
            alt: near(self.design.show, &fabric, cell, rest, face),
            jpeg: jpeg(&pixels(&strands, window, face, 2 * NEAR_ACROSS, PLIES).halved()),
            shape: Shape::Near,
            cover: Vec::new(),
        })
    }

    fn caption(&self, fabric: &Fabric, face: Face, across: f64) -> String {
        let t = self.design.show.language;
        let side = if face == Face::Far { say!(t, "main-bed side") } else { say!(t, "ribber side") };
        let length = self.design.show.length(Mm(across));
        say!(t, "{name}, {side}, {length} across", name = fabric.name, side, length)
    }

    /// A fabric without a repeat at rest of its own, drawn from its diagram.
    fn near_sample(&self, look: &Look, face: Face, jpeg: &dyn Fn(&Pixels) -> Vec<u8>) -> Result<ClothPicture, String> {
        let t = self.design.show.language;
        let name = &look.fabric.name;
        let (yarn, window) = sampled(self.design, look)
            .filter(|(yarn, _)| yarn.wrong == 0)
            .ok_or_else(|| say!(t, "There is no picture of {name} from near: its yarn cannot be laid out.", name))?;
        let caption = self.caption(&look.fabric, face, window[2]);
        let alt = say!(
            t,
            "A sample of {name}, its yarn drawn along its crossings: {caption}. {about}",
            name,
            caption,
            about = look.fabric.cloth
        );
        let jpeg = jpeg(&pixels(&yarn.strands, window, face, 2 * NEAR_ACROSS, PLIES).halved());
        Ok(ClothPicture { caption, alt, jpeg, shape: Shape::Near, cover: Vec::new() })
    }

    fn whole(
        &self,
        looks: &Looks,
        sheet: Option<PieceAtRest>,
        size: &str,
        (plan, run, cover): (&PiecePlan, &Run, bool),
        jpeg: &dyn Fn(&Pixels) -> Vec<u8>,
    ) -> Result<ClothPicture, String> {
        let t = self.design.show.language;
        let design = self.design;
        let not = |why: String| say!(t, "There is no picture of the {name}: {why}.", name = piece(&plan.name, t), why);
        if let Some((fabric, why)) = looks.unknown(design, plan) {
            return Err(not(say!(t, "of its {name}, {why}", name = fabric.name, why)));
        }
        let rest = sheet.ok_or_else(|| not(say!(t, "it has no rows of a fabric")))?;
        if !rest.end.settled() {
            return Err(not(say!(t, "it did not come to rest")));
        }
        let look = looks.piece_on(rest, design, plan, run);
        let yarn = look.yarn.as_ref().map_err(|why| not(why.to_string()))?;
        if yarn.wrong > 0 {
            return Err(not(say!(
                t,
                "{wrong} of its crossings could not be drawn the right way round",
                wrong = yarn.wrong
            )));
        }
        // Narrow pieces go side by side.
        let wide = yarn.window[2] > 1.2 * yarn.window[3];
        let across = if wide { PIECE_ACROSS } else { PIECE_ACROSS / 2 };
        let face = public_face(design, plan.piece);
        Ok(ClothPicture {
            caption: if size == ONE_SIZE {
                say!(t, "{name}, flat and at rest", name = piece(&plan.name, t))
            } else {
                say!(t, "{name}, size {size}, public side, flat and at rest", name = piece(&plan.name, t), size)
            },
            alt: whole(design, plan, &look),
            jpeg: jpeg(&pixels(&yarn.strands, yarn.window, face, 2 * across, PLIES).halved()),
            shape: if wide { Shape::Wide } else { Shape::Narrow },
            cover: if cover {
                jpeg(&in_bands(&yarn.strands, foot(yarn.window, &yarn.strands), face, COVER_ACROSS))
            } else {
                Vec::new()
            },
        })
    }
}

/// The part of a piece that the cover shows: the middle of its foot, in the proportions of the cover, at most half as
/// wide as in print.
fn foot([left, bottom, width, height]: [f64; 4], strands: &[Strand]) -> [f64; 4] {
    let across = COVER_MM.min(width).min(height / COVER_HIGH);
    let from = left + (width - across) / 2.0;
    // A piece that widens upwards has a curved foot, its corners lower than its middle.
    let within = strands.iter().flat_map(|s| &s.points).filter(|p| (from..=from + across).contains(&p[0]));
    let lowest = within.map(|p| p[1]).fold(f64::INFINITY, f64::min);
    let lowest = if lowest.is_finite() { lowest - 1.0 } else { bottom };
    [from, lowest, across, across * COVER_HIGH]
}

/// A picture of this width, drawn at twice the size in bands and halved: drawn whole it would take 200 MB.
fn in_bands(strands: &[Strand], [left, bottom, width, height]: [f64; 4], face: Face, across: usize) -> Pixels {
    let scale = 2.0 * across as f64 / width;
    let down = (height * scale / 2.0).round() as usize;
    let mut all = Pixels { width: across, height: 0, rgba: Vec::with_capacity(4 * across * down) };
    while all.height < down {
        let rows = BAND.min(down - all.height);
        let high = 2.0 * rows as f64 / scale;
        let foot = bottom + height - 2.0 * (all.height + rows) as f64 / scale;
        let band = pixels(strands, [left, foot, width, high], face, 2 * across, PLIES).halved();
        all.height += band.height;
        all.rgba.extend(band.rgba);
        if band.height == 0 {
            break;
        }
    }
    all
}

/// One face of a fabric in words.
fn near(show: Show, fabric: &Fabric, cell: &Cell, rest: &AtRest, face: Face) -> String {
    let t = show.language;
    let (over, over_words) = show.gauge_over();
    let (bed, other) =
        if face == Face::Far { (Bed::Main, say!(t, "ribber")) } else { (Bed::Ribber, say!(t, "main bed")) };
    let stitches = || cell.courses.iter().flat_map(|c| &c.stitches);
    let columns = |here: bool| {
        let mut places: Vec<i32> = stitches().filter(|s| (s.bed == bed) == here).map(|s| s.place).collect();
        places.sort_unstable();
        places.dedup();
        places.len()
    };
    let (smooth, back) = (columns(true), columns(false));
    let shown = match (smooth, back) {
        (_, 0) => say!(t, "smooth columns of V-shaped stitches, edge to edge"),
        (0, _) => say!(t, "rows of small bumps, with no smooth columns"),
        (s, b) => {
            say!(
                t,
                "{smooth}, then {b} of the {other}, which are deeper and show bumps",
                smooth = if s == 1 {
                    say!(t, "1 smooth column of V-shaped stitches")
                } else {
                    say!(t, "{s} smooth columns of V-shaped stitches", s)
                },
                b,
                other
            )
        }
    };
    let tucks = |here: bool| stitches().any(|s| s.kind == Kind::Tuck && (s.bed == bed) == here);
    let tucked = match (tucks(true), tucks(false)) {
        (false, false) => String::new(),
        (true, _) => say!(t, " Tucked yarn is behind the long stitches and spreads them."),
        (false, true) => say!(t, " Tucked yarn on the other side pushes the columns apart."),
    };
    say!(
        t,
        "A close-up of {name}, drawn from its yarn: {shown}.{tucked} {needles} needles and {passes} rows in {over_words}, {thickness:.1} mm thick. The yarn covers {cover:.0}% of the area.",
        name = fabric.name,
        shown,
        tucked,
        over_words,
        needles = in_ten(over.0, rest.needles(), t),
        passes = in_ten(over.0, rest.passes(), t),
        thickness = rest.thickness(),
        cover = 100.0 * rest.cover
    )
}

/// How many fit in a length, from the fewest to the most, given the least and the greatest width of one.
fn in_ten(over: f64, (least, most): (f64, f64), t: Language) -> String {
    let (few, many) = (format!("{:.0}", over / most), format!("{:.0}", over / least));
    if few == many { few } else { say!(t, "{few} to {many}", few, many) }
}

/// A piece in words.
fn whole(design: &Design, plan: &PiecePlan, look: &PieceLook) -> String {
    let t = design.show.language;
    let length = |mm: f64| design.show.length(Mm(mm));
    let parts = look.rest.parts.iter().filter_map(|p| {
        let part = plan.origins.get(p.part)?;
        let (narrow, wide) = (length(p.width.0), length(p.width.1));
        let wide = if narrow == wide { wide } else { say!(t, "{narrow} to {wide}", narrow, wide) };
        Some(say!(
            t,
            "{part}, {fabric}: {wide} wide, {length} long",
            part = crate::wording::part(&part.name, t),
            fabric = part.fabric()?,
            wide,
            length = length(p.length.1)
        ))
    });
    let parts: Vec<String> = parts.collect();
    say!(
        t,
        "The {name}, drawn from its yarn, from the cast-on up. {parts}.",
        name = piece(&plan.name, t),
        parts = parts.join("; ")
    )
}
