//! The cue room: what to do next, large, and every way back when something went otherwise. The page holds the cues of
//! the whole piece, so that a tablet goes on by itself.

use std::collections::BTreeMap;

use maud::{DOCTYPE, Markup, PreEscaped, html};
use serde_json::{Map, Value, json};

use latchwork::check::SizeProof;
use latchwork::cues::{BedSet, Cue, Does, Kind, Standing as Stands, standings};
use latchwork::fabric::FABRICS;
use latchwork::notice::Notice;
use latchwork::units::{counter, dial};
use latchwork_machine::needle::{Bed, Needle, Side, Slot};
use latchwork_machine::steps::{Move, Setting};

use super::machine::Standing;
use super::{enc, head, isolated_html};
use crate::said::{t, tf};
use crate::work::Worked;

/// Texts told once and named by their number.
#[derive(Default)]
struct Texts {
    all: Vec<String>,
    known: BTreeMap<String, usize>,
}

impl Texts {
    fn of(&mut self, text: &str) -> usize {
        if let Some(n) = self.known.get(text) {
            return *n;
        }
        self.all.push(text.to_string());
        self.known.insert(text.to_string(), self.all.len() - 1);
        self.all.len() - 1
    }
}

/// A bed's carriage: what it does to the left and to the right, whether it holds, and its stitch size.
fn bed(b: &BedSet) -> Value {
    let does = |d: Does| match d.setting {
        Setting::Knit => t("knit"),
        Setting::Tuck => t("tuck"),
        Setting::Slip => t("slip"),
    };
    json!([does(b.left), does(b.right), b.left.hold || b.right.hold, dial(b.dial.0)])
}

/// Needles that are only put in or out are drawn up to so many; more of them are a row, and better said.
const MOST_NAMED: usize = 12;
/// Slots of an end of the work that help draws.
const EDGE: i16 = 6;
/// Slots that one drawing of an end of the work shows.
const SHOWN: i16 = 8;

/// How loops at an end are moved, and with which tool, in a few words; nothing where there is no one way. `middle` is
/// that of all that are moved.
fn how_moved(moves: &[&Move], middle: i16) -> String {
    let Some(first) = moves.first() else { return String::new() };
    let far = |m: &Move| m.to.slot.0 - m.from.slot.0;
    if moves.iter().all(|m| m.from.bed != m.to.bed) {
        let to = if first.to.bed == Bed::Main { t("main-word") } else { t("ribber-word") };
        return tf("end-across", &[("bed", &to)]);
    }
    let alike = moves.iter().all(|m| m.from.bed == m.to.bed && far(m) == far(first));
    let prongs = [Bed::Main, Bed::Ribber].map(|bed| moves.iter().filter(|m| m.from.bed == bed).count());
    let prongs = prongs[0].max(prongs[1]);
    if !alike || prongs > 3 {
        return String::new();
    }
    let n = far(first).unsigned_abs().to_string();
    let inwards = (far(first) > 0) == (first.from.slot.0 <= middle);
    tf(if inwards { "end-in" } else { "end-out" }, &[("n", &n), ("prongs", &prongs.to_string())])
}

