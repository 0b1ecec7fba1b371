//! Fabrics as data: what the program brings is read and proven like an author's own; what is wrong in one is reported
//! where it stands.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "tests")]

use std::path::Path;

use latchwork::check::given;
use latchwork::wording::Language;
use latchwork::words::say;
use std::sync::Arc;

use latchwork::check::{prove, tried};
use latchwork::cues::{Kind, cues};
use latchwork::design::{Shelf, from_text as from_design, from_text_with};
use latchwork::fabric::{Begun, Ends, built_in, find, from_text};
use latchwork::handout::{glossary, handout, heard_as_planned};
use latchwork::notice::{Level, Notices};
use latchwork::readback::read_back;
use latchwork::units::Show;
use latchwork_machine::steps::Action;
use latchwork_tests::notes::HEAD;
use latchwork_tests::workshop::{Workshop, program};

/// Every fabric that the program brings knits as it states, at each of its ends, from each side, however it is shaped.
#[test]
fn built_in_fabrics_are_proven_on_the_judge() {
    assert_eq!(built_in().len(), 49, "all of the library is read");
    for f in built_in() {
        let found = tried(f);
        assert!(found.notices.is_empty(), "{}: {:#?}", f.name, found.notices);
    }
}

/// The library's own documents have nothing wrong in them.
#[test]
fn the_library_reads_without_a_notice() {
    let folder = Path::new("../crates/latchwork/src/fabric/library");
    let mut all = Vec::new();
    for name in ["plain", "ribs", "more", "patterns"] {
        let mut notices = Notices::default();
        let text = std::fs::read_to_string(folder.join(format!("{name}.kdl"))).unwrap();
        let found = from_text(&text, &all, "", &mut notices);
        assert!(notices.0.is_empty(), "{name}: {:?}", notices.0);
        assert!(!found.is_empty(), "{name}");
        all.extend(found);
    }
    assert_eq!(all.len(), built_in().len());
    assert_eq!(std::fs::read_dir(folder).unwrap().count(), 4, "every file is read");
}

/// What the eleven first fabrics were before they became data: needles in words, ends, how their widths run, and which
/// pass of the repeat tucks or slips. Common practice, no source; the counts of the machine model's table follow from them.
#[test]
fn needles_and_ends_of_the_first_fabrics() {
    let table = [
        ("plain", "every needle of the main bed", 1, false),
        ("1x1 rib", "every other needle on each bed, alternating, full pitch", 1, false),
        ("2x2 rib", "2 in, 1 out on both beds, half pitch", 3, false),
        ("2x2 wide rib", "2 in, 2 out on each bed, alternating, full pitch", 4, false),
        ("2x1 rib", "2 in, 1 out on the main bed, every third needle on the ribber, half pitch", 3, false),
        ("full needle rib", "every needle on both beds, half pitch", 1, false),
        ("tubular", "every needle on both beds, half pitch", 1, false),
        ("half cardigan", "every other needle on each bed, alternating, full pitch", 1, false),
        ("full cardigan", "every other needle on each bed, alternating, full pitch", 1, true),
        ("half milano", "every needle on both beds, half pitch", 1, false),
        ("milano", "every needle on both beds, half pitch", 1, false),
    ];
    for (name, needles, multiple, open) in table {
        let f = find(name).unwrap();
        assert_eq!(latchwork::wording::stands(f.layout.stands(), Language::English), needles, "{name}");
        assert_eq!(f.layout.repeat(), multiple, "{name}");
        assert_eq!(f.always_open(), open, "{name}");
    }
    assert_eq!(find("1x1 rib").unwrap().ends, [Ends::BothMain, Ends::MainRibber]);
    assert_eq!(find("half cardigan").unwrap().ends, [Ends::BothMain]);
    assert_eq!(find("2x2 rib").unwrap().ends, [Ends::MainRibber]);
}

const OWN: &str = include_str!("../suite/own-fabrics.kdl");

