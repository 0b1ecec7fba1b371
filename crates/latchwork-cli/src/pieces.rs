//! `cloth DESIGN`: whole pieces at rest, by the swatches of their fabrics, and pictures of their yarn.

use latchwork::record::{fresh, tidy};
use latchwork_files::save;
use latchwork_web::{Rests, Store};
use std::path::Path;

use latchwork::cloth::PieceAtRest;
use latchwork::design::Design;
use latchwork::plan::PiecePlan;
use latchwork::reach::{Finished, Looks, PieceLook, finished, ink, public_face, stuff};
use latchwork::units::{Mm, length_from};
use latchwork_print::png;
use latchwork_thread::look::{Face, Pixels, Strand, Window, gltf, pixels, sheet_svg, svg};

use crate::Done;
use crate::args::{self, FaceOf};
use crate::cloth::yarn;
use crate::make::{What, read, work_out};
use crate::progress::Progress;
use crate::report::{called, say, tell_line};
use crate::table::aligned;

pub(crate) fn pieces(a: &args::Cloth) -> Done {
    if a.json {
        return Done::Usage("--json is for one repeat of a fabric: add --fabric, --tex and --loop.".to_string());
    }
    let view = match a.view.as_deref().map(view).transpose() {
        Ok(v) => v,
        Err(why) => return Done::Usage(why),
    };
    let mut r = match read(&a.which) {
        Ok(r) => r,
        Err(done) => return done,
    };
    if !r.swatched()
        && let What::Notes(noted) = &mut r.what
    {
        if a.tex.is_none() {
            return Done::Usage(
                "These notes have no swatch: add --tex and --loop, the yarn count and the yarn in a loop.".to_string(),
            );
        }
        match yarn(a) {
            Ok((tex, loop_length)) => {
                let rests = Rests::of(&Store::of_platform(), &Looks::assumed(&noted.design, tex, loop_length));
                Looks::assume(&mut noted.design, tex, loop_length, &|a| rests.known(a));
            }
            Err(why) => return Done::Usage(why),
        }
    }
    let outcome = work_out(&r);
    let design = r.design();
    let progress = Progress::start("Bringing the yarn to rest");
    let rests = Rests::of(&Store::of_platform(), &Looks::asked(design));
    let looks = Looks::of(design, &|a| rests.known(a));
    drop(progress);
    let mut fine = outcome.proven.is_some();
    for look in &looks.all {
        if let Err(why) = &look.rested {
            tell_line(&format!("{} is drawn by its yarn crossings, not at rest: {why}.", look.fabric.name));
        }
    }
    let mut taken = Vec::new();
    for size in outcome.sizes.iter() {
        let name = &design.sizes[size.size].name;
        say(&format!("size {name}"));
        for (plan, proof) in size.plans.pieces.iter().zip(&size.pieces) {
            let Some(look) = looks.piece(design, plan, &proof.run) else { continue };
            say(&told(design, plan, &look.rest));
            fine &= look.rest.end.settled();
            let Some(dir) = &a.out else { continue };
            let file = fresh(&mut taken, &format!("{}-{}", tidy(&called(plan)), tidy(name)));
            let title = format!("{}, size {name}, at rest", called(plan));
            let limits = stuff(design, plan);
            let limit = |i: usize| limits[look.rest.of[i]].map_or(0.3, |s| s.stretch);
            let outline = sheet_svg(&look.rest.sheet, limit, &title);
            let written = std::fs::create_dir_all(dir)
                .and_then(|()| save(&dir.join(format!("{file}-outline.svg")), outline.as_bytes()))
                .and_then(|()| draw(dir, &file, &title, &look, public_face(design, plan.piece), view, a));
            if let Err(e) = written {
                return Done::Usage(format!("The pictures could not be written to {}: {e}", dir.display()));
            }
        }
        let progress = Progress::start("Sewing it together");
        let thing = finished(design, size);
        drop(progress);
        match thing {
            Ok(thing) => {
                say(&sewn(design, &thing));
                fine &= thing.rest.1.settled() && thing.worn.1.settled();
                let Some(dir) = &a.out else { continue };
                if let Err(e) = draw_sewn(dir, &tidy(name), &thing, colour_of(design)) {
                    return Done::Usage(format!("The pictures could not be written to {}: {e}", dir.display()));
                }
            }
            Err(why) => tell_line(&format!("It is not shown sewn together: {why}.")),
        }
    }
    if let Some(dir) = &a.out {
        tell_line(&format!("Pictures: {}", dir.display()));
    }
    if fine { Done::Fine } else { Done::Refused }
}

fn colour_of(design: &Design) -> [u8; 3] {
    design.yarns.first().map_or([139, 148, 153], |y| ink(y).colour)
}

/// The finished thing, round by round.
fn sewn(design: &Design, thing: &Finished) -> String {
    let unit = design.show;
    let span = |(a, b): (f64, f64)| {
        let (a, b) = (unit.length(Mm(a)), unit.length(Mm(b)));
        if a == b { a } else { format!("{a} to {b}") }
    };
    let head = ["", "round by itself", "round on the form", "stretched at most", "its fabric allows"];
    let mut rows = vec![head.map(String::from).to_vec()];
    for r in &thing.rounds {
        let share = |v: f64| format!("{:+.0}%", 100.0 * v);
        rows.push(vec![r.name.clone(), span(r.rest), span(r.worn), share(r.stretched), share(r.allowed)]);
    }
    let mut text = format!("sewn together, on {}\n{}", thing.body.words(), aligned(&rows).trim_end());
    for (end, which) in [(&thing.rest.1, "By itself"), (&thing.worn.1, "On the form")] {
        if !end.settled() {
            text +=
                &format!("\n{which} it did not come to rest, with {:.1} mm left: do not use these figures.", end.left);
        }
    }
    text + "\n"
}