/// The ends of the work where the hands are busy, each near: which needles are in work and which are touched, by bed,
/// and from where to where loops go. Two where they lie apart.
fn ends(cue: &Cue, stands: &Stands) -> Vec<Value> {
    let slots = || cue.needles.iter().map(|n| n.slot.0);
    let (Some(first), Some(last)) = (slots().min(), slots().max()) else { return Vec::new() };
    if cue.moves.is_empty() && cue.needles.len() > MOST_NAMED {
        return Vec::new();
    }
    let near = last - first < SHOWN - 1;
    let wide = if near { SHOWN.max(last - first + 3) } else { SHOWN };
    let begins = if near { vec![first - 1] } else { vec![first - 1, last + 2 - SHOWN] };
    let end = |begin: i16| {
        let window = begin..begin + wide;
        let signs = |bed: Bed| {
            let sign = |slot: i16| {
                let n = Needle { bed, slot: Slot(slot) };
                match (cue.needles.contains(&n), stands.in_work.binary_search(&n).is_ok()) {
                    (true, true) => 'x',
                    (true, false) => 'o',
                    (false, true) => '|',
                    (false, false) => '.',
                }
            };
            window.clone().map(sign).collect::<String>()
        };
        let within = |n: Needle| window.contains(&n.slot.0);
        let at = |n: Needle| json!([u8::from(n.bed == Bed::Ribber), n.slot.0 - window.start]);
        let moves = cue.moves.iter().filter(|m| within(m.from) && within(m.to));
        let moves: Vec<Value> = moves.map(|m| json!([at(m.from), at(m.to)])).collect();
        let from: Vec<Needle> = cue.moves.iter().map(|m| m.from).collect();
        let named = if from.is_empty() { &cue.needles } else { &from };
        let mut named: Vec<Slot> = named.iter().filter(|n| within(**n)).map(|n| n.slot).collect();
        named.sort_unstable();
        named.dedup();
        let named: Vec<String> = named.iter().map(Slot::to_string).collect();
        let here: Vec<&Move> = cue.moves.iter().filter(|m| within(m.from)).collect();
        let how = how_moved(&here, (first + last) / 2);
        json!([window.start, signs(Bed::Main), signs(Bed::Ribber), moves, named, stands.half, how])
    };
    begins.into_iter().map(end).collect()
}

/// The needles at the two ends of the work, as help draws them: from which slot, who of each bed is in work, and
/// whether that is half pitch.
fn edges(stands: &Stands) -> Option<Value> {
    let slots = || stands.in_work.iter().map(|n| n.slot.0);
    let (first, last) = (slots().min()?, slots().max()?);
    let window = |begin: i16| {
        let signs = |bed: Bed| {
            let sign = |slot: i16| {
                let n = Needle { bed, slot: Slot(slot) };
                if stands.in_work.binary_search(&n).is_ok() { '|' } else { '.' }
            };
            (begin..begin + EDGE).map(sign).collect::<String>()
        };
        json!([begin, signs(Bed::Main), signs(Bed::Ribber)])
    };
    Some(json!([window(first - 1), window(last + 2 - EDGE), stands.half]))
}

/// The cues of a piece as the tablet keeps them, named by short letters; counting.js says which.
pub(crate) fn piece_json(worked: &Worked, shown: &SizeProof, piece: usize, cues: &[Cue]) -> Option<Value> {
    let design = worked.design.as_ref()?;
    let (plan, proof) = (shown.plans.pieces.get(piece)?, shown.pieces.get(piece)?);
    let stands = standings(plan, &proof.run, &design.machine.profile, cues);
    let mut texts = Texts::default();
    let mut sets: Vec<Value> = Vec::new();
    let mut told: Option<[usize; 6]> = None;
    let mut edge: Option<Value> = None;
    let mut all = Vec::with_capacity(cues.len());
    let mut list = |texts: &mut Texts, s: &Stands| {
        let now = [&s.settings, &s.sizes, &s.beds, &s.needles, &s.weights, &s.yarn].map(|x| texts.of(x));
        (told.replace(now) != Some(now)).then_some(now)
    };
    for (k, (cue, stand)) in cues.iter().zip(&stands).enumerate() {
        let mut c = Map::new();
        if let Some(set) = &cue.set {
            let set = json!([bed(&set.main), set.ribber.as_ref().map(bed)]);
            let number = sets.iter().rposition(|s| *s == set).unwrap_or_else(|| {
                sets.push(set);
                sets.len() - 1
            });
            c.insert("s".into(), number.into());
        }
        c.insert("c".into(), cue.counter.into());
        c.insert("p".into(), texts.of(&cue.part).into());
        if let Some(now) = list(&mut texts, stand) {
            c.insert("u".into(), json!(now));
        }
        let now = edges(stand);
        if now.is_some() && now != edge {
            c.insert("z".into(), now.clone().unwrap_or_default());
            edge = now;
        }
        if let (Kind::Pass, Some(way)) = (cue.kind, cue.way) {
            c.insert("w".into(), u8::from(way == Side::Right).into());
            c.insert("r".into(), json!(cue.row));
            c.insert("d".into(), texts.of(&cue.does).into());
            if cue.unusual {
                c.insert("t".into(), 1.into());
            }
            if !cue.changed.is_empty() {
                let changed: Vec<_> =
                    cue.changed.iter().map(|x| [&x.what, &x.from, &x.to].map(|x| texts.of(x))).collect();
                c.insert("x".into(), json!(changed));
            }
            if !cue.check.is_empty() {
                c.insert("q".into(), json!(cue.check.iter().map(|x| texts.of(x)).collect::<Vec<_>>()));
            }
        } else {
            let before = k.checked_sub(1).map_or((0, 0), |b| cues[b].stitches);
            c.insert("h".into(), json!(cue.hands.iter().map(|x| texts.of(x)).collect::<Vec<_>>()));
            c.insert("v".into(), texts.of(cue.act).into());
            c.insert("a".into(), u8::from(cue.stands == Side::Right).into());
            c.insert("l".into(), json!([before.0 + before.1, cue.stitches.0 + cue.stitches.1]));
            c.insert("n".into(), cue.needles.len().into());
            let ends = ends(cue, stand);
            let drawn: usize = ends.iter().map(|e| e[3].as_array().map_or(0, Vec::len)).sum();
            // More is moved than is drawn: then it is said, too.
            if drawn < cue.moves.len() {
                c.insert("m".into(), cue.moves.len().into());
            }
            if !ends.is_empty() {
                c.insert("e".into(), ends.into());
            }
        }
        all.push(Value::Object(c));
    }
    // What each part is knitted in, for its picture.
    let fabrics: Map<String, Value> = plan
        .origins
        .iter()
        .filter_map(|part| {
            let name = part.fabric()?;
            let k = FABRICS.iter().position(|f| f.name == name)?;
            Some((texts.of(&part.label).to_string(), json!([k, name])))
        })
        .collect();
    let more = if plan.make > 1 { tf("made-more", &[("n", &plan.make.to_string())]) } else { String::new() };
    let end = stands.last().and_then(|s| list(&mut texts, s));
    let begins = u8::from(stands.first().is_some_and(|s| s.carriage == Side::Right));
    Some(
        json!({ "cues": all, "sets": sets, "end": end, "begins": begins, "fabrics": fabrics, "texts": texts.all, "name": plan.name, "more": more }),
    )
}

