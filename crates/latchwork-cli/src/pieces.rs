//! `cloth DESIGN`: whole pieces at rest, by the swatches of their fabrics.

use latchwork::cloth::{PieceAtRest, Stuff, piece_at_rest};
use latchwork::design::Design;
use latchwork::plan::PiecePlan;
use latchwork::units::Mm;
use latchwork_thread::look::sheet_svg;

use crate::Done;
use crate::args;
use crate::make::{What, fresh, read, save, tidy, work_out};
use crate::report::{say, tell_line};
use crate::table::aligned;

pub(crate) fn pieces(a: &args::Cloth) -> Done {
    if a.json {
        return Done::Usage("--json is for one repeat of a fabric: add --fabric, --tex and --loop.".to_string());
    }
    let r = match read(&a.which) {
        Ok(r) => r,
        Err(done) => return done,
    };
    if matches!(r.what, What::Notes(_)) {
        return Done::Usage("Notes have no swatches; cloth is for designs, or for --fabric.".to_string());
    }
    let outcome = work_out(&r);
    let design = r.design();
    let mut fine = outcome.proven.is_some();
    let mut taken = Vec::new();
    for size in &outcome.sizes {
        say(&format!("size {}", design.sizes[size.size].name));
        for (plan, proof) in size.plans.pieces.iter().zip(&size.pieces) {
            let parts = stuff(design, plan);
            let Some(rest) = piece_at_rest(&plan.plan, &proof.run, &parts) else { continue };
            say(&told(design, plan, &rest));
            fine &= rest.end.settled();
            if let Some(dir) = &a.out {
                let title = format!("{}, size {}, at rest", plan.name, design.sizes[size.size].name);
                let limit = |i: usize| parts[rest.of[i]].map_or(0.3, |s| s.stretch);
                let name = fresh(&mut taken, &format!("{}-{}", tidy(&plan.name), tidy(&design.sizes[size.size].name)));
                let svg = sheet_svg(&rest.sheet, limit, &title);
                let written =
                    std::fs::create_dir_all(dir).and_then(|()| save(&dir.join(format!("{name}.svg")), svg.as_bytes()));
                if let Err(e) = written {
                    return Done::Usage(format!("The pictures could not be written to {}: {e}", dir.display()));
                }
            }
        }
    }
    if let Some(dir) = &a.out {
        tell_line(&format!("Outlines: {}", dir.display()));
    }
    if fine { Done::Fine } else { Done::Refused }
}

/// What each part of a piece is made of: the gauge of its stretch.
fn stuff(design: &Design, plan: &PiecePlan) -> Vec<Option<Stuff>> {
    let piece = &design.pieces[plan.piece];
    plan.origins
        .iter()
        .map(|part| {
            part.fabric()?;
            let g = &piece.stretches.get(part.stretch()?)?.gauge;
            let stretch = g.stretch.map_or(g.fabric.usual_stretch(), |s| s.value);
            Some(Stuff { needle: g.needle.value, pass: g.pass.value, stretch })
        })
        .collect()
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
            format!("{:+.0} % to {:+.0} %", 100.0 * p.strain.0, 100.0 * p.strain.1),
        ]);
    }
    let mut text = format!("{}\n{}", plan.name, aligned(&rows).trim_end());
    if !rest.end.settled() {
        text += &format!(
            "\nIt did not come to rest (a force of {:.1e} was left): do not use these figures.",
            rest.end.residual
        );
    }
    text + "\n"
}
