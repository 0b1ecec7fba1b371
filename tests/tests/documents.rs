//! Documents on the shelf and what the page says of them, over HTTP: examples, copies, what is put away, swatches that
//! are shared, broken or wanted, wishes that cannot be met, and sizes that cannot be printed.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "tests")]

use std::path::Path;
use std::process::Command;

use latchwork_tests::workshop::{Answer, Workshop};

fn opened() -> (tempfile::TempDir, Workshop) {
    let folder = tempfile::tempdir().unwrap();
    let w = Workshop::open(folder.path(), &[]);
    assert_eq!(w.post("/examples", &[]).unwrap().status, 303);
    (folder, w)
}

const HAT: &str = "/d/deck-hat.kdl";

fn revise(w: &Workshop, at: &str, piece: &str, stretch: &str, what: &str, value: &str) -> Answer {
    let base = w.get(at).base();
    let fields = [
        ("base", base.as_str()),
        ("piece", piece),
        ("stretch", stretch),
        ("what", what),
        ("value", value),
        ("times", "4"),
    ];
    w.post(&format!("{at}/revise"), &fields).unwrap()
}

fn change(folder: &Path, file: &str, from: &str, to: &str) {
    let path = folder.join(file);
    let text = std::fs::read_to_string(&path).unwrap();
    assert!(text.contains(from), "{file} has no {from}");
    std::fs::write(path, text.replace(from, to)).unwrap();
}

/// The text of a page's findings.
fn found(page: &str) -> &str {
    let from = page.find("id=\"fi\"").unwrap();
    &page[from..from + page[from..].find("</section>").unwrap()]
}

#[test]
fn all_five_examples_are_offered_and_each_that_is_not_here_still_is() {
    let folder = tempfile::tempdir().unwrap();
    let w = Workshop::open(folder.path(), &[]);
    std::fs::write(folder.path().join("mine.kdl"), "title \"Mine\"\n").unwrap();
    let files = ["deck-hat.kdl", "wrist-warmers.kdl", "tiller-mitts.kdl", "scarf.kdl", "ladder-cuff.notes"];
    let offered = |file: &str| w.get("/").text().contains(&format!("name=\"file\" value=\"{file}\""));
    for file in files {
        assert!(offered(file), "{file}");
    }
    assert_eq!(w.post("/examples", &[("file", "tiller-mitts.kdl")]).unwrap().status, 303);
    assert!(!offered("tiller-mitts.kdl") && offered("scarf.kdl"));
    // Its swatches came with it: it is worked out.
    assert!(w.get("/d/tiller-mitts.kdl/handout.pdf").body.starts_with(b"%PDF"));
    // What is here already stays as it is.
    std::fs::write(folder.path().join("scarf.kdl"), "title \"My own\"\n").unwrap();
    std::fs::write(folder.path().join("swatches/pilot-sock.kdl"), "// mine\n").unwrap();
    w.post("/examples", &[]).unwrap();
    assert_eq!(std::fs::read_to_string(folder.path().join("scarf.kdl")).unwrap(), "title \"My own\"\n");
    assert_eq!(std::fs::read_to_string(folder.path().join("swatches/pilot-sock.kdl")).unwrap(), "// mine\n");
    assert!(!w.get("/").text().contains("action=\"/examples\""), "nothing is left to offer");
}

