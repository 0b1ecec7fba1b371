//! Programs outside this project, in Python, that judge the same cases.

use std::io::Write;
use std::process::{Command, Stdio};

/// What a script of `tests/outside` prints for a case file given on its standard input.
///
/// # Panics
/// When Python is not there (`./check` installs it), or the script ends with an error.
#[must_use]
pub fn python(script: &str, input: Vec<u8>) -> String {
    let python = std::env::var("LATCHWORK_PYTHON").unwrap_or_else(|_| "../target/outside/bin/python".to_string());
    let mut child = Command::new(python)
        .arg(format!("outside/{script}"))
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .spawn()
        .expect("the outside checks need Python; run ./check");
    let mut stdin = child.stdin.take().expect("its standard input is a pipe");
    // Beside the reading, so that neither pipe fills while the other waits.
    let writer = std::thread::spawn(move || stdin.write_all(&input));
    let out = child.wait_with_output().expect("the script ends");
    writer.join().expect("the writer ends").expect("the script reads its input");
    let said = String::from_utf8_lossy(&out.stdout).to_string();
    assert!(out.status.success(), "{script}: {said}");
    said
}

/// Asserts that two numbers differ by no more than a share of the second.
///
/// # Panics
/// When they are not.
pub fn close(a: f64, b: f64, share: f64) {
    assert!((a - b).abs() <= share * b.abs() + 1e-9, "{a} is not {b} within {share}");
}
