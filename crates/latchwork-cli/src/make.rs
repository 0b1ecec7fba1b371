//! Designs in, files out.

use crate::report::tell_with;
use latchwork::fact::ShelfFact;
use std::collections::BTreeSet;
use std::io::ErrorKind;
use std::path::{Path, PathBuf};
use std::sync::{Arc, OnceLock};

use latchwork::check::{Outcome, Proven, prove_notes, prove_with, with_best_stitch_sizes};
use latchwork::design::{Design, Shelf, book_from_text_with, from_text_with};
use latchwork::fabric::{Fabric, built_in, from_text as fabrics_from_text};
use latchwork::handout::{Photograph, bench, for_author, handout};
use latchwork::notes::{self, Noted, is_notes};
use latchwork::notice::{Level, Notice, Notices, Span};
use latchwork::record::{self, fresh, tidy};
use latchwork::text::{quoted, typed};
use latchwork_files::{Writing, place_of};
use latchwork_print::{Paper, PrintError, Type, bench_pdf, pages, printable};
use latchwork_web::{Store, photograph, pictures, set, side_by_side};

use crate::Done;
use crate::args::{self, Sheets, Which};
use crate::progress::Progress;
use crate::report::{gather, language, print, tell, tell_line, word};
use crate::table;
use crate::timings::Timings;

/// The built-in example.
const DECK_HAT: &str = include_str!("../../../designs/deck-hat.kdl");

pub(crate) struct Read {
    pub(crate) name: String,
    pub(crate) text: String,
    pub(crate) what: What,
}

/// What a document is.
pub(crate) enum What {
    /// A design, and the sizes asked for.
    Design(Box<Design>, Vec<usize>),
    /// Pass notes.
    Notes(Box<Noted>),
}

impl Read {
    pub(crate) fn swatched(&self) -> bool {
        match &self.what {
            What::Design(..) => true,
            What::Notes(noted) => noted.swatched,
        }
    }

    pub(crate) fn design(&self) -> &Design {
        match &self.what {
            What::Design(design, _) => design,
            What::Notes(noted) => &noted.design,
        }
    }
}

/// The whole text of a file, and its name.
pub(crate) fn read_text(path: &Path) -> Result<(String, String), Done> {
    let name = path.display().to_string();
    match std::fs::metadata(path).map(|m| (m.is_file(), m.len())) {
        Ok((false, _)) => return Err(Done::Usage(format!("{name} is not a file."))),
        Ok((true, n)) if n > latchwork::text::LARGEST as u64 => {
            return Err(Done::Usage(format!(
                "{name} has {n} bytes; a document has at most {}.",
                latchwork::text::LARGEST
            )));
        }
        Err(e) => {
            return Err(Done::Usage(format!(
                "{name} could not be read: {e}. `latchwork new` writes a design to start from."
            )));
        }
        Ok(_) => {}
    }
    match std::fs::read(path).map(String::from_utf8) {
        Ok(Ok(text)) => Ok((name, text)),
        Ok(Err(_)) => Err(Done::Usage(format!("{name} is not a text file."))),
        Err(e) => Err(Done::Usage(format!("{name} could not be read: {e}."))),
    }
}

/// The folder of shared swatches beside a design.
pub(crate) fn swatch_folder(design: Option<&Path>) -> PathBuf {
    let beside = design.and_then(Path::parent).unwrap_or_else(|| Path::new(""));
    beside.join("swatches")
}

/// Reads every file of the shared book; one that cannot be read is reported and left out.
pub(crate) fn shelf(folder: &Path) -> Shelf {
    let fabrics = own_fabrics(folder);
    let Ok(entries) = std::fs::read_dir(folder) else {
        return Shelf { books: Vec::new(), fabrics, language: language() };
    };
    let mut paths: Vec<PathBuf> = entries.filter_map(|e| Some(e.ok()?.path())).collect();
    paths.retain(|p| p.extension().is_some_and(|e| e == "kdl"));
    paths.sort();
    let mut books = Vec::new();
    for path in paths {
        let Ok((name, text)) = read_text(&path) else {
            tell_line(&format!("{} could not be read, and is left out.", path.display()));
            continue;
        };
        let (book, notices) = book_from_text_with(&text, &fabrics);
        tell(&name, &text, &notices.0);
        match book {
            Some(book) => books.push((name, book)),
            None => tell_line(&format!("{name} has errors, and its swatches are left out.")),
        }
    }
    Shelf { books, fabrics, language: language() }
}