#[test]
fn a_design_is_copied_renamed_put_away_and_taken_back() {
    let (folder, w) = opened();
    let hat = folder.path().join("deck-hat.kdl");
    let text = std::fs::read_to_string(&hat).unwrap();
    // A copy is a document of its own; a second one overwrites nothing.
    for name in ["march-hat.kdl", "march-hat-2.kdl"] {
        let made = w.post(&format!("{HAT}/copy"), &[("title", "March hat")]).unwrap();
        assert!(made.status == 303 && made.head.contains(&format!("location: /d/{name}")), "{}", made.head);
        let copy = std::fs::read_to_string(folder.path().join(name)).unwrap();
        assert_eq!(copy, text.replace("title \"Deck hat\"", "title \"March hat\""));
    }
    // Another title, and undo takes the old one back.
    let base = w.get(&format!("{HAT}/keeping")).base();
    let named = w.post(&format!("{HAT}/rename"), &[("base", &base), ("title", "Harbour \"hat\"")]).unwrap();
    assert!(named.text().contains("Harbour &quot;hat&quot;"));
    assert!(w.get("/").text().contains("Harbour &quot;hat&quot;"));
    assert_eq!(w.post(&format!("{HAT}/undo"), &[("base", &named.base())]).unwrap().status, 200);
    assert_eq!(std::fs::read_to_string(&hat).unwrap(), text);
    assert_eq!(w.post(&format!("{HAT}/rename"), &[("base", &base), ("title", " ")]).unwrap().status, 422);
    // Put away it is kept, with what was counted; another of its name is not made meanwhile.
    let count = [("key", "a"), ("seq", "0"), ("kind", "made"), ("n", "1")];
    assert_eq!(w.post(&format!("{HAT}/count/54/0"), &count).unwrap().status, 200);
    assert_eq!(w.post(&format!("{HAT}/put-away"), &[]).unwrap().status, 303);
    assert!(!hat.exists());
    assert_eq!(std::fs::read_to_string(folder.path().join("put-away/deck-hat.kdl")).unwrap(), text);
    let shelf = w.get("/").text();
    assert!(shelf.contains("Put back") && !shelf.contains("href=\"/d/deck-hat.kdl\""));
    w.post("/examples", &[]).unwrap();
    assert!(!hat.exists(), "an example that was put away is not put here anew");
    assert_eq!(w.post("/take-back", &[("file", "../deck-hat.kdl")]).unwrap().status, 404);
    assert_eq!(w.post("/take-back", &[("file", "deck-hat.kdl")]).unwrap().status, 303);
    assert_eq!(std::fs::read_to_string(&hat).unwrap(), text);
    let state: serde_json::Value = serde_json::from_slice(&w.get(&format!("{HAT}/count/54/0")).body).unwrap();
    assert_eq!(state["seq"], 1);
}

/// Where some sizes run out of yarn the others are printed, and each that is not is reported.
#[test]
fn sizes_that_can_be_printed_are() {
    let (_folder, w) = opened();
    let page = w.get(HAT).text();
    // A little more than the smallest takes.
    let of_smallest = page.split("aria-label=\"Size 48: ").nth(1).expect("the yarn of each size is told");
    let grams: f64 = of_smallest.split(' ').next().unwrap().parse().unwrap();
    revise(&w, HAT, "harbour sock", "", "in-hand", &format!("{}", grams + 3.0));
    let page = w.get(&format!("{HAT}/handout")).text();
    assert!(page.contains("<iframe") && page.contains("Printed: 48"), "what can be printed is");
    assert!(page.contains("Size 60 is left out") && page.contains("runs out of"), "and what cannot is told");
    assert!(!page.contains("<option value=\"60\""), "it is not offered");
    let some = w.get(&format!("{HAT}/handout.pdf"));
    assert!(some.status == 200 && some.body.starts_with(b"%PDF"));
    assert_eq!(w.get(&format!("{HAT}/handout.pdf?size=60")).status, 404);
    assert_eq!(w.get(&format!("{HAT}/handout.pdf?size=48")).status, 200);
}

#[test]
fn grams_in_hand_can_be_cleared() {
    let (folder, w) = opened();
    let read = || std::fs::read_to_string(folder.path().join("deck-hat.kdl")).unwrap();
    let before = read();
    revise(&w, HAT, "harbour sock", "", "in-hand", "43");
    assert!(read().contains("in-hand (g)43"));
    revise(&w, HAT, "harbour sock", "", "in-hand", " ");
    assert_eq!(read(), before);
}

