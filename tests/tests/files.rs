//! Files: nothing lost when two write, nothing half written on a full disk, nothing written through a link; and what
//! the program prints is whole, or it says so.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "tests")]

use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Output, Stdio};
use std::time::{Duration, Instant};

use latchwork_files::Writing;
use latchwork_tests::sample;

const SCARF: &str = include_str!("../../designs/scarf.kdl");
const CUFF: &str = include_str!("../../designs/ladder-cuff.notes");
const MITTS: &str = include_str!("../../designs/tiller-mitts.kdl");
const BOOK: &str = include_str!("../../designs/swatches/pilot-sock.kdl");

fn program() -> PathBuf {
    latchwork_tests::workshop::program().canonicalize().expect("the program is built: run ./check")
}

fn asked(folder: &Path, line: &[&str]) -> Command {
    let mut command = Command::new(program());
    command.args(line).current_dir(folder).stdin(Stdio::null());
    command
}

fn run(folder: &Path, line: &[&str]) -> Output {
    asked(folder, line).output().unwrap()
}

/// What went well, by what it said.
fn fine(folder: &Path, line: &[&str]) -> String {
    let out = run(folder, line);
    assert!(out.status.success(), "{line:?}: {}", String::from_utf8_lossy(&out.stderr));
    String::from_utf8(out.stdout).unwrap()
}

fn told(out: &Output) -> String {
    String::from_utf8_lossy(&out.stderr).to_string()
}

/// A folder with a design, notes and a book of swatches.
fn workplace() -> tempfile::TempDir {
    let folder = tempfile::tempdir().unwrap();
    fs::create_dir(folder.path().join("swatches")).unwrap();
    for (name, text) in
        [("scarf.kdl", SCARF), ("cuff.notes", CUFF), ("mitts.kdl", MITTS), ("swatches/pilot-sock.kdl", BOOK)]
    {
        fs::write(folder.path().join(name), text).unwrap();
    }
    folder
}

/// Every file of a folder with what is in it.
fn contents(folder: &Path) -> BTreeMap<String, Vec<u8>> {
    let mut all = BTreeMap::new();
    for entry in fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        let name = path.file_name().unwrap().to_str().unwrap().to_string();
        if path.is_dir() {
            all.extend(contents(&path).into_iter().map(|(n, b)| (format!("{name}/{n}"), b)));
        } else {
            all.insert(name, fs::read(&path).unwrap());
        }
    }
    all
}

const ADD: [&str; 17] = [
    "swatch",
    "add",
    "1x1 rib",
    "--yarn",
    "quay wool",
    "--count",
    "400m/100g",
    "--stitch-size",
    "3",
    "--needles",
    "40",
    "--passes",
    "60",
    "--width",
    "16.6cm",
    "--length",
    "16.7cm",
];
const CAME_OUT: [&str; 12] = [
    "came-out",
    "mitts.kdl",
    "--size",
    "7",
    "--piece",
    "mitt",
    "--stretch",
    "cuff",
    "--width",
    "13cm",
    "--length",
    "6cm",
];

const STATE: [&str; 2] = ["--state", "washed"];

#[test]
fn swatches_added_at_once_are_all_kept() {
    let folder = tempfile::tempdir().unwrap();
    let (writers, each) = (4, sample::of(12, 60));
    std::thread::scope(|scope| {
        for w in 0..writers {
            let folder = folder.path();
            scope.spawn(move || {
                for i in 0..each {
                    let note = format!("number {w} {i}");
                    fine(folder, &[&ADD[..], &STATE, &["--note", &note]].concat());
                }
            });
        }
    });
    let book = fs::read_to_string(folder.path().join("swatches/quay-wool.kdl")).unwrap();
    assert_eq!(book.matches("note \"number ").count(), writers * each);
    assert_eq!(contents(folder.path()).len(), 1, "and nothing is left beside it");
}