/// Words that the script puts together; what stands in braces is put in by it.
fn words() -> Value {
    const ALL: [(&str, &[&str]); 74] = [
        ("knit", &[]),
        ("tuck", &[]),
        ("slip", &[]),
        ("aid-at", &["needle"]),
        ("aid-dropped-2-tuck", &[]),
        ("aid-dropped-2-slip", &[]),
        ("rows-newest", &[]),
        ("rows-each", &["bed"]),
        ("rows-second", &["bed", "n"]),
        ("to-the-left", &[]),
        ("to-the-right", &[]),
        ("row-of", &["n", "of"]),
        ("touch-word", &[]),
        ("touch-at-left", &[]),
        ("touch-at-right", &[]),
        ("touch-hands", &[]),
        ("touch-ends", &[]),
        ("touch-tick", &["then"]),
        ("touch-nothing", &[]),
        ("main-word", &[]),
        ("ribber-word", &[]),
        ("yarn-word", &[]),
        ("size-word", &[]),
        ("next-word", &[]),
        ("then-is-done", &[]),
        ("rows-one", &[]),
        ("rows-many", &["n"]),
        ("now-word", &[]),
        ("holding", &[]),
        ("loops-from-to", &["from", "to"]),
        ("loops-stay", &["n"]),
        ("done-word", &[]),
        ("all-done", &[]),
        ("why-joined", &[]),
        ("why-ripped", &[]),
        ("why-counter", &[]),
        ("why-begin", &[]),
        ("why-elsewhere", &[]),
        ("why-settled", &[]),
        ("now-joined", &["counter", "part"]),
        ("now-ripped", &["counter", "part"]),
        ("then-row", &["n", "way"]),
        ("then-hands-word", &["act"]),
        ("item-carriage", &[]),
        ("item-settings", &[]),
        ("item-sizes", &[]),
        ("item-beds", &[]),
        ("item-needles", &[]),
        ("item-weights", &[]),
        ("item-yarn", &[]),
        ("carriage-left", &["counter"]),
        ("carriage-right", &["counter"]),
        ("paused-word", &[]),
        ("paused-go-on", &[]),
        ("alone", &["n"]),
        ("alone-none", &[]),
        ("all-sent", &[]),
        ("apart-word", &[]),
        ("apart-how", &[]),
        ("apart-ours", &["counter"]),
        ("apart-theirs", &["counter"]),
        ("apart-old", &["counter"]),
        ("stale-plan", &[]),
        ("stale-folder", &[]),
        ("time-left", &["h", "m"]),
        ("minutes-left", &["m"]),
        ("which-place", &["counter"]),
        ("in-part", &["part"]),
        ("say-next", &["counter", "rows"]),
        ("never-sleep", &[]),
        ("sleeps", &[]),
        ("ahead", &["counter"]),
        ("loops-of", &["fabric"]),
        ("loops-alt", &["fabric"]),
    ];
    let one = |(name, holes): (&str, &[&str])| {
        let braces: Vec<String> = holes.iter().map(|h| format!("{{{h}}}")).collect();
        let with: Vec<(&str, &str)> = holes.iter().zip(&braces).map(|(h, b)| (*h, b.as_str())).collect();
        (name.to_string(), Value::from(tf(name, &with)))
    };
    let aids = AIDS.iter().flat_map(|aid| aid_words(aid));
    let aids: Vec<(String, &[&str])> = aids.collect();
    let aids = aids.iter().map(|(name, holes)| (name.as_str(), *holes));
    Value::Object(ALL.iter().copied().chain(aids).map(one).collect())
}