/// All files of a design make it again in another folder, with the shared swatches that it needs.
#[test]
fn all_files_of_a_design_carry_its_shared_swatches() {
    let (_folder, w) = opened();
    let other = tempfile::tempdir().unwrap();
    let zip = other.path().join("files.zip");
    std::fs::write(&zip, w.get("/d/tiller-mitts.kdl/files.zip").body).unwrap();
    let python = std::env::var("LATCHWORK_PYTHON").unwrap_or_else(|_| "python3".to_string());
    let done = Command::new(python).args(["-m", "zipfile", "-e"]).arg(&zip).arg(other.path()).status().unwrap();
    assert!(done.success() && other.path().join("swatches/pilot-sock.kdl").exists());
    let there = Workshop::open(other.path(), &[]);
    assert!(there.get("/d/tiller-mitts.kdl/handout.pdf").body.starts_with(b"%PDF"));
}

/// A book of swatches that cannot be read is the cause, and is reported as such, with its line.
#[test]
fn a_broken_book_of_swatches_is_told_as_one() {
    let (folder, w) = opened();
    let told = || w.get("/d/tiller-mitts.kdl").text().contains("swatches/pilot-sock.kdl cannot be read");
    assert!(!told());
    change(folder.path(), "swatches/pilot-sock.kdl", "counted ", "countd ");
    for path in ["/d/tiller-mitts.kdl", "/d/tiller-mitts.kdl/document"] {
        let page = w.get(path).text();
        let (cause, missing) = (page.find("swatches/pilot-sock.kdl cannot be read"), page.find("There is no swatch"));
        assert!(cause.is_some() && cause < missing, "{path}: the cause comes first");
        assert!(page.contains("Line "), "{path}");
    }
    // A design of another yarn has nothing to do with it.
    assert!(!w.get(HAT).text().contains("pilot-sock"));
    // What is put right on the disk is taken up without being asked.
    change(folder.path(), "swatches/pilot-sock.kdl", "countd ", "counted ");
    assert!(!told());
}

/// That no problems were found is said only where nothing is reported.
#[test]
fn a_missed_wish_is_a_problem_found() {
    let (_folder, w) = opened();
    // One count of needles cannot serve two wishes so far apart.
    revise(&w, "/d/wrist-warmers.kdl", "wrist warmer", "cuff", "ease", "-20");
    for path in ["/d/wrist-warmers.kdl", "/d/wrist-warmers.kdl/document"] {
        let page = w.get(path).text();
        assert!(!page.contains("No problems found"), "{path}");
        let told = found(&page);
        assert!(told.contains("cuff, wrist warmer") && told.contains("−20%"), "{path}: {told}");
    }
    assert!(w.get("/d/wrist-warmers.kdl").text().contains("target −20%"), "and at the stretch");
}

/// A wish that no size can meet leaves the drawing as it was, and one error that names the sizes.
#[test]
fn a_wish_that_cannot_be_met_keeps_the_drawing_and_is_told_once() {
    let (_folder, w) = opened();
    revise(&w, HAT, "hat", "brim", "ease", "190");
    let page = w.get(HAT).text();
    assert!(page.contains("No size could be worked out"));
    let (before, after) = page.split_once("As it was before, size 54").expect("the last drawing stands");
    assert!(before.rsplit("<figure").next().unwrap().contains("<svg"));
    assert!(after.contains("name=\"what\" value=\"ease\""));
    let told = found(&page);
    assert_eq!(told.matches("is too wide for the machine").count(), 1, "{told}");
    assert!(told.contains("Also in 51, 54, 57, 60") && told.contains("One error"), "{told}");
}