#[test]
fn what_lies_in_the_way_is_left_alone() {
    let folder = tempfile::tempdir().unwrap();
    let victim = folder.path().join("victim");
    fs::write(&victim, "mine").unwrap();
    let place = folder.path().join("a.kdl");
    #[cfg(unix)]
    {
        for name in ["a.kdl.part".to_string(), format!(".latchwork-{}-0.part", std::process::id())] {
            std::os::unix::fs::symlink(&victim, folder.path().join(name)).unwrap();
        }
        std::os::unix::fs::symlink(&victim, &place).unwrap();
    }
    fs::write(folder.path().join("b.kdl.part"), "mine too").unwrap();
    let writing = Writing::begin(folder.path()).unwrap();
    assert!(writing.create("a.kdl", b"x").is_err(), "a link is something of that name");
    writing.replace("a.kdl", b"new").unwrap();
    writing.create("b.kdl", b"new").unwrap();
    assert!(writing.create("b.kdl", b"newer").is_err());
    drop(writing);
    assert_eq!(fs::read(&victim).unwrap(), b"mine", "nothing is written through a link");
    assert!(!place.is_symlink(), "the link itself made room");
    let all = contents(folder.path());
    let of = |name: &str| String::from_utf8(all[name].clone()).unwrap();
    assert_eq!([of("a.kdl"), of("b.kdl"), of("b.kdl.part")], ["new", "new", "mine too"]);
}

#[test]
fn what_was_interrupted_is_finished_or_cleared() {
    let folder = tempfile::tempdir().unwrap();
    let put = |name: &str, text: &str| fs::write(folder.path().join(name), text).unwrap();
    let old = || ["plan.json", "run.json"].iter().for_each(|n| put(n, "old"));
    // Stopped before all was on the disk: the old set, and nothing beside it.
    old();
    put(".latchwork-7-0.part", "new");
    drop(Writing::begin(folder.path()).unwrap());
    let all = contents(folder.path());
    assert_eq!(all.keys().collect::<Vec<_>>(), ["plan.json", "run.json"]);
    assert!(all.values().all(|b| b == b"old"), "{all:?}");
    // Stopped between the first and the second of them: the new set.
    put("plan.json", "new");
    put(".latchwork-7-1.part", "new");
    put(".latchwork-set", ".latchwork-7-0.part plan.json\n.latchwork-7-1.part run.json\n");
    drop(Writing::begin(folder.path()).unwrap());
    let all = contents(folder.path());
    assert_eq!(all.keys().collect::<Vec<_>>(), ["plan.json", "run.json"]);
    assert!(all.values().all(|b| b == b"new"), "{all:?}");
    // A list from elsewhere leads nowhere.
    put(".latchwork-7-0.part", "stray");
    put(".latchwork-set", ".latchwork-7-0.part ../stray\nplan.json run.json\n");
    drop(Writing::begin(folder.path()).unwrap());
    assert_eq!(contents(folder.path()), all);
}

/// A second edition of a design, and what either edition comes to.
fn editions(folder: &Path) -> [BTreeMap<String, Vec<u8>>; 2] {
    fs::write(folder.join("second.kdl"), SCARF.replacen("title \"", "title \"Second ", 1)).unwrap();
    ["scarf.kdl", "second.kdl"].map(|name| {
        fine(folder, &["make", name, "--paper", "a4", "--out", "out"]);
        contents(&folder.join("out"))
    })
}

/// Where one file of a set cannot be put into its place, none is.
#[test]
fn a_set_is_written_whole_or_not_at_all() {
    let folder = workplace();
    let folder = folder.path();
    let make = |name: &str| run(folder, &["make", name, "--out", "out"]);
    assert!(make("cuff.notes").status.success());
    let last = folder.join("out/needles-cuff.svg");
    fs::remove_file(&last).unwrap();
    fs::create_dir(&last).unwrap();
    fs::write(last.join("mine"), "mine").unwrap();
    let before = contents(&folder.join("out"));
    fs::write(folder.join("second.notes"), CUFF.replacen("title \"", "title \"Second ", 1)).unwrap();
    let out = make("second.notes");
    assert_eq!(out.status.code(), Some(2));
    assert!(told(&out).contains("needles-cuff.svg is a folder"), "{}", told(&out));
    assert_eq!(contents(&folder.join("out")), before);
}