/// Things that can have gone wrong, each drawn by aids.js with three verbs; and how the rows are read in the cloth.
const AIDS: [&str; 7] = ["dropped", "missed", "too-many", "jammed", "ran-out", "by-mistake", "rows"];

/// The words of an aid, by their names in the catalogue and by what the script puts in.
fn aid_words(aid: &str) -> Vec<(String, &'static [&'static str])> {
    let holes: &[&str] = &["counter", "needle"];
    let mut all = vec![(format!("aid-{aid}-word"), &[][..]), (format!("aid-{aid}-touch"), holes)];
    for n in (1..=3).filter(|_| aid != "rows") {
        all.push((format!("aid-{aid}-{n}"), &[]));
        all.push((format!("aid-{aid}-{n}-how"), holes));
    }
    all
}

/// Text that can stand in a script of a page.
fn in_script(v: &Value) -> PreEscaped<String> {
    PreEscaped(v.to_string().replace('<', "\\u003c"))
}

/// What stands on the page of a piece: its cues, how far it is, and all words for it.
pub(crate) struct CueRoom<'a> {
    /// The document.
    pub(crate) name: &'a str,
    pub(crate) worked: &'a Worked,
    pub(crate) shown: &'a SizeProof,
    pub(crate) piece: usize,
    pub(crate) cues: &'a [Cue],
    pub(crate) state: &'a Value,
    /// A random name of the folder.
    pub(crate) folder: &'a str,
    /// What the knitter must know before she begins, where it is to be knitted all the same.
    pub(crate) short: Option<&'a Notice>,
}