/// A fabric without a swatch is not chosen and not refused either: its swatch is asked for, and then it is knitted in.
#[test]
fn a_fabric_without_a_swatch_leads_to_its_swatch() {
    let (folder, w) = opened();
    let path = folder.path().join("deck-hat.kdl");
    let before = std::fs::read_to_string(&path).unwrap();
    let page = w.get(HAT).text();
    assert!(page.contains("<optgroup label=\"swatched\">") && page.contains("<optgroup label=\"no swatch yet\">"));
    let page = revise(&w, HAT, "hat", "brim", "fabric", "full cardigan");
    let text = page.text();
    assert!(text.contains("full cardigan has no swatch in harbour sock yet") && text.contains("href=\"#sw\""));
    assert!(text.contains("<details open>") && text.contains("Then brim is knitted in it."));
    assert!(text.contains("<option value=\"full cardigan\" selected>"));
    assert_eq!(std::fs::read_to_string(&path).unwrap(), before);
    let base = page.base();
    let swatch = |grams: &str| {
        let fields = [
            ("base", base.as_str()),
            ("piece", "hat"),
            ("stretch", "brim"),
            ("fabric", "full cardigan"),
            ("sizes", "3 3"),
            ("needles", "40"),
            ("passes", "60"),
            ("wide", "20.5"),
            ("long", "12.7"),
            ("grams", grams),
        ];
        w.post(&format!("{HAT}/swatch"), &fields).unwrap().text()
    };
    // What is wrong is said at its field, and what was typed stays.
    let wrong = swatch("heavy");
    assert!(wrong.contains("Weight of the whole swatch (g): “heavy”"));
    let field = wrong.split("id=\"s-grams\"").nth(1).unwrap().split('>').next().unwrap();
    assert!(field.contains("aria-invalid=\"true\"") && field.contains("value=\"heavy\""), "{field}");
    assert!(wrong.contains("value=\"20.5\"") && wrong.contains("<details open>"));
    swatch("14.4");
    let now = std::fs::read_to_string(&path).unwrap();
    assert!(now.contains("swatch \"full cardigan\"") && now.contains("fabric \"full cardigan\""), "{now}");
    // A fabric that cannot stand there for other reasons: the swatch is not lost.
    let mut fields = vec![("piece", "hat"), ("stretch", "brim"), ("fabric", "2x2 rib"), ("sizes", "3 3")];
    fields.extend([("needles", "40"), ("passes", "60"), ("wide", "15.5"), ("long", "16.7"), ("grams", "14.4")]);
    let base = w.get(HAT).base();
    fields.push(("base", base.as_str()));
    let page = w.post(&format!("{HAT}/swatch"), &fields).unwrap().text();
    assert!(page.contains("The swatch is saved, but brim stays as it was"));
    let now = std::fs::read_to_string(&path).unwrap();
    assert!(now.contains("swatch \"2x2 rib\"") && !now.contains("fabric \"2x2 rib\""), "{now}");
}

/// A fault in a form is said at its field, with what was typed; nothing else is asked again.
#[test]
fn a_fault_in_a_form_names_its_field() {
    let (_folder, w) = opened();
    let field = |text: &str, id: &str| {
        let rest = text.split(&format!("id=\"{id}\"")).nth(1).unwrap().to_string();
        rest.split('>').next().unwrap().to_string()
    };
    for (what, value, id, words) in [
        ("rows", "many", "r0-0", "Rows of brim, hat: “many” is not a whole number from 1 to 2000"),
        ("ease", "tight", "e0-0", "Ease (%) of brim, hat: “tight”"),
        ("add", " ", "n0-0", "New section after this one: this field is empty"),
    ] {
        let text = revise(&w, HAT, "hat", "brim", what, value).text();
        assert!(text.contains(words), "{what}");
        assert!(field(&text, id).contains("aria-invalid=\"true\""), "{what}");
    }
    let text = revise(&w, HAT, "harbour sock", "", "in-hand", "lots").text();
    assert!(text.contains("Yarn in hand (g) of harbour sock: “lots”") && field(&text, "h0").contains("value=\"lots\""));
    let mut fields: Vec<(String, &str)> = [
        ("title", "Watch hat"),
        ("kind", "mitts"),
        ("who", "adults"),
        ("machine", "standard"),
        ("yarn", "my yarn"),
        ("count", "420"),
    ]
    .map(|f| (f.0.to_string(), f.1))
    .to_vec();
    let swatch = [("needles", "40"), ("passes", "60"), ("wide", "16.7"), ("long", "16.7"), ("grams", "14.1")];
    for end in ["a", "b"] {
        fields.extend(swatch.map(|(field, value)| (format!("{field}-{end}"), value)));
    }
    // What is not a figure, and what the reader of designs finds impossible.
    for (id, value, words) in [
        ("count", "thin", "Metres in 100 g: “thin”"),
        ("long-b", "x", "Length between the contrast rows (cm, or 6.5in), half cardigan: “x”"),
        ("wide-a", "200", "This swatch cannot have been knitted on this machine"),
        ("title", " ", "Title: this field is empty"),
    ] {
        let with: Vec<(&str, &str)> =
            fields.iter().map(|f| (f.0.as_str(), if f.0 == id { value } else { f.1 })).collect();
        let page = w.post("/new", &with).unwrap();
        assert_eq!(page.status, 422, "{id}");
        let page = page.text();
        assert!(page.contains(words), "{id}: {words}");
        assert!(page.contains("aria-invalid=\"true\"") && page.contains("value=\"mitts\" checked"), "{id}");
        assert!(!page.contains("That did not work"), "{id}");
    }
}