/// Fabrics written in a design go all the way: steps without an error, a handout whose words are read back, cues for every
/// row. Nothing about them is in the program.
#[test]
fn own_fabrics_go_from_the_document_to_the_handout() {
    let (design, notices) = from_design(OWN);
    let design = design.unwrap_or_else(|| panic!("{:?}", notices.0));
    let outcome = prove(&design, &[0]);
    let errors: Vec<_> = outcome.notices.iter().filter(|n| n.1.level == Level::Error).collect();
    assert!(errors.is_empty(), "{errors:?}");
    let proven = outcome.proven.unwrap();
    // The handout's own final words are read back; there is no handout where they do not say the steps.
    handout(&proven, &[0], false).unwrap();
    for piece in (0..proven.sizes()[0].pieces.len()).map(|k| proven.sizes()[0].proven(k).unwrap()) {
        let plan = piece.plan();
        let passes = plan.plan.steps.iter().filter(|s| matches!(s.action, Action::Pass(_))).count();
        let told = cues(piece, Show::METRIC);
        assert_eq!(told.iter().filter(|c| c.kind == Kind::Pass).count(), passes, "{}", plan.name.own);
    }
    let forward = |name: &str| {
        let plan = proven.sizes()[0].plans.pieces.iter().find(|p| p.name.own == name).unwrap();
        plan.plan.steps.iter().filter(|s| matches!(s.action, Action::Forward(_))).count()
    };
    // Two passes of four bring needles forward, 24 rows; interlock in every one of 12.
    assert_eq!((forward("mesh"), forward("lock"), forward("zigzag")), (12, 12, 0));
    // The repeat is counted from the left end, on whichever needle that stands; the outermost needles come forward too.
    let mesh = &proven.sizes()[0].plans.pieces.iter().find(|p| p.name.own == "mesh").unwrap().plan;
    let mut rows = mesh.steps.iter().filter_map(|s| if let Action::Forward(n) = &s.action { Some(n) } else { None });
    let left = rows.clone().flatten().map(|n| n.slot.0).min().unwrap();
    assert!(left % 2 != 0, "an end at an odd needle tells the two apart");
    assert!(rows.next().unwrap().iter().all(|n| (n.slot.0 - left) % 2 == 0 || n.slot.0 == -left - 1), "k of kt");
    let second = rows.next().unwrap();
    assert!(second.iter().all(|n| (n.slot.0 - left) % 2 == 1 || n.slot.0 == left), "k of tk");
}

/// What is done over and over is said once and then by the numbers of its steps; a number that is wrong is noticed.
#[test]
fn repeats_are_told_by_their_steps_and_read_back() {
    // Named in words: a chart would tell all its rows in one step.
    let named = OWN.replace("fabric \"interlock by selection\"", "fabric \"interlock by selection\" printed=\"words\"");
    let design = from_design(&named).0.unwrap();
    let proven = prove(&design, &[0]).proven.unwrap();
    let sheet = handout(&proven, &[0], false).unwrap();
    let lock = sheet.pieces.iter().position(|p| p.title.contains("ock")).unwrap();
    let text = sheet.pieces[lock].lines();
    assert!(text.contains("Repeat steps 4 to 7, 5 more times."), "{text}");
    let plan = &proven.sizes()[0].plans.pieces[lock];
    let names = glossary(vec!["one".to_string()], plan, Language::English);
    let wrong = |text: &str| match read_back(text, &names) {
        Err(misread) => Some(misread.to_string()),
        Ok(heard) => heard_as_planned(&heard[0], plan, Show::METRIC),
    };
    assert_eq!(wrong(&text), None);
    for (is, becomes) in
        [("4 to 7, 5", "4 to 7, 4"), ("4 to 7, 5", "4 to 7, 6"), ("4 to 7, 5", "5 to 7, 5"), ("4 to 7, 5", "4 to 6, 5")]
    {
        assert!(wrong(&text.replacen(is, becomes, 1)).is_some(), "{becomes} goes unnoticed");
    }
}

