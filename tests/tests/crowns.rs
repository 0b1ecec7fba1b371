//! Crowns: a stitch of every wedge at a time, the row closed up.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "tests")]

use latchwork_machine::steps::Action;
use latchwork_tests::garments::{piece, proven, refused, text};

const BODY: &str = "stretch \"body\" { fabric \"plain\"; rows 4; }; ";

/// 120 stitches in 15 wedges: every 8th, then every 7th, down to every 2nd goes onto its neighbour, 15 each time, with 6, 6, 4, 4, 4,
/// 2, 2 rows between, 28 rows in all; 15 are left to gather (worked case of a crown by transfers; common practice, no source).
#[test]
fn a_crown_of_15_wedges() {
    let crown = "stretch \"crown\" { fabric \"plain\"; crown 15 { then every=6 times=2; then every=4 times=3; then every=2 times=2; }; }";
    let p = proven(&piece(120, &format!("{BODY}{crown}")).replace("\"chain\"", "\"gather\""));
    let worked = p.sizes()[0].stretch(0, 1);
    assert_eq!((worked.rows, worked.needles, worked.needles_end), (28, 120, 15));
    let hung: Vec<usize> = p.sizes()[0].plans.pieces[0]
        .plan
        .steps
        .iter()
        .filter_map(|s| if let Action::PutBack { needles, .. } = &s.action { Some(needles.len()) } else { None })
        .collect();
    assert_eq!(hung, [105, 90, 75, 60, 45, 30, 15]);
    let words = text(&p);
    for told in [
        "Transfer the stitches of main bed every 8th from L53 to R60 1 needle to the left. Put the emptied needles out of work.",
        "Take all stitches off onto holder 1, in order from the left. Put all needles out of work. Bring main bed L53 to R52 into work, empty. Put the stitches of holder 1 back onto main bed L53 to R52, in the order taken off.",
        "Transfer every other stitch onto the needle at its left, starting with the 2nd from the left: 15 stitches.",
    ] {
        assert!(words.contains(told), "{told}\n{words}");
    }
    // Where the edge stitch goes with its row, the yarn does not float.
    assert_eq!(p.sizes()[0].notices.0, []);
}

/// Wedges of nearly the same size where the stitches are no multiple of them; spread over the section to a width.
#[test]
fn wedges_of_any_number() {
    let p = proven(&piece(
        61,
        &format!("{BODY}stretch \"crown\" {{ fabric \"plain\"; rows 24; crown 8 {{ needles 13; }}; }}"),
    ));
    let rows: Vec<u32> = p.sizes()[0].stretch(0, 1).shapings.iter().map(|s| s.row).collect();
    assert_eq!(rows, [4, 8, 12, 16, 20, 24]);
}

/// What is wrong is told, with what would work.
#[test]
fn faults_of_crowns() {
    let of = |crown: &str| {
        refused(&piece(40, &format!("{BODY}stretch \"crown\" {{ fabric \"plain\"; rows 20; {crown}; }}")))
    };
    for (crown, told) in [
        ("crown 9 every=2 times=4", "13 stitches are left, too few to take one of each of 9 wedges."),
        ("crown 8 every=2 times=2; decrease 1 every=2 times=1", "A crown takes no decrease."),
        ("crown 8 { width (cm)4; curve \"round\"; }", "A crown takes no curve."),
        ("crown 8 { then every=2 cast-off=3; }", "A crown takes no cast-off."),
        ("crown 8 { cast-off 4; then every=2 times=2; }", "A crown takes no cast-off."),
    ] {
        assert!(of(crown).contains(told), "{crown}: {}", of(crown));
    }
    let rib = refused(&piece(41, "stretch \"crown\" { fabric \"1x1 rib\"; rows 20; crown 8 every=2 times=2; }"));
    assert!(rib.contains("A crown cannot be knitted in 1x1 rib."), "{rib}");
}