/// The author's own fabrics, in the folder beside that of the shared swatches; faults in a file are reported.
pub(crate) fn own_fabrics(swatches: &Path) -> Vec<Arc<Fabric>> {
    let folder = swatches.parent().unwrap_or_else(|| Path::new("")).join("fabrics");
    let Ok(entries) = std::fs::read_dir(folder) else { return Vec::new() };
    let mut paths: Vec<PathBuf> = entries.filter_map(|e| Some(e.ok()?.path())).collect();
    paths.retain(|p| p.extension().is_some_and(|e| e == "kdl"));
    paths.sort();
    let mut own: Vec<Arc<Fabric>> = Vec::new();
    for path in paths {
        let Ok((name, text)) = read_text(&path) else {
            tell_line(&format!("{} could not be read, and is left out.", path.display()));
            continue;
        };
        let known: Vec<Arc<Fabric>> = built_in().iter().chain(&own).cloned().collect();
        let mut notices = Notices::default();
        own.extend(fabrics_from_text(&text, &known, &name, &mut notices));
        tell(&name, &text, &notices.0);
        if notices.has_error() {
            tell_line(&format!("{name} has errors, and the fabrics at fault are left out."));
        }
    }
    own
}

/// Reads the design and the sizes asked for; reports what is wrong with it.
pub(crate) fn read(which: &Which) -> Result<Read, Done> {
    let (name, text) = match &which.design {
        None => ("deck-hat.kdl".to_string(), DECK_HAT.to_string()),
        Some(path) => read_text(path)?,
    };
    // Old line ends of a single carriage return.
    let text = if text.contains('\n') { text } else { text.replace('\r', "\n") };
    if !is_notes(&text) && Path::new(&name).extension().is_some_and(|e| e == "notes") {
        return Err(Done::Usage(format!(
            "{name} has no notes: they start with a line notes \"NAME\". See docs/notes.md."
        )));
    }
    if is_notes(&text) {
        let folder = swatch_folder(which.design.as_deref());
        let (noted, mut notices) = notes::from_text_with(&text, &shelf(&folder));
        unprintable(&text, &mut notices);
        let noted = noted.filter(|_| !notices.has_error());
        tell(&name, &text, &notices.0);
        if !which.size.is_empty() {
            return Err(Done::Usage("Notes have one size; --size is for designs.".to_string()));
        }
        let what = What::Notes(Box::new(noted.ok_or(Done::Refused)?));
        return Ok(Read { name, text, what });
    }
    let shelf = which
        .design
        .as_deref()
        .map_or_else(|| Shelf { language: language(), ..Shelf::default() }, |p| shelf(&swatch_folder(Some(p))));
    let (design, mut notices) = from_text_with(&text, &shelf);
    unprintable(&text, &mut notices);
    let design = design.filter(|_| !notices.has_error());
    tell(&name, &text, &notices.0);
    let design = with_best_stitch_sizes(design.ok_or(Done::Refused)?);
    let mut sizes = Vec::new();
    for asked in &which.size {
        match design.size(asked.trim()) {
            Some(i) => sizes.push(i),
            None => {
                let known: Vec<&str> = design.sizes.iter().map(|s| s.name.as_str()).collect();
                return Err(Done::Usage(format!("There is no size {asked}. This design has: {}.", known.join(", "))));
            }
        }
    }
    if sizes.is_empty() {
        sizes = (0..design.sizes.len()).collect();
    }
    sizes.sort_unstable();
    sizes.dedup();
    Ok(Read { name, text, what: What::Design(Box::new(design), sizes) })
}

