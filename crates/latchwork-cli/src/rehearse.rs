//! Rehearsals: of designs, pass notes and plan files; the beds at a step, charts, the thread; mending.

use latchwork::record::tidy;
use latchwork::wording;
use latchwork_files::save;
use std::path::Path;

use latchwork::check::{SizeProof, given, mend_design, mend_notes};
use latchwork::design::Design;
use latchwork::notes::is_notes;
use latchwork::picture::{Picture, beds, beds_in_text, chart, paths};
use latchwork::record::{LARGEST_PLAN, read_plan};
use latchwork::words::say;
use latchwork_machine::fault::Level;
use latchwork_machine::rehearsal::{fates, rehearse as run_plan, view_after};
use latchwork_thread::code::code;
use latchwork_thread::path::{Crossing, Who, diagram};
use serde_json::{Value, json};

use crate::args::{Rehearse, Which};
use crate::make::{created, read, work_out};
use crate::report::{called, language, print, tell_line};
use crate::{Done, table};

pub(crate) fn rehearse(a: &Rehearse) -> Done {
    if let Some(path) = a.which.design.as_deref().filter(|p| p.extension().is_some_and(|e| e == "json")) {
        let asked = a.json || a.mend || a.chart || a.thread || a.at.is_some() || !a.which.size.is_empty();
        if asked {
            return Done::Usage("A plan file can only be run; --size, --at, --chart, --thread, --json and --mend are for designs and notes.".to_string());
        }
        return plan_file(path);
    }
    if a.mend {
        return mend(a);
    }
    let r = match read(&a.which) {
        Ok(r) => r,
        Err(done) => return done,
    };
    let outcome = work_out(&r);
    let sizes = &outcome.sizes;
    let shown = match (a.at, a.chart, a.thread, a.json) {
        (Some(step), ..) => at(a, r.design(), sizes, step),
        (None, true, ..) => charts(a, sizes),
        (None, false, true, _) => threads(a, r.design(), sizes),
        (None, false, false, true) => {
            print(&latchwork::record::rehearsal(r.design(), sizes));
            Ok(())
        }
        (None, false, false, false) => {
            print(&table::sizes(r.design(), sizes, r.swatched()));
            Ok(())
        }
    };
    match shown {
        Err(why) => Done::Usage(why),
        Ok(()) if outcome.proven.is_some() => Done::Fine,
        Ok(()) => Done::Refused,
    }
}

/// Most loops drawn on squared paper.
const MOST_CHARTED: usize = 500_000;

/// The pieces asked for, with their size's proof.
fn pieces<'a>(a: &'a Rehearse, sizes: &'a [SizeProof]) -> Result<Vec<(&'a SizeProof, usize)>, String> {
    let all = sizes.iter().flat_map(|s| (0..s.plans.pieces.len()).map(move |k| (s, k)));
    let wanted = |(s, k): &(&SizeProof, usize)| {
        a.piece.as_ref().is_none_or(|p| called(&s.plans.pieces[*k]).eq_ignore_ascii_case(p))
    };
    let found: Vec<_> = all.filter(wanted).collect();
    match (found.is_empty(), &a.piece, sizes.first()) {
        (true, Some(p), Some(s)) => {
            let names: Vec<String> = s.plans.pieces.iter().map(called).collect();
            Err(format!("There is no piece {p}. There are: {}.", names.join(", ")))
        }
        _ => Ok(found),
    }
}

fn draw(a: &Rehearse, name: &str, picture: &Picture) -> Result<(), String> {
    let Some(folder) = &a.svg else { return Ok(()) };
    let path = folder.join(format!("{name}.svg"));
    std::fs::create_dir_all(folder)
        .and_then(|()| save(&path, picture.svg.as_bytes()))
        .map_err(|e| format!("{} could not be written: {e}.", path.display()))
}