/// The page.
pub(crate) fn cue_room(room: &CueRoom<'_>) -> Option<Markup> {
    let CueRoom { name, worked, shown, piece, .. } = room;
    let d = worked.design.as_ref()?;
    let size = d.sizes[shown.size].name.as_str();
    let title = d.title.as_str();
    let called = if d.sizes.len() > 1 { format!("{title}, {size}") } else { title.to_string() };
    let work = format!("/d/{}/count/{}/{piece}", enc(name), enc(size));
    let mut data = piece_json(worked, shown, *piece, room.cues)?;
    data["work"] = work.into();
    data["folder"] = room.folder.into();
    data["plan"] = room.state["plan"].clone();
    data["pace"] = room.state["pace"].clone();
    let called =
        if shown.plans.pieces.len() > 1 { format!("{called}: {}", shown.plans.pieces[*piece].name) } else { called };
    let buttons = [
        ("back", "step-back"),
        ("counter", "counter-says"),
        ("ripped", "ripped"),
        ("wrong", "not-right"),
        ("many", "count-many"),
        ("pause", "pause"),
    ];
    let page = html! {
        (DOCTYPE)
        html lang="en" {
            (head(title))
            link rel="stylesheet" href="/cue.css";
            body.cue-room {
                main.cue id="cue" {
                    h1.vh { (tf("at-machine", &[("title", title), ("size", size)])) }
                    header.bar {
                        a href={ "/d/" (enc(name)) "/machine" } { (called) }
                        span.alone id="alone" role="status" {}
                        span id="left" {}
                    }
                    svg.run id="run" role="img" aria-label=(t("progress")) {}
                    div.field {
                        button.touch id="touch" aria-describedby="now" { span.vh { (t("pass-made")) } }
                        div.now id="now" aria-live="polite" {}
                    }
                    div.apart id="apart" role="alert" hidden {}
                    p.told id="lost" role="alert" hidden {}
                    p.told id="journal" role="alert" hidden { span id="journal-words" {} " " a href="/journal.db" download { (t("journal-copy")) } }
                    p.told id="replanned" role="alert" hidden { (t("replanned")) " " button id="carry-on" { (t("carry-on")) } }
                    @if let Some(short) = room.short {
                        p.told id="short" role="alert" { (short.message) " " (short.why) " " button id="knowing" { (t("go-on-knowing")) } }
                    }
                    dialog id="ask" { form method="dialog" { label { span id="asked" {} input id="answer" autocomplete="off"; } div id="choices" {} div.acts { button.main value="yes" { (t("do-it")) } button value="no" formnovalidate { (t("leave-it")) } } } }
                    div.help id="help" hidden {
                        h2 { (t("what-is-wrong")) }
                        ul.troubles { @for aid in AIDS { li { button data-aid=(aid) { (t(&format!("aid-{aid}"))) } } } }
                        div.acts { button id="leave" { (t("all-right")) } button.quiet id="sound-check" { (t("sound-check")) } button.quiet id="full" { (t("whole-screen")) } }
                    }
                    nav.foot aria-label=(t("ways-back")) { @for (act, label) in buttons { button data-do=(act) { (t(label)) } } }
                }
                script type="application/json" id="piece" { (in_script(&data)) }
                script type="application/json" id="state" { (in_script(room.state)) }
                script type="application/json" id="words" { (in_script(&json!({
                    "w": words(), "lost": t("lost"), "askCounter": t("ask-counter"), "askRipped": t("ask-ripped"), "askNote": t("ask-note"),
                    "noCounter": t("no-counter"), "askMany": t("ask-many"), "note": t("note"), "tickAll": t("tick-all"), "goOn": t("go-on"),
                    "notRight": t("not-right"), "notThis": t("not-this"), "pause": t("pause"), "many": t("count-many"), "soundCheck": t("sound-check-says"),
                    "runs": tf("counter-runs", &[("from", &counter(lowest(room.cues))), ("to", &counter(highest(room.cues)))]),
                }))) }
                script type="module" src="/machine.js" {}
            }
        }
    };
    Some(PreEscaped(isolated_html(&page.0)))
}

fn lowest(cues: &[Cue]) -> u32 {
    cues.iter().map(|c| c.counter).min().unwrap_or(0)
}

fn highest(cues: &[Cue]) -> u32 {
    cues.iter().map(|c| c.counter).max().unwrap_or(0)
}

/// How things stand, as the script reads it.
pub(crate) fn stand(cues: &[Cue], standing: &Standing, plan: &str, pace: i64, changed: bool) -> Value {
    json!({
        "counter": standing.position.checked_sub(1).and_then(|k| cues.get(k)).map_or(0, |c| c.counter),
        "run": cues.iter().skip(standing.position).take_while(|c| c.plain()).count(),
        "seq": standing.seq,
        "position": standing.position,
        "paused": standing.paused,
        "plan": plan,
        "pace": standing.pace.unwrap_or(pace),
        "replanned": changed,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    /// What is not in the catalogue comes back as its own name.
    #[test]
    fn every_word_of_the_script_is_in_the_catalogue() {
        for (name, words) in words().as_object().into_iter().flatten() {
            assert!(!name.contains('-') || words != name, "{name}");
        }
        assert!(AIDS.iter().all(|aid| t(&format!("aid-{aid}")) != format!("aid-{aid}")));
    }
}