/// A `make` that is killed as soon as its first file is in its place leaves the old set or the new one.
#[test]
fn a_killed_make_leaves_no_mixture() {
    let folder = workplace();
    let folder = folder.path();
    let [first, second] = editions(folder);
    assert!(first.iter().filter(|(n, b)| second[*n] != **b).count() > 2, "the editions differ");
    let out = folder.join("out");
    for _ in 0..sample::of(2, 30) {
        fine(folder, &["make", "scarf.kdl", "--paper", "a4", "--out", "out"]);
        let mut child = asked(folder, &["make", "second.kdl", "--paper", "a4", "--out", "out"])
            .stdout(Stdio::null())
            .spawn()
            .unwrap();
        let since = Instant::now();
        let changed = |name: &String| fs::read(out.join(name)).is_ok_and(|b| b == second[name] && b != first[name]);
        while !first.keys().any(changed) {
            assert!(since.elapsed() < Duration::from_secs(120), "it writes at last");
        }
        child.kill().unwrap();
        child.wait().unwrap();
        drop(Writing::begin(&out).unwrap());
        let now = contents(&out);
        assert!(now == first || now == second, "neither: {:?}", now.keys());
    }
}

/// Runs where files may have this many blocks and no more, as on a disk that is nearly full.
fn cramped(folder: &Path, blocks: u32, line: &[&str]) -> Output {
    let limits = format!("trap '' XFSZ; ulimit -f {blocks}; exec \"$0\" \"$@\"");
    let mut command = Command::new("sh");
    command.arg("-c").arg(limits).arg(program()).args(line).current_dir(folder).stdin(Stdio::null());
    command.output().unwrap()
}

#[test]
fn a_full_disk_leaves_everything_as_it_was() {
    let folder = workplace();
    let folder = folder.path();
    let add = [&ADD[..], &STATE].concat();
    let came_out = [&CAME_OUT[..], &STATE, &["--even-so"]].concat();
    let faulty = SCARF.replacen("fabric \"", "fabrik \"", 1);
    fs::write(folder.join("faulty.kdl"), faulty).unwrap();
    let before = contents(folder);
    let lines: [&[&str]; 8] = [
        &["new", "mittens"],
        &["new", "cuff", "--from", "cuff.notes"],
        &add,
        &came_out,
        &["restate", "scarf.kdl", "--machine", "bulky"],
        &["rehearse", "faulty.kdl", "--mend"],
        &["swatch", "plan", "plain", "--yarn", "quay wool", "--count", "400m/100g", "--out", "cards"],
        &["make", "scarf.kdl", "--out", "out"],
    ];
    for line in lines {
        let out = cramped(folder, 0, line);
        assert_eq!(out.status.code(), Some(2), "{line:?}: {}", told(&out));
        assert!(told(&out).contains("could not be written"), "{line:?}: {}", told(&out));
        assert_eq!(contents(folder), before, "{line:?}");
    }
    // What was to be printed into a file with room for half of it is reported as not printed.
    let line = format!("trap '' XFSZ; ulimit -f 8; exec {} fit scarf.kdl --json > half.json", program().display());
    let out = Command::new("sh").args(["-c", &line]).current_dir(folder).output().unwrap();
    assert!(fs::metadata(folder.join("half.json")).unwrap().len() > 0);
    assert_eq!(out.status.code(), Some(2), "{}", told(&out));
}