fn at(a: &Rehearse, design: &Design, sizes: &[SizeProof], step: usize) -> Result<(), String> {
    for (s, k) in pieces(a, sizes)? {
        let plan = &s.plans.pieces[k];
        let size = &design.sizes[s.size].name;
        let last = plan.plan.steps.len();
        if step == 0 || step > last {
            return Err(format!("The {} has steps 1 to {last} in size {size}.", called(plan)));
        }
        let view = view_after(&plan.plan, &design.machine.profile, step - 1);
        let lines = say(&plan.plan, &given(plan, design.show));
        let next = lines.iter().find(|l| l.steps.contains(&step)).map_or(String::new(), |l| l.text());
        print(&format!(
            "{}, size {size}, after step {step} of {last}\n{}\n\n",
            called(plan),
            beds_in_text(&view, &next, language())
        ));
        draw(a, &format!("beds-{}-{}-{step}", tidy(&called(plan)), tidy(size)), &beds(&view, &next, language()))?;
    }
    Ok(())
}

fn charts(a: &Rehearse, sizes: &[SizeProof]) -> Result<(), String> {
    for (s, k) in pieces(a, sizes)? {
        let plan = &s.plans.pieces[k];
        let squares = plan.plan.steps.len() * 400;
        if s.pieces[k].run.loops.len() > MOST_CHARTED || squares > 8 * MOST_CHARTED {
            return Err(format!("The {} has too many loops to chart; at most {MOST_CHARTED} are drawn.", called(plan)));
        }
        let squared = chart(&plan.plan, &s.pieces[k].run);
        print(&format!("{}\n{}\n\n", called(plan), squared.in_text(language())));
        draw(a, &format!("chart-{}-{}", tidy(&called(plan)), s.size + 1), &squared.drawn(language()))?;
        for (i, path) in paths(&plan.plan).iter().enumerate() {
            print(&format!("yarn path {}, one repeat\n{}\n\n", i + 1, path.in_text(language())));
            draw(a, &format!("path-{}-{}-{}", tidy(&called(plan)), s.size + 1, i + 1), &path.drawn(language()))?;
        }
    }
    Ok(())
}

/// Most loops whose crossings are printed: a code of more is of no use to any reader of such codes.
const MOST_TRACED: usize = 20_000;

fn threads(a: &Rehearse, design: &Design, sizes: &[SizeProof]) -> Result<(), String> {
    let who = |w: Who| match w {
        Who::Loop(id) => json!({ "loop": id }),
        Who::Yarn(y) => json!({ "yarn": y.0 }),
        Who::End(y) => json!({ "end_of_yarn": y.0 }),
    };
    let crossing = |c: &Crossing, pd: &[u32; 4]| {
        let (over, under) = if c.over { (c.active, c.passive) } else { (c.passive, c.active) };
        json!({ "pd": pd, "why": format!("{:?}", c.why).to_lowercase(), "over": who(over), "under": who(under) })
    };
    let mut all: Vec<Value> = Vec::new();
    let wanted = pieces(a, sizes)?;
    let loops: usize = wanted.iter().map(|(s, k)| s.pieces[*k].run.loops.len()).sum();
    if loops > MOST_TRACED {
        return Err(format!(
            "{loops} loops are too many to trace; at most {MOST_TRACED} in total. Name a size and a piece, or make it smaller."
        ));
    }
    for (s, k) in wanted {
        let plan = &s.plans.pieces[k];
        let mut piece = json!({ "size": design.sizes[s.size].name, "piece": called(plan) });
        for (name, secured) in [("as_it_ends", true), ("taken_off_unsecured", false)] {
            piece[name] = match diagram(&plan.plan, &s.pieces[k].run, secured) {
                Ok(d) => {
                    let c = code(&d);
                    let crossings: Vec<Value> =
                        d.crossings.iter().zip(&c.crossings).map(|(x, pd)| crossing(x, pd)).collect();
                    json!({ "components": c.components, "without_crossings": c.bare, "crossings": crossings })
                }
                Err(e) => return Err(format!("The thread of the {} is not drawn: {e}.", called(plan))),
            };
        }
        all.push(piece);
    }
    print(&format!("{}\n", json!({ "format": "latchwork-thread", "version": 1, "pieces": all })));
    Ok(())
}

