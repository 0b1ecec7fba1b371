//! The cue room: what to do next, large, and every way back when something went wrong. The page holds the cues of
//! the whole piece, so that a tablet goes on by itself.

use maud::{DOCTYPE, Markup, PreEscaped, html};
use serde_json::{Value, json};

use latchwork::check::SizeProof;
use latchwork::cues::Cue;
use latchwork::notice::Notice;
use latchwork::units::counter;

use super::machine::Counting;
use super::piece::piece_json;
use super::{enc, head, isolated_html};
use crate::said::{language, named, t, tf};
use crate::work::WorkedOut;

/// Words that the script puts together; what stands in braces is put in by it.
#[expect(clippy::too_many_lines, reason = "a line a word")]
fn words() -> Value {
    const ALL: &[(&str, &[&str])] = &[
        ("knit", &[]),
        ("tuck", &[]),
        ("slip", &[]),
        ("aid-at", &["needle"]),
        ("aid-dropped-2-tuck", &[]),
        ("aid-dropped-2-slip", &[]),
        ("rows-newest", &[]),
        ("rows-each", &["bed"]),
        ("rows-high", &["bed", "n"]),
        ("rows-none", &[]),
        ("to-set", &[]),
        ("reads-now", &["counter"]),
        ("stale-word", &[]),
        ("stale-touch", &[]),
        ("why-mended", &[]),
        ("mark-word", &[]),
        ("to-mark-set", &[]),
        ("made-of", &["k", "n"]),
        ("made-all", &["n"]),
        ("aid-dropped-3-tuck", &[]),
        ("mark-with", &[]),
        ("mark-for", &[]),
        ("loops-one", &[]),
        ("begin-next", &["n"]),
        ("begin-word", &[]),
        ("carriage-left-back", &["counter"]),
        ("carriage-right-back", &["counter"]),
        ("act-at", &["act", "counter"]),
        ("side-of", &["act", "counter"]),
        ("side-before", &[]),
        ("side-after", &[]),
        ("passed-over", &["acts"]),
        ("passed-done", &[]),
        ("passed-not", &[]),
        ("passed-so", &["counter"]),
        ("carried-on", &["parts"]),
        ("part-to", &["part", "counter"]),
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
        ("rows-only-one", &[]),
        ("rows-only", &["n"]),
        ("to-knit", &[]),
        ("then-what", &["what"]),
        ("rows-one", &[]),
        ("rows-many", &["n"]),
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
        ("apart-ours", &["counter", "part"]),
        ("apart-theirs", &["counter", "part"]),
        ("apart-old", &["counter"]),
        ("stale-plan", &[]),
        ("stale-folder", &[]),
        ("time-left", &["h", "m"]),
        ("minutes-left", &["m"]),
        ("which-place", &["counter"]),
        ("in-part", &["part"]),
        ("say-next", &["what", "counter", "rows"]),
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
const AIDS: [&str; 8] = ["dropped", "dropped-ribber", "missed", "too-many", "jammed", "ran-out", "by-mistake", "rows"];

/// The words of an aid, by their names in the catalogue and by what the script puts in.
fn aid_words(aid: &str) -> Vec<(String, &'static [&'static str])> {
    let holes: &[&str] = &["counter", "needle"];
    // The words of the one are those of the other.
    if aid == "dropped-ribber" {
        return vec![("aid-dropped-1-ribber".to_string(), &[])];
    }
    let mut all = vec![(format!("aid-{aid}-word"), &[][..]), (format!("aid-{aid}-touch"), holes)];
    for n in (1..=3).filter(|_| aid != "rows") {
        all.push((format!("aid-{aid}-{n}"), &[]));
        all.push((format!("aid-{aid}-{n}-how"), holes));
    }
    all
}

/// Names in the catalogue that are put together here.
#[cfg(test)]
pub(crate) fn aid_names() -> Vec<String> {
    let labels = AIDS.iter().map(|aid| format!("aid-{aid}"));
    labels.chain(AIDS.iter().flat_map(|aid| aid_words(aid)).map(|(name, _)| name)).collect()
}

/// Text that can stand in a script of a page.
fn in_script(v: &Value) -> PreEscaped<String> {
    PreEscaped(v.to_string().replace('<', "\\u003c"))
}

/// What stands on the page of a piece: its cues, how far it is, and all words for it.
pub(crate) struct CueRoom<'a> {
    /// The document.
    pub(crate) name: &'a str,
    pub(crate) worked: &'a WorkedOut,
    pub(crate) shown: &'a SizeProof,
    pub(crate) piece: usize,
    pub(crate) cues: &'a [Cue],
    pub(crate) state: &'a Value,
    /// A random name of the folder.
    pub(crate) folder: &'a str,
    /// What the knitter must know before beginning, where the piece may be knitted all the same.
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
    let called =
        if shown.plans.pieces.len() > 1 { format!("{called}: {}", named(&shown.plans.pieces[*piece])) } else { called };
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
                    @if let Some(short) = room.short.map(|n| n.told(language())) {
                        p.told id="short" role="alert" { (short.message) " " (short.why) " " button id="knowing" { (t("go-on-knowing")) } }
                    }
                    dialog id="ask" { form method="dialog" { label { span id="asked" tabindex="-1" {} input id="answer" autocomplete="off"; } div id="choices" {} div.acts { button.main value="yes" { (t("do-it")) } button value="no" formnovalidate { (t("leave-it")) } } } }
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
pub(crate) fn stand(cues: &[Cue], standing: &Counting, plan: &str, pace: i64, changed: bool) -> Value {
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
