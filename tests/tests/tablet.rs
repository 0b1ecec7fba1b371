//! What the tablet does by itself, run without a browser by node's own test runner.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, clippy::print_stdout, reason = "tests")]

use std::process::Command;

#[test]
fn the_tablet_by_itself() {
    let out = Command::new("node")
        .args(["--test", "--test-reporter=tap", "js/counting.test.mjs"])
        .output()
        .expect("node: run ./check");
    let said = String::from_utf8_lossy(&out.stdout);
    assert!(out.status.success(), "{said}\n{}", String::from_utf8_lossy(&out.stderr));
    assert!(said.contains("# pass ") && !said.contains("# pass 0"), "{said}");
}