/// Every way to make the program print.
fn printing() -> Vec<Vec<&'static str>> {
    let add = [&ADD[..], &STATE].concat();
    let came_out = [&CAME_OUT[..], &STATE, &["--only-tell"]].concat();
    let mut all: Vec<Vec<&str>> = vec![
        vec!["--help"],
        vec!["--version"],
        vec!["swatch", "add", "--help"],
        vec!["completions", "bash"],
        vec!["fabrics"],
        vec!["rules"],
        vec!["machines"],
        vec!["sizes"],
        vec!["new", "mittens"],
        vec!["make", "cuff.notes", "--paper", "a4"],
        vec!["rehearse", "cuff.notes"],
        vec!["rehearse", "cuff.notes", "--json"],
        vec!["rehearse", "cuff.notes", "--chart"],
        vec!["rehearse", "cuff.notes", "--at", "20"],
        vec!["rehearse", "cuff.notes", "--mend"],
        vec!["rehearse", "cuff.notes", "--thread"],
        vec!["fit", "scarf.kdl"],
        vec!["fit", "scarf.kdl", "--json"],
        vec!["yarn", "scarf.kdl"],
        vec!["cloth", "--fabric", "plain", "--tex", "250", "--loop", "14.4mm", "--coarse"],
        vec!["cloth", "--fabric", "plain", "--tex", "250", "--loop", "14.4mm", "--coarse", "--json"],
        vec!["swatch", "plan", "plain", "--yarn", "quay wool", "--count", "400m/100g"],
        vec!["swatch", "show"],
        vec!["swatch", "compare", "1x1 rib at 2", "1x1 rib at 4"],
        add,
        came_out,
        vec!["restate", "scarf.kdl", "--machine", "bulky"],
        vec!["trial", "--designs", "3"],
        vec!["trial", "--show", "1"],
    ];
    all.extend(["design", "draft", "stitches", "plan", "run"].map(|s| vec!["show", "scarf.kdl", "--stage", s]));
    all
}

#[cfg(target_os = "linux")]
#[test]
fn what_cannot_be_printed_whole_ends_with_2() {
    for line in printing() {
        let folder = workplace();
        let full = fs::OpenOptions::new().write(true).open("/dev/full").unwrap();
        let out = asked(folder.path(), &line).stdout(full).output().unwrap();
        assert_eq!(out.status.code(), Some(2), "{line:?}: {}", told(&out));
        assert!(told(&out).contains("could not be written in full"), "{line:?}: {}", told(&out));
    }
}

/// `| head` is how a long list is looked at.
#[test]
fn a_reader_that_goes_away_is_no_fault() {
    for line in printing() {
        let folder = workplace();
        let mut child = asked(folder.path(), &line).stdout(Stdio::piped()).stderr(Stdio::null()).spawn().unwrap();
        drop(child.stdout.take());
        let code = child.wait().unwrap().code();
        let whole = run(folder.path(), &line).status.code();
        assert!(code == Some(0) || (code == whole && code == Some(1)), "{line:?}: {code:?}, and whole {whole:?}");
    }
}

#[test]
fn a_picture_that_cannot_be_is_refused() {
    let folder = tempfile::tempdir().unwrap();
    let cases = [
        ("--pixels", "0", "--pixels must be from 100 to 12000"),
        ("--plies", "1000000", "--plies must be from 1 to 12"),
        ("--repeats", "0", "--repeats must be from 1 to 60"),
        ("--colour", "#+1+1+1", "#+1+1+1 is not a colour"),
        ("--colour", "##8b9499", "is not a colour"),
    ];
    for (option, value, why) in cases {
        for of in [&["--fabric", "plain", "--tex", "250", "--loop", "14.4mm"][..], &[]] {
            let out = run(folder.path(), &[&["cloth"], of, &[option, value]].concat());
            assert_eq!(out.status.code(), Some(2), "{option} {value}");
            assert!(told(&out).contains(why), "{}", told(&out));
        }
    }
    let notes = "notes \"a\"\ncarriage at the right\ncast on 40 needles plain\n10 rows plain at 6\nbind off\n";
    fs::write(folder.path().join("a.notes"), notes).unwrap();
    for (tex, long, why) in [("nan", "14mm", "--tex must"), ("0", "14mm", "--tex must"), ("250", "0mm", "not a length")]
    {
        let out = run(folder.path(), &["cloth", "a.notes", "--tex", tex, "--loop", long]);
        assert_eq!(out.status.code(), Some(2), "{}", told(&out));
        assert!(told(&out).contains(why), "{}", told(&out));
    }
}