/// The three steps: what is chosen stands in the addresses of the next, the table is that of the people chosen, and all that was answered is
/// in the design. What cannot be is told above the same answers.
#[test]
fn a_starter_is_asked_for_in_three_steps() {
    let (folder, w) = opened();
    let whom = w.get("/begin/set-in-sweater?choose.neck=V&size=M&size=L").text();
    assert!(whom.contains("For whom?") && whom.contains("aria-current=\"step\""), "{whom}");
    assert!(whom.contains("aria-current=\"true\">V</a>") && whom.contains("armhole depth"), "{whom}");
    assert!(whom.contains("value=\"M\" checked") && !whom.contains("value=\"S\" checked"), "{whom}");
    assert!(whom.contains("drawing.svg?choose.neck=V"), "{whom}");
    // Another choice keeps the first, and leaves the sizes of other people.
    assert!(whom.contains("href=\"/begin/set-in-sweater?choose.neck=V&amp;choose.for=men\""), "{whom}");
    let men = w.get("/begin/set-in-sweater?choose.for=men").text();
    assert!(men.contains("value=\"XXL\" checked") && !men.contains("value=\"1X\""), "{men}");
    let drawn = |query: &str| w.get(&format!("/starter/set-in-sweater/drawing.svg{query}")).text();
    assert!(drawn("?choose.neck=V") != drawn("") && drawn("").contains("<svg"));
    let yarn = w.get("/begin/set-in-sweater/yarn?choose.neck=V&size=M&size=L").text();
    assert!(yarn.contains("name=\"choose.neck\" value=\"V\"") && yarn.matches("name=\"size\"").count() == 2, "{yarn}");
    let fields = [
        ("starter", "set-in-sweater"),
        ("choose.neck", "V"),
        ("size", "M"),
        ("size", "L"),
        ("machine", "standard"),
        ("tex", "280"),
        ("title", "Harbour sweater"),
    ];
    let begun = w.post("/starter", &fields).unwrap();
    assert!(begun.status == 303, "{} {:?}", begun.head, begun.text());
    let text = std::fs::read_to_string(folder.path().join("harbour-sweater.kdl")).expect(&begun.head);
    assert!(text.contains("choose \"neck\" \"V\"") && text.contains("(tex)280"), "{text}");
    assert!(text.contains("table \"women\" \"M\" \"L\"") && !text.contains("Left out"), "{text}");
    let one = w.get("/begin/watch-cap?one=yes&measure.head-girth=57").text();
    assert!(one.contains("name=\"measure.head-girth\"") && one.contains("value=\"57\""), "{one}");
    let cap = |measure: &str, tex: &str| {
        let fields = [("starter", "watch-cap"), ("one", "yes"), ("measure.head-girth", measure), ("tex", tex)];
        w.post("/starter", &fields).unwrap()
    };
    assert_eq!(cap("22.5in", "").status, 303);
    let text = std::fs::read_to_string(folder.path().join("watch-cap.kdl")).unwrap();
    assert!(text.contains("size \"mine\"") && text.contains("head-girth (cm)57.1"), "{text}");
    for (measure, tex, told) in [
        ("long", "", "is no length for head girth"),
        ("", "", "Fill in at least one measure"),
        ("57", "heavy", "is no count from 20 to 3000 tex"),
        ("9000", "", "is no length for head girth"),
    ] {
        let page = cap(measure, tex);
        let text = page.text();
        assert!(page.status == 422 && text.contains(told) && text.contains("No design was started."), "{told}: {text}");
        assert!(text.contains(&format!("name=\"tex\" inputmode=\"decimal\" value=\"{tex}\"")), "{text}");
    }
    let gone = w.post("/starter", &[("starter", "vest"), ("size", "huge")]).unwrap();
    assert!(gone.status == 422 && gone.text().contains("There is no size huge. There are: XS, S"), "{}", gone.text());
    let none = w.get("/begin/vest/yarn?table=yes").text();
    assert!(none.contains("Tick at least one size.") && none.contains("For whom?"), "{none}");
    // Begun without the sizes that are too wide, and they are named.
    let wide = w.post("/starter", &[("starter", "vest"), ("size", "M"), ("size", "3X"), ("title", "V")]).unwrap();
    assert!(wide.status == 200 && wide.text().contains("cannot knit 3X as it was chosen"), "{}", wide.text());
    assert!(wide.text().contains("href=\"/d/v.kdl\"") && folder.path().join("v.kdl").exists());
    // The middle size is too wide for the beds: a smaller one is drawn.
    assert!(drawn("?choose.fabric=half%20cardigan").contains("<svg"));
    assert_eq!(w.get("/begin/nothing").status, 404);
    assert_eq!(w.get("/begin/nothing/yarn").status, 404);
}