/// Whether a document that is to be written can be read again as a design; if not, the reason is reported.
pub(crate) fn readable(place: &Path, text: &str) -> Result<(), Done> {
    let (design, mut notices) = from_text_with(text, &shelf(&swatch_folder(Some(place))));
    unprintable(text, &mut notices);
    if design.is_some() && !notices.has_error() {
        return Ok(());
    }
    notices.0.retain(|n| n.level == Level::Error);
    tell(&place.display().to_string(), text, &notices.0);
    tell_line("Nothing was written: the result would not be a design.");
    Err(Done::Refused)
}

/// Writes a document into the first of these places that is free.
pub(crate) fn created(places: impl Iterator<Item = PathBuf>, text: &str) -> Result<PathBuf, Done> {
    let mut taken = None;
    for path in places {
        let done = place_of(&path).and_then(|(folder, name)| Writing::begin(folder)?.create(name, text.as_bytes()));
        match done {
            Ok(()) => return Ok(path),
            Err(e) if e.kind() == ErrorKind::AlreadyExists => taken = Some(path),
            Err(e) => return Err(Done::Usage(format!("{} could not be written: {e}.", path.display()))),
        }
    }
    let taken = taken.unwrap_or_default();
    Err(Done::Usage(format!("{} already exists, and is not overwritten.", taken.display())))
}

/// Reads pass notes alone.
pub(crate) fn read_notes(path: &Path) -> Result<(String, Noted), Done> {
    let which = Which { design: Some(path.to_path_buf()), size: Vec::new() };
    let read = read(&which)?;
    match read.what {
        What::Notes(noted) => Ok((read.text, *noted)),
        What::Design(..) => Err(Done::Usage(format!("{} is already a design, not pass notes.", read.name))),
    }
}

/// Characters that no typeface of the handout has are reported where they stand, before anything is worked out.
fn unprintable(text: &str, notices: &mut Notices) {
    let mut known = BTreeSet::new();
    for (start, line) in text.lines().scan(0, |at, l| {
        let start = *at;
        *at += l.len() + 1;
        Some((start, l))
    }) {
        let said = line.split("//").next().unwrap_or_default();
        for (i, c) in said.char_indices() {
            if c == '\t'
                || c == '\r'
                || c.is_ascii_graphic()
                || c == ' '
                || known.contains(&c)
                || (start + i == 0 && c == '\u{feff}')
            {
                continue;
            }
            if printable(c) {
                known.insert(c);
                continue;
            }
            let span = Span { start: start + i, len: c.len_utf8() };
            notices.push(Notice::error(span, ShelfFact::NoSuchLetter { character: (!c.is_control()).then_some(c) }));
            break;
        }
    }
}

/// Works out and rehearses without reporting what was found.
pub(crate) fn work_out_silently(r: &Read) -> Outcome {
    match &r.what {
        What::Design(design, sizes) => prove_with(design, sizes, &side_by_side),
        What::Notes(noted) => prove_notes(noted),
    }
}

pub(crate) fn work_out(r: &Read) -> Outcome {
    let outcome = work_out_silently(r);
    tell_with(&r.name, &r.text, &gather(r.design(), &outcome.notices));
    outcome
}

pub(crate) fn make(a: &args::Make) -> Done {
    let mut timings = Timings::start();
    let done = made(a, &mut timings);
    if a.timings {
        timings.tell();
    }
    done
}