/// Every fabric of the program from each side, in every cast-on and ending that suits it, in two sizes sewn to itself: it
/// is proven, its words are read back and its cues are as many as its rows.
#[test]
fn every_fabric_is_designed_printed_and_cued() {
    let mut made = 0;
    for f in built_in() {
        for (side, ending, waste) in [
            ("left", "loop through loop", false),
            ("right", "chain", false),
            ("left", "gather", true),
            ("right", "waste yarn", true),
        ] {
            let cast_on = if waste && f.layout.begun() == Begun::MainBed { "cast-on \"waste yarn\";" } else { "" };
            let name = &f.name;
            let further: String = (2..=f.yarns()).map(|n| format!("yarn \"y{n}\" {{ count (tex)240; }}\n")).collect();
            let names: String = (2..=f.yarns()).map(|n| format!(" \"y{n}\"")).collect();
            let yarns = if f.yarns() > 1 { format!("yarns \"y\"{names};") } else { String::new() };
            let text = format!(
                "title \"t\"\nmachine \"standard\"\nyarn \"y\" {{ count (tex)240; }}\n{further}\
                 swatch \"{name}\" {{ yarn \"y\"; stitch-size 5; counted needles=36 passes=46; flat (cm)10 (cm)10; weighed (g)18 needles=60 passes=90; state \"as knitted\"; }}\n\
                 sizes {{ size \"one\" {{ girth (cm)16; }}; size \"two\" {{ girth (cm)22; }} }}\n\
                 piece \"p\" {{ yarn \"y\"; carriage \"{side}\"; {cast_on} around \"girth\" (percent)0; stretch \"body\" {{ fabric \"{name}\"; {yarns} length (cm)14; }}; ending \"{ending}\"; }}\n\
                 seam \"side\" {{ edge \"p\" \"left\"; edge \"p\" \"right\"; }}\n"
            );
            let (design, notices) = from_design(&text);
            let design = design.unwrap_or_else(|| panic!("{name}: {:?}", notices.0));
            let outcome = prove(&design, &[0, 1]);
            let proven = outcome.proven.unwrap_or_else(|| panic!("{name} {ending}: {:?}", outcome.notices));
            let sheet = handout(&proven, &[0, 1], false).unwrap_or_else(|e| panic!("{name} {ending}: {e}"));
            assert!(!sheet.pieces.is_empty());
            for size in proven.sizes() {
                for piece in (0..size.pieces.len()).map(|k| size.proven(k).unwrap()) {
                    let plan = piece.plan();
                    let passes = plan.plan.steps.iter().filter(|s| matches!(s.action, Action::Pass(_))).count();
                    let told = cues(piece, Show::METRIC);
                    assert_eq!(told.iter().filter(|c| c.kind == Kind::Pass).count(), passes, "{name}");
                }
            }
            made += 1;
        }
    }
    assert_eq!(made, 196);
}

/// What an author's fabric states and cannot do stops the design, at the fabric: here its last loop is a tuck.
#[test]
fn what_does_not_knit_is_refused_at_the_fabric() {
    let bad = OWN.replacen("pass main=\"kt\"", "edges \"drawn\"; pass main=\"kt\"", 1);
    let (design, _) = from_design(&bad);
    let outcome = prove(&design.unwrap(), &[0]);
    assert!(outcome.proven.is_none());
    let told: Vec<String> = outcome.notices.iter().map(|n| n.1.told(Language::English).message).collect();
    assert!(told.iter().any(|m| m.starts_with("rope tuck cannot be knitted as written.")), "{told:?}");
    let at = outcome.notices[0].1.span.unwrap();
    assert_eq!(&bad[at.start..at.start + at.len], "fabric");
}

/// The own fabric of the suite, and the rest of its document.
fn parted() -> (&'static str, String) {
    let start = OWN.find("fabric \"rope tuck\"").unwrap();
    let end = OWN.find("swatch \"rope tuck\"").unwrap();
    (&OWN[start..end], format!("{}{}", &OWN[..start], &OWN[end..]))
}

/// Fabrics in the folder `fabrics` beside a design, at the command line and on the page: what is sound is used, what is
/// not is reported and left out.
#[test]
fn a_folder_of_fabrics_is_read_beside_a_design() {
    let folder = tempfile::tempdir().unwrap();
    let (fabrics, rest) = parted();
    std::fs::create_dir(folder.path().join("fabrics")).unwrap();
    std::fs::write(folder.path().join("fabrics/mine.kdl"), fabrics).unwrap();
    std::fs::write(folder.path().join("band.kdl"), rest).unwrap();
    let run = |line: &[&str]| {
        let out = std::process::Command::new(program()).args(line).current_dir(folder.path()).output().unwrap();
        let text = |b: &[u8]| String::from_utf8_lossy(b).into_owned();
        (out.status.code(), text(&out.stdout), text(&out.stderr))
    };
    assert_eq!(run(&["rehearse", "band.kdl"]).0, Some(0));
    let (code, page, _) = run(&["fabrics", "rope tuck"]);
    assert!(code == Some(0) && page.contains("No swatch of it is in the book"), "{page}");
    let (code, page, _) = run(&["fabrics", "rope tuck", "--design", "band.kdl"]);
    assert!(code == Some(0) && page.contains("Swatched in grey."), "{page}");
    let (code, _, why) = run(&["fabrics", "rope tuk"]);
    assert!(code == Some(2) && why.contains("Did you mean \"rope tuck\"?"), "{why}");
    let (_, list, _) = run(&["fabrics"]);
    assert!(list.contains("rope tuck") && built_in().iter().all(|f| list.contains(&f.name)), "{list}");

    let w = Workshop::open(folder.path(), &[]);
    let page = w.get("/d/band.kdl").text();
    assert!(page.contains("rope tuck") && !page.contains("cannot be read"));
    let torn = "fabric \"torn\" { needles { main \"xo\" }; pass main=\"knit\" }\n";
    std::fs::write(folder.path().join("fabrics/torn.kdl"), torn).unwrap();
    let (code, _, why) = run(&["rehearse", "band.kdl"]);
    assert!(code == Some(0) && why.contains("torn.kdl has errors, and the fabrics at fault are left out."), "{why}");
    let page = w.get("/d/band.kdl").text();
    assert!(page.contains("Fabrics in fabrics/torn.kdl cannot be read, and are missing here."), "told on the page");
}

