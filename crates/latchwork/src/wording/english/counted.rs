//! Counts with their nouns, singular and plural.

use crate::wording::{Language, say};

/// A count with its noun: "1 loop", "2 loops".
macro_rules! counted {
    ($($name:ident $one:literal $many:literal;)+) => {
        $(pub(super) fn $name(count: impl std::fmt::Display, t: Language) -> String {
            let count = count.to_string();
            if count == "1" { say!(t, $one) } else { say!(t, $many, count) }
        })+
    };
}

counted! {
    needles "1 needle" "{count} needles";
    loops "1 loop" "{count} loops";
    rows "1 row" "{count} rows";
    places "1 place" "{count} places";
    stitches "1 stitch" "{count} stitches";
    signs "1 sign" "{count} signs";
}

pub(in crate::wording) fn ordinal(n: u32, t: Language) -> String {
    match (n % 10, n % 100) {
        (_, 11..=13) => say!(t, "{n}th", n),
        (1, _) => say!(t, "{n}st", n),
        (2, _) => say!(t, "{n}nd", n),
        (3, _) => say!(t, "{n}rd", n),
        _ => say!(t, "{n}th", n),
    }
}