/// A starter is begun by a press, on the machine that was chosen; what it leaves open is chosen by presses, and undo takes it back.
#[test]
fn a_starter_is_begun_and_chosen_by_presses() {
    let (folder, w) = opened();
    assert!(w.get("/").text().contains("href=\"/starters\""));
    let shelf = w.get("/starters").text();
    assert!(shelf.contains("Begin from a starter") && shelf.contains("href=\"/begin/set-in-sweater\""));
    assert!(shelf.contains("src=\"/starter/cowl/drawing.svg\""));
    let drawn = w.get("/starter/cowl/drawing.svg");
    assert!(drawn.text().contains("<svg") && !drawn.text().contains("<text"), "{}", drawn.text());
    assert_eq!(w.get("/starter/nothing/drawing.svg").status, 404);
    let begun = w.post("/starter", &[("starter", "vest"), ("machine", "mid"), ("size", "M")]).unwrap();
    assert!(begun.status == 303 && begun.head.contains("/d/vest.kdl"), "{}", begun.head);
    let path = folder.path().join("vest.kdl");
    let text = std::fs::read_to_string(&path).unwrap();
    assert!(text.contains("machine \"mid\"") && text.contains("choose \"neck\" \"V\""), "{text}");
    let page = w.get("/d/vest.kdl");
    let shown = page.text();
    assert!(shown.contains("value=\"V\" aria-pressed=\"true\""), "{shown}");
    let fields = [("base", page.base()), ("choice", "neck".to_string()), ("value", "round".to_string())];
    let fields: Vec<(&str, &str)> = fields.iter().map(|(k, v)| (*k, v.as_str())).collect();
    assert!(w.post("/d/vest.kdl/choose", &fields).unwrap().text().contains("value=\"round\" aria-pressed=\"true\""));
    assert!(std::fs::read_to_string(&path).unwrap().contains("choose \"neck\" \"round\""));
    let page = w.get("/d/vest.kdl");
    assert!(page.text().contains("neck: round"), "undo says what it takes back");
    w.post("/d/vest.kdl/undo", &[("base", &page.base())]).unwrap();
    assert_eq!(std::fs::read_to_string(&path).unwrap(), text);
    assert_eq!(w.post("/starter", &[("starter", "nothing"), ("machine", "mid")]).unwrap().status, 404);
}
