//! What the program keeps on the disk between two runs: whole or damaged, it gives the same files.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "tests")]

use std::collections::BTreeMap;
use std::path::Path;
use std::process::Command;

use latchwork_tests::workshop::program;

/// Makes the built-in example with a cache of its own; gives its files and what was said of times.
fn made(cache: &Path, out: &Path) -> (BTreeMap<String, Vec<u8>>, String) {
    let said = Command::new(program())
        .args(["make", "--timings", "--out"])
        .arg(out)
        .env("XDG_CACHE_HOME", cache)
        .output()
        .expect("the program is built: run ./check");
    assert!(said.status.success(), "{}", String::from_utf8_lossy(&said.stderr));
    let files = std::fs::read_dir(out).unwrap().map(|e| e.unwrap().path());
    let files = files.map(|p| (p.file_name().unwrap().to_string_lossy().into_owned(), std::fs::read(&p).unwrap()));
    (files.collect(), String::from_utf8_lossy(&said.stderr).into_owned())
}

#[test]
fn a_second_make_is_the_same_to_the_byte_and_so_is_one_with_a_damaged_cache() {
    let home = tempfile::tempdir().unwrap();
    let at = |name: &str| home.path().join(name);
    let (first, times) = made(&at("cache"), &at("one"));
    assert!(first.len() > 3 && first.keys().any(|n| n.ends_with(".pdf")));
    for stage in ["read", "worked out and rehearsed", "fabric at rest and drawn", "set in type", "written", "total"] {
        assert!(times.lines().any(|l| l.starts_with(stage) && l.ends_with(" s")), "{stage} in {times}");
    }
    let kept =
        || -> Vec<_> { std::fs::read_dir(at("cache").join("latchwork")).unwrap().map(|e| e.unwrap().path()).collect() };
    assert!(kept().len() >= 6, "repeats and pictures are kept: {:?}", kept());
    assert_eq!(made(&at("cache"), &at("two")).0, first);
    for (n, path) in kept().into_iter().enumerate() {
        let mut bytes = std::fs::read(&path).unwrap();
        let middle = bytes.len() / 2;
        match n % 3 {
            0 => bytes.truncate(middle),
            1 => bytes[middle] ^= 0xff,
            _ => bytes.clear(),
        }
        std::fs::write(&path, bytes).unwrap();
    }
    assert_eq!(made(&at("cache"), &at("three")).0, first);
    // No folder can be made there: nothing is kept, and nothing else changes.
    std::fs::write(at("file"), "").unwrap();
    assert_eq!(made(&at("file"), &at("four")).0, first);
}