fn made(a: &args::Make, timings: &mut Timings) -> Done {
    let r = match read(&a.which) {
        Ok(r) => r,
        Err(done) => return done,
    };
    timings.stage("read");
    let progress = Progress::start("Working out and rehearsing every size");
    let outcome = work_out(&r);
    drop(progress);
    timings.stage("worked out and rehearsed");
    print(&format!("{}\n\n{}\n", r.design().title, table::sizes(r.design(), &outcome.sizes, r.swatched())));
    let Some(proven) = outcome.proven else {
        tell_line(&format!("Nothing was printed: {}", refusal(&r, &outcome)));
        return Done::Refused;
    };
    if !proven.swatched() {
        let design = proven.design();
        let mut without: Vec<&str> = design
            .pieces
            .iter()
            .flat_map(|p| &p.stretches)
            .filter(|s| s.gauge.swatches == 0)
            .map(|s| s.fabric.name.as_str())
            .collect();
        without.dedup();
        tell_line(&format!(
            "Nothing was printed: measures and yarn need a swatch of {}. Add swatch {} {{ … }} to the head of the notes. See docs/notes.md.",
            without.join(", "),
            quoted(without.first().unwrap_or(&"plain"))
        ));
        return Done::Refused;
    }
    if a.words && proven.design().machine.own_words.is_empty() {
        tell_line(
            "The design has no words of your machine's manual. Add lines such as say \"tuck\" \"…\" to its machine.",
        );
    }
    let folder = a.out.clone().unwrap_or_else(|| PathBuf::from("out").join(slug(&r)));
    let beside = a.which.design.as_deref().and_then(Path::parent).unwrap_or(Path::new(""));
    let photo = match photograph(proven.design(), beside) {
        Ok(photo) => photo,
        Err(notice) => {
            tell(&r.name, &r.text, &[*notice]);
            return Done::Refused;
        }
    };
    let progress = Progress::start("Typesetting the handout");
    let files = files(a, &proven, (&outcome.notices, photo), timings);
    drop(progress);
    let files = match files {
        Ok(files) => files,
        Err(e) => return Done::Usage(e.to_string()),
    };
    if let Err(e) = std::fs::create_dir_all(&folder) {
        return Done::Usage(format!("The folder {} could not be made: {e}.", folder.display()));
    }
    if let Err(e) = Writing::begin(&folder).and_then(|w| w.replace_all(&files)) {
        return Done::Usage(format!("The files in {} could not be written, and are unchanged: {e}.", folder.display()));
    }
    timings.stage("written");
    let names: Vec<&str> = files.iter().map(|f| f.0.as_str()).collect();
    print(&format!("Rehearsed needle by needle. Wrote to {}: {}.\n", folder.display(), names.join(", ")));
    Done::Fine
}

fn refusal(r: &Read, outcome: &Outcome) -> String {
    let bad = |i: &&usize| outcome.notices.iter().any(|(s, n)| *s == Some(**i) && n.level == Level::Error);
    let What::Design(design, sizes) = &r.what else { return "the notes have errors, shown above.".to_string() };
    let name = |i: &usize| design.sizes[*i].name.as_str();
    let names: Vec<&str> = sizes.iter().filter(bad).map(name).collect();
    let fine: Vec<&str> = sizes.iter().filter(|i| !bad(i)).map(name).collect();
    let said = match names.as_slice() {
        [one] => format!("size {one} has errors, shown above."),
        many => format!("sizes {} have errors, shown above.", many.join(", ")),
    };
    if fine.is_empty() {
        return said;
    }
    format!("{said} To print the others: latchwork make {} --size {}", word(&r.name), typed(&fine.join(",")))
}

/// A file to write: its name and bytes.
type File = (String, Vec<u8>);