/// A file of the folder beside a design counts as if its fabrics stood in it.
#[test]
fn fabrics_of_the_folder_are_known_to_designs_and_notes() {
    let (fabrics, rest) = parted();
    let own = from_text(fabrics, built_in(), "fabrics/mine.kdl", &mut Notices::default());
    assert_eq!(own[0].from, "fabrics/mine.kdl");
    let shelf = Shelf { fabrics: own, ..Shelf::default() };
    assert!(from_design(&rest).0.is_none(), "without the folder there is no such fabric");
    let design = from_text_with(&rest, &shelf).0.unwrap();
    assert!(prove(&design, &[0]).proven.is_some());
    let notes = "machine \"standard\"\nnotes \"n\"\ncarriage at the right\ncast on 21 needles rope tuck\n8 rows rope tuck at 7\nbind off\n";
    let noted = latchwork::notes::from_text_with(notes, &shelf).0.unwrap();
    let plan = &noted.plans.pieces[0].plan;
    assert_eq!(plan.steps.iter().filter(|s| matches!(s.action, Action::Forward(_))).count(), 4);
    assert!(latchwork::check::prove_notes(&noted).proven.is_some());
}

/// Needles take turns only where the beds stand at full pitch: at half pitch each stands between two of the other bed.
#[test]
fn at_half_pitch_needles_do_not_take_turns() {
    let rib = |pitch: &str| {
        let text = format!(
            "fabric \"own\" {{ needles pitch=\"{pitch}\" {{ ribber \".x\"; main \"x.\" }}; cast-on pitch=\"{pitch}\" racking=0; pass main=\"knit\" ribber=\"knit\"; }}"
        );
        let mut notices = Notices::default();
        let own = from_text(&text, built_in(), "own.kdl", &mut notices);
        own.first().unwrap_or_else(|| panic!("{:?}", notices.0)).layout
    };
    assert!(rib("full").by_turns());
    assert!(!rib("half").by_turns());
}

/// Rows of a drop stitch: one alone, then several alike, said with their number.
#[test]
fn equal_rows_of_a_run_are_told_once() {
    let notes = format!(
        "{HEAD}notes \"n\"\ncarriage at the right\ncast on 21 needles 1x1 rib\nweights 100 g\n\
                 6 rows main knit, ribber knit / main knit, ribber tuck / main knit, ribber knit / main knit, ribber knit at 4\n\
                 1 row main knit, ribber knit\nbind off\n"
    );
    let noted = latchwork::notes::from_text(&notes).0.unwrap();
    let outcome = latchwork::check::prove_notes(&noted);
    let plan = &noted.plans.pieces[0];
    let told = say(&plan.plan, &given(plan, Show::METRIC));
    let all: Vec<String> = told.iter().map(latchwork::words::Instruction::text).collect();
    let rows = all.iter().find(|l| l.contains("a repeat of ")).unwrap_or_else(|| panic!("{all:?}"));
    assert!(
        rows.contains(", a repeat of 4 rows: both beds knit; main bed knits, ribber tucks; both beds knit, 2 rows."),
        "{rows}"
    );
    latchwork::handout::proofread(outcome.proven.as_ref().unwrap(), &[0]).unwrap();
}

fn faults(text: &str) -> Vec<String> {
    let mut notices = Notices::default();
    let known: Vec<Arc<_>> = built_in().to_vec();
    let _ = from_text(text, &known, "own.kdl", &mut notices);
    notices
        .0
        .iter()
        .map(|n| format!("{} {}", n.told(Language::English).message, n.told(Language::English).hints.join(" ")))
        .collect()
}