fn draw_sewn(dir: &Path, size: &str, thing: &Finished, colour: [u8; 3]) -> std::io::Result<()> {
    for (surface, name) in [(thing.at_rest(colour), "sewn"), (thing.worn(), "worn")] {
        let both = side_by_side(
            &surface.pixels(0.5, 1600).halved(),
            &surface.pixels(0.5 + core::f64::consts::PI, 1600).halved(),
        );
        save(&dir.join(format!("{name}-{size}.png")), &png(&both))?;
        save(&dir.join(format!("{name}-{size}.glb")), &surface.gltf())?;
    }
    Ok(())
}

/// Two pictures side by side.
fn side_by_side(a: &Pixels, b: &Pixels) -> Pixels {
    let (width, height) = (a.width + b.width, a.height.max(b.height));
    let mut rgba = vec![0; 4 * width * height];
    for (from, left) in [(a, 0), (b, a.width)] {
        for (y, row) in from.rgba.chunks_exact(4 * from.width).enumerate() {
            let at = 4 * (y * width + left);
            rgba[at..at + row.len()].copy_from_slice(row);
        }
    }
    Pixels { width, height, rgba }
}

/// From the left, up, and how wide.
fn view(text: &str) -> Result<[f64; 3], String> {
    let lengths: Vec<f64> = text.split(',').filter_map(|t| length_from(t.trim())).map(|l| l.0).collect();
    match lengths[..] {
        [left, up, wide] if wide > 0.0 => Ok([left, up, wide]),
        _ => {
            Err(format!("\"{text}\" is not a view; write 2cm,5cm,3cm: distance from the left, distance up, and width."))
        }
    }
}

/// Most pixels of a picture.
const MOST_PIXELS: f64 = 4e6;
/// Most points of yarn in a drawing of strokes.
const FEW: usize = 12_000;

fn draw(
    dir: &Path,
    file: &str,
    title: &str,
    look: &PieceLook,
    public: Face,
    view: Option<[f64; 3]>,
    a: &args::Cloth,
) -> std::io::Result<()> {
    let yarn = match &look.yarn {
        Ok(yarn) => yarn,
        Err(why) => {
            tell_line(&format!("{title} has no picture of its yarn: {why}."));
            return Ok(());
        }
    };
    if yarn.wrong > 0 {
        tell_line(&format!(
            "{title} has no picture of its yarn: {} of its crossings could not be drawn the right way round.",
            yarn.wrong
        ));
        return Ok(());
    }
    let back = if public == Face::Far { Face::Near } else { Face::Far };
    for (face, of, word) in [(public, FaceOf::Public, "public"), (back, FaceOf::Back, "back")] {
        if a.face.is_some_and(|f| f != of) {
            continue;
        }
        let mut window = yarn.window;
        if let Some([left, up, wide]) = view {
            // Seen from behind, the left end is the other one.
            let from = if face == Face::Near { window[0] + left } else { window[0] + window[2] - left - wide };
            window = [from, window[1] + up, wide, wide];
        }
        // A long piece is drawn no wider than a file of sensible size allows.
        let most = (MOST_PIXELS * window[2] / window[3].max(1.0)).sqrt();
        let across = (a.pixels as f64).min(most).max(100.0) as usize;
        save(&dir.join(format!("{file}-{word}.png")), &png(&pixels(&yarn.strands, window, face, across, a.plies)))?;
        let near = within(&yarn.strands, window);
        let few = near.iter().map(|s| s.points.len()).sum::<usize>() < FEW;
        if few {
            let seen = format!("{title}, {word} side");
            save(&dir.join(format!("{file}-{word}.svg")), svg(&near, window, face, &seen).as_bytes())?;
        }
        // The solid shape has both faces; the first face drawn decides which part of it is kept.
        if few && (of == FaceOf::Public || a.face.is_some()) {
            save(&dir.join(format!("{file}.glb")), &gltf(&near))?;
        }
    }
    Ok(())
}

/// The yarn that a window shows.
fn within(strands: &[Strand], [left, bottom, width, height]: Window) -> Vec<Strand> {
    let mut near: Vec<Strand> = Vec::new();
    for s in strands {
        let seen = |p: &[f64; 3]| {
            let edge = 4.0 * s.radius;
            p[0] > left - edge && p[0] < left + width + edge && p[1] > bottom - edge && p[1] < bottom + height + edge
        };
        for points in s.points.split(|p| !seen(p)).filter(|p| p.len() > 1) {
            near.push(Strand { points: points.to_vec(), ..*s });
        }
    }
    near
}

fn told(design: &Design, plan: &PiecePlan, rest: &PieceAtRest) -> String {
    let unit = design.show;
    let piece = &design.pieces[plan.piece];
    let length = |mm: f64| unit.length(Mm(mm));
    let head = ["", "fabric", "wide alone", "wide in the piece", "long alone", "long in the piece", "drawn in or out"];
    let mut rows = vec![head.map(String::from).to_vec()];
    for p in &rest.parts {
        let Some(stretch) = plan.origins[p.part].stretch().and_then(|i| piece.stretches.get(i)) else { continue };
        rows.push(vec![
            stretch.name.clone(),
            stretch.fabric.name.to_string(),
            length(p.alone),
            format!("{} to {}", length(p.width.0), length(p.width.1)),
            length(p.length.0),
            length(p.length.1),
            format!("{:+.0}% to {:+.0}%", 100.0 * p.strain.0, 100.0 * p.strain.1),
        ]);
    }
    let mut text = format!("{}\n{}", called(plan), aligned(&rows).trim_end());
    if !rest.end.settled() {
        text += "\nIt did not come to rest: do not use these figures.";
    }
    text + "\n"
}