fn mend(a: &Rehearse) -> Done {
    let Some(path) = &a.which.design else {
        return Done::Usage("The built-in design needs no fixing; name a document.".to_string());
    };
    let text = match std::fs::read_to_string(path) {
        Ok(text) if text.len() <= latchwork::text::LARGEST => text,
        Ok(_) => return Done::Usage(format!("{} is too long.", path.display())),
        Err(e) => return Done::Usage(format!("{} could not be read: {e}.", path.display())),
    };
    let (mended, done) = if is_notes(&text) { mend_notes(&text) } else { mend_design(&text) };
    let beside = if done.is_empty() {
        print("Nothing was found that can be fixed automatically.\n");
        path.clone()
    } else {
        let stem = path.file_stem().and_then(|s| s.to_str()).unwrap_or("document");
        let end = path.extension().and_then(|s| s.to_str()).map_or(String::new(), |e| format!(".{e}"));
        // A file written before may have been edited since.
        let numbered = (2..).map(|n| format!("{stem}-mended-{n}{end}"));
        let names = std::iter::once(format!("{stem}-mended{end}")).chain(numbered).map(|n| path.with_file_name(n));
        let beside = match created(names, &mended) {
            Ok(beside) => beside,
            Err(done) => return done,
        };
        for what in done.iter().map(|d| wording::done(d, language())) {
            print(&format!("Fixed: {what}.\n"));
        }
        print(&format!("Wrote {}. Its rehearsal:\n", beside.display()));
        beside
    };
    let which = Which { design: Some(beside), size: a.which.size.clone() };
    rehearse(&Rehearse {
        which,
        json: a.json,
        mend: false,
        at: None,
        chart: false,
        thread: false,
        piece: None,
        svg: None,
    })
}

/// A plan file from elsewhere: checked member by member, then run.
fn plan_file(path: &Path) -> Done {
    let name = path.display();
    let text = match std::fs::metadata(path).map(|m| m.len()) {
        Ok(n) if n > LARGEST_PLAN as u64 => {
            return Done::Usage(format!("{name} has {n} bytes; at most {LARGEST_PLAN} are read."));
        }
        Err(e) => return Done::Usage(format!("{name} could not be read: {e}.")),
        Ok(_) => match std::fs::read_to_string(path) {
            Ok(text) => text,
            Err(e) => return Done::Usage(format!("{name} could not be read: {e}.")),
        },
    };
    let plan = match read_plan(&text) {
        Ok(plan) => plan,
        Err(fault) => {
            tell_line(&format!("{name} is not a plan as docs/plan.md describes it. {fault}."));
            return Done::Refused;
        }
    };
    let clean = |t: &str| t.replace(char::is_control, "?");
    let mut rows = vec![
        ["size", "piece", "steps", "loops", "knitted", "secured", "let off", "findings"].map(String::from).to_vec(),
    ];
    let mut fine = true;
    for p in &plan.pieces {
        let run = run_plan(&p.plan, &plan.profile);
        let [knitted, secured, released, _] = fates(&run.loops);
        for f in &run.findings {
            let wording::Told { message: what, why, hints } =
                wording::fault(&f.fault, plan.profile.tucks.value, language());
            let hint = hints.join(" ");
            let level = if f.fault.level() == Level::Error { "error" } else { "warning" };
            let part = p.parts.get(f.origin.0 as usize).map_or("", String::as_str);
            let told =
                format!("{level}: {what} {}, size {} · {part} · step {}. {why} {hint}", p.piece, p.size, f.step + 1);
            tell_line(&clean(&told));
        }
        fine &= run.error().is_none();
        let numbers = [
            run.loops.len().to_string(),
            knitted.to_string(),
            secured.to_string(),
            released.to_string(),
            run.findings.len().to_string(),
        ];
        let mut row = vec![clean(&p.size), clean(&p.piece), p.plan.steps.len().to_string()];
        row.extend(numbers);
        rows.push(row);
    }
    print(&table::aligned(&rows));
    if fine { Done::Fine } else { Done::Refused }
}