/// What the program prints on a terminal with lines of this length.
fn on_screen(folder: &Path, letters: u32, line: &[&str]) -> (i32, String) {
    // The program's end is written after all that it printed: a terminal that is hung up may lose its last lines.
    const SCREEN: &str = "import fcntl, os, pty, struct, subprocess, sys, termios, threading
screen, inside = pty.openpty()
fcntl.ioctl(inside, termios.TIOCSWINSZ, struct.pack('HHHH', 24, int(sys.argv[1]), 0, 0))
program = subprocess.Popen(sys.argv[2:], stdin=inside, stdout=inside, stderr=inside)
def end():
    program.wait()
    os.write(inside, b'\\0')
threading.Thread(target=end).start()
out = b''
while not out.endswith(b'\\0'):
    out += os.read(screen, 65536)
sys.stdout.buffer.write(out[:-1])
sys.exit(program.returncode & 255)
";
    let mut command = Command::new("python3");
    command.args(["-c", SCREEN, &letters.to_string()]).arg(program()).args(line).current_dir(folder);
    let out = command.env("NO_COLOR", "1").output().unwrap();
    (out.status.code().unwrap(), String::from_utf8_lossy(&out.stdout).replace('\r', ""))
}

#[cfg(unix)]
#[test]
fn tables_fit_a_narrow_terminal() {
    let folder = workplace();
    let folder = folder.path();
    let lines: [&[&str]; 6] = [
        &["rehearse", "scarf.kdl"],
        &["machines"],
        &["sizes"],
        &["fit", "scarf.kdl"],
        &["yarn", "scarf.kdl"],
        &["swatch", "show"],
    ];
    for line in lines {
        for letters in [1, 7, 20, 40] {
            let (code, text) = on_screen(folder, letters, line);
            assert_eq!(code, 0, "{line:?} on {letters}: {text}");
            // Nothing that a wide terminal shows is left out: every figure of the table is there.
            let squeezed = |t: &str| t.chars().filter(|c| !c.is_whitespace()).collect::<String>();
            let wide = on_screen(folder, 300, line).1;
            for word in wide.split_whitespace() {
                assert!(squeezed(&text).contains(word), "{line:?} on {letters} says {word}:\n{text}");
            }
        }
    }
    // One figure stands on a line, with its heading, and no line is longer than the screen.
    for line in [&["rehearse", "scarf.kdl"][..], &["machines"]] {
        let (_, text) = on_screen(folder, 20, line);
        let table: Vec<&str> = text.lines().take_while(|l| !l.is_empty()).collect();
        assert!(table.len() > 5 && table.iter().all(|l| l.chars().count() <= 20), "{text}");
    }
    assert!(on_screen(folder, 20, &["rehearse", "scarf.kdl"]).1.contains("\n  findings none"));
    // What is wrong with a document is reported there too.
    fs::write(folder.join("oops.kdl"), SCARF.replacen("(cm)", "", 1)).unwrap();
    for letters in [1, 20] {
        let (code, text) = on_screen(folder, letters, &["make", "oops.kdl"]);
        assert_eq!(code, 1, "{text}");
        assert!(!text.contains("panicked"), "{text}");
    }
    assert_eq!(on_screen(folder, 20, &["--help"]).0, 0);
}