/// Every file of a proven design.
fn files(
    a: &args::Make,
    proven: &Proven,
    (found, photo): (&[(Option<usize>, Notice)], Option<Photograph>),
    timings: &mut Timings,
) -> Result<Vec<File>, Box<dyn std::error::Error>> {
    let all: Vec<usize> = (0..proven.sizes().len()).collect();
    let design = proven.design();
    let papers: &[(Paper, &str)] = match a.paper {
        Sheets::A4 => &[(Paper::A4, "a4")],
        Sheets::Letter => &[(Paper::Letter, "letter")],
        Sheets::Both => &[(Paper::A4, "a4"), (Paper::Letter, "letter")],
    };
    let type_size = if a.large { Type::Large } else { Type::Normal };
    let large = if a.large { "-large" } else { "" };
    let mut taken = Vec::new();
    let handouts: Vec<(String, Vec<usize>)> = if a.one_size {
        let named = |i: usize| fresh(&mut taken, &design.sizes[proven.sizes()[i].size].name);
        let names: Vec<String> = all.iter().copied().map(named).collect();
        names.into_iter().map(|n| format!("-{n}")).zip(all.iter().map(|i| vec![*i])).collect()
    } else {
        vec![(String::new(), all)]
    };
    let sizes: Vec<Vec<usize>> = handouts.iter().map(|h| h.1.clone()).collect();
    let store = Store::of_platform();
    let (cloth, not_shown) = pictures(&store, proven, &sizes);
    not_shown.iter().for_each(|why| tell_line(why));
    timings.stage("fabric at rest and drawn");
    let mut jobs = Vec::new();
    for ((name, sizes), cloth) in handouts.into_iter().zip(cloth) {
        let mut sheet = handout(proven, &sizes, a.words)?;
        if a.author {
            sheet = for_author(sheet, proven, &sizes, found);
        }
        sheet.cloth = cloth;
        sheet.photo.clone_from(&photo);
        jobs.extend(papers.iter().map(|(p, n)| (format!("handout{name}{large}-{n}.pdf"), sheet.clone(), *p)));
    }
    timings.stage("written out and read back");
    let done: Vec<OnceLock<Result<Vec<u8>, PrintError>>> = jobs.iter().map(|_| OnceLock::new()).collect();
    side_by_side(jobs.len(), &|i| {
        done[i].get_or_init(|| set(&store, pages(&jobs[i].1, jobs[i].2, type_size)));
    });
    let mut files = Vec::new();
    for ((name, ..), bytes) in jobs.into_iter().zip(done) {
        let stopped = || Err(PrintError("its typesetting was not finished".to_string()));
        files.push((name, bytes.into_inner().unwrap_or_else(stopped)?));
    }
    if a.bench {
        files.extend(benches(proven, papers)?);
    }
    timings.stage("set in type");
    files.extend(record::files(proven).into_iter().map(|(name, text)| (name, text.into_bytes())));
    Ok(files)
}

/// A bench sheet for each size.
fn benches(proven: &Proven, papers: &[(Paper, &str)]) -> Result<Vec<File>, Box<dyn std::error::Error>> {
    let (mut files, mut taken) = (Vec::new(), Vec::new());
    let all: Vec<usize> = (0..proven.sizes().len()).collect();
    let whole = handout(proven, &all, false)?;
    for (i, size) in proven.sizes().iter().enumerate() {
        let name = fresh(&mut taken, &proven.design().sizes[size.size].name);
        let Some(sheet) = bench(&handout(proven, &[i], false)?, &whole) else { continue };
        for (paper, on) in papers {
            let bytes = bench_pdf(&sheet, proven.design().show.language, *paper)?;
            files.push((format!("bench-{name}-{on}.pdf"), bytes));
        }
    }
    Ok(files)
}

pub(crate) fn show(a: &args::Show) -> Done {
    let r = match read(&a.which) {
        Ok(r) => r,
        Err(done) => return done,
    };
    let stage = match a.stage {
        args::Stage::Design => record::Stage::Design,
        args::Stage::Draft => record::Stage::Draft,
        args::Stage::Stitches => record::Stage::Stitches,
        args::Stage::Plan => record::Stage::Plan,
        args::Stage::Run => record::Stage::Run,
    };
    if stage == record::Stage::Design {
        print(&record::show(r.design(), None, stage));
        return Done::Fine;
    }
    let outcome = work_out(&r);
    for p in outcome.sizes.iter() {
        print(&record::show(r.design(), Some(p), stage));
    }
    if outcome.proven.is_some() { Done::Fine } else { Done::Refused }
}

fn slug(r: &Read) -> String {
    let stem = Path::new(&r.name).file_stem().and_then(|s| s.to_str()).unwrap_or("design");
    tidy(stem)
}