const TWO_BEDS: &str = "needles pitch=\"half\" { ribber \"x\"; main \"x\" }; cast-on pitch=\"half\" racking=0;";

/// What is wrong is reported at its line, with what would work.
#[test]
fn faults_of_a_fabric_are_told() {
    let cases = [
        (
            "fabric \"a\" { needles { main \"x\" }; grid bed=\"main\" { row \"kt\"; row \"kkt\" } }".to_string(),
            "This row has 2 signs; the row below has 3.",
        ),
        ("fabric \"a\" { needles { main \"x\" }; pass main=\"kq\" }".to_string(), "\"q\" is not a sign of this grid."),
        ("fabric \"a\" { needles { main \"xo\" }; pass main=\"knit\" }".to_string(), "\"o\" is not a sign for a needle."),
        (
            "fabric \"a\" { needles { ribber \"x.\"; main \"x.\" }; cast-on pitch=\"half\" racking=0; pass main=\"knit\" ribber=\"knit\" }".to_string(),
            "Needles of the two beds are opposite each other",
        ),
        (
            "fabric \"a\" { needles pitch=\"half\" { ribber \".xx\"; main \"xx.\" }; cast-on pitch=\"half\" racking=0; widths every=3; pass main=\"knit\" ribber=\"knit\" }".to_string(),
            "is next to another of its own bed. Write cast-on pitch=\"half\" racking=-1",
        ),
        (
            "fabric \"a\" { needles { main \"xx.\" }; widths every=2; pass main=\"knit\" }".to_string(),
            "At 6 places an end of this fabric has no needle. Write widths every=3 plus=1",
        ),
        (format!("fabric \"English rib\" {{ {TWO_BEDS} pass main=\"knit\" }}"), "There is already a fabric called \"English rib\"."),
        (
            "fabric \"a\" { like \"b\" }\nfabric \"b\" { like \"a\" }".to_string(),
            "This fabric is like itself, directly or through others.",
        ),
        ("fabric \"a\" { like \"a\" }".to_string(), "This fabric is like itself"),
        ("fabric \"a\" { like \"half cardigon\" }".to_string(), "Write like \"half cardigan\""),
        (
            format!("fabric \"a\" {{ {TWO_BEDS} pass main=\"kt-\" ribber=\"knit\" }}"),
            "One row cannot tuck and slip on the same bed.",
        ),
        ("fabric \"a\" { needles { main \".x\" }; pass main=\"knit\" }".to_string(), "The first needle at the left must be on the main bed."),
        ("fabric \"a\" { needles { main \"x\" } }".to_string(), "This fabric does not say what its passes do."),
        ("fabric \"a\" { pass main=\"knit\" }".to_string(), "\"a\" does not say which needles are in work."),
        ("fabric \"a\" { needles { main \"x\" }; pass main=\"knit\" ribber=\"knit\" }".to_string(), "The ribber has no needles in this fabric."),
        ("fabric \"a\" { needles pitch=\"half\" { ribber \"x\"; main \"x\" }; pass main=\"knit\" ribber=\"knit\" }".to_string(), "This fabric does not say how it is cast on."),
    ];
    for (text, expected) in cases {
        let found = faults(&text);
        assert!(found.iter().any(|f| f.contains(expected)), "{text}\n{found:?}\n{expected}");
    }
}

/// Constants at rest belong to a fabric as it is knitted: another name keeps them, other passes do not.
#[test]
fn constants_at_rest_are_inherited_only_by_what_knits_alike() {
    let like = |more: &str| {
        let text = format!("fabric \"mine\" kind=\"rib\" {{\n like \"1x1 rib\"\n{more}}}\n");
        let mut notices = Notices::default();
        let own = from_text(&text, built_in(), "own.kdl", &mut notices);
        assert!(!notices.has_error(), "{notices:?}");
        own[0].relaxed.is_some()
    };
    assert!(find("1x1 rib").unwrap().relaxed.is_some());
    assert!(like(""));
    assert!(!like("pass main=\"knit\" ribber=\"knit\"\npass main=\"knit\"\n"));
    let half = "needles pitch=\"half\" { main \"x\"; ribber \"x\"; }\ncast-on pitch=\"half\" racking=-1\n";
    assert!(!like(half));
}
