//! Pass notes made from a number: lines that the hands and the carriage can do, in an order that nobody chose.

use std::fmt::Write;

/// SplitMix64 (Steele, Lea and Flood 2014).
struct Dice(u64);

impl Dice {
    fn below(&mut self, n: u64) -> u64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        (z ^ (z >> 31)) % n
    }

    fn of<'a>(&mut self, all: &[&'a str]) -> &'a str {
        all[usize::try_from(self.below(all.len() as u64)).unwrap_or(0)]
    }
}

/// A head with an invented yarn and a swatch of each fabric that the notes knit.
pub const HEAD: &str = "title \"Made up\"\nmachine \"standard\"\nyarn \"grey\" { count (\"m/100g\")420; }\nyarn \"red\" { count (\"m/100g\")420; }\n\
    swatch \"plain\" { yarn \"grey\"; stitch-size 6; counted needles=31.5 passes=41; flat (cm)10 (cm)10; weighed (g)16.7 needles=60 passes=90; state \"washed\"; }\n\
    swatch \"1x1 rib\" { yarn \"grey\"; stitch-size 3 3; counted needles=48 passes=44; flat (cm)10 (cm)10; weighed (g)14 needles=60 passes=90; state \"washed\"; }\n";

/// Notes made from a number. Most are sound; some ask for what cannot be, and are refused.
#[must_use]
#[expect(clippy::too_many_lines, reason = "a line a choice that the dice make")]
pub fn made_up(number: u64) -> String {
    let mut d = Dice(number);
    let mut text = String::from(HEAD);
    let rib = d.below(4) == 0;
    let needles = if rib { 9 + 2 * d.below(6) } else { 6 + d.below(14) };
    let fabric = if rib { "1x1 rib" } else { "plain" };
    text.push_str("notes \"n\"\n");
    let _ = writeln!(text, "carriage at the {}", d.of(&["left", "right"]));
    let how = if rib { ", ends on main" } else { d.of(&["", "", " open", " with waste yarn"]) };
    let _ = writeln!(text, "cast on {needles} needles {fabric}{how}");
    let size = if rib { 3 } else { 6 };
    let _ = writeln!(text, "{} rows {fabric} at {size}", 1 + d.below(4));
    let half = i64::try_from(needles / 2).unwrap_or(3);
    // The name of a needle of the work, as knitters give it.
    let name = |at: i64| if at < 0 { format!("L{}", -at) } else { format!("R{}", at + 1) };
    let mut rows = 0;
    for _ in 0..2 + d.below(6) {
        let at = i64::try_from(d.below(needles.max(4) - 2)).unwrap_or(0) - half + 1;
        let (a, b) = (name(at), name(at + 1));
        match d.below(if rib { 8 } else { 20 }) {
            0 => {
                let by = if rib { "one on each bed" } else { "one" };
                let every = d.of(&["", " every 2 rows, 2 times", " every 3 rows, 1 time"]);
                let _ =
                    writeln!(text, "decrease {by} {}{every}", d.of(&["at both ends", "at the left", "at the right"]));
            }
            1 => {
                let by = if rib { "one on each bed" } else { "one" };
                let every = d.of(&["", " every 2 rows, 2 times", " every 4 rows, 1 time"]);
                let _ =
                    writeln!(text, "increase {by} {}{every}", d.of(&["at both ends", "at the left", "at the right"]));
            }
            2 => text.push_str("weights 100 g\n"),
            3 if rows > 2 => {
                let _ = writeln!(text, "hang row {} on its needles", 1 + d.below(rows));
            }
            4 => text.push_str("change to \"red\"\n"),
            5 => text.push_str("1 row not counted\n"),
            6 if rib => text.push_str("2 rows main knit, ribber tuck / both knit\n"),
            7 if rib => {
                text.push_str("move the ribber to the main bed\n2 rows plain at 6\n");
                break;
            }
            8 => {
                let _ = writeln!(text, "move {a} to {b}, {}", d.of(&["for a hole", "for a hole", "out"]));
            }
            9 => {
                let _ = writeln!(text, "cross {a} with {b}");
            }
            10 => {
                let _ = writeln!(
                    text,
                    "hold {}",
                    d.of(&["the left half", "the right half", "3 at the left", "2 at the right"])
                );
            }
            11 => text.push_str("back to work all\n"),
            12 => {
                let _ = writeln!(text, "forward {a}");
            }
            13 => {
                let _ =
                    writeln!(text, "short rows: hold 1 each row, {} times{}", 1 + d.below(4), d.of(&["", ", wrapped"]));
            }
            14 => text.push_str("short rows back: 1 each row, 2 times\n"),
            15 => {
                let _ = writeln!(
                    text,
                    "select {}\n2 rows {} by the selection",
                    d.of(&["x.", "x..", "xx."]),
                    d.of(&["slip", "tuck"])
                );
            }
            16 => {
                let _ = writeln!(text, "take off {a} on to holder 1\n2 rows\nput back holder 1 on {a}");
            }
            17 => {
                let _ = writeln!(text, "drop {a} and leave in work");
            }
            18 => text.push_str("bind off 2 at the left\n"),
            _ => {
                let _ = writeln!(text, "eyelets at {a} to the right");
            }
        }
        let more = 1 + d.below(4);
        let _ = writeln!(text, "{more} rows");
        rows += more;
    }
    if d.below(3) > 0 {
        text.push_str("back to work all\nhold off\n2 rows\n");
    }
    let _ = writeln!(
        text,
        "{}",
        d.of(&["bind off", "bind off", "bind off with the latch tool", "gather", "waste off 6 rows"])
    );
    text
}

/// Cases of a file: name, document, what is expected.
#[must_use]
pub fn cases(text: &str) -> Vec<(String, String, Vec<String>)> {
    text.split("=== ")
        .filter(|c| !c.trim().is_empty())
        .map(|c| {
            let (name, rest) = c.split_once('\n').unwrap_or((c, ""));
            let (expected, document): (Vec<&str>, Vec<&str>) = rest.lines().partition(|l| l.starts_with('>'));
            let expected = expected.iter().map(|l| l[1..].trim().to_string()).collect();
            (name.to_string(), document.join("\n") + "\n", expected)
        })
        .collect()
}
