//! Needles named in order, as briefly as is exact: L5 to L1, R3, every other from R7 to R15, every 4th from R18 to R30.

use latchwork_machine::needle::{Bed, Needle, Slot};

use crate::units::Language;
use crate::wording::{ordinal, say};

/// Slots, in the order given.
pub(super) fn slots(all: &[Slot], t: Language) -> String {
    let mut items: Vec<String> = Vec::new();
    let mut i = 0;
    while let Some(first) = all.get(i) {
        let step = all.get(i + 1).map_or(0, |b| b.0 - first.0);
        let mut j = i;
        while step != 0 && all.get(j + 1).is_some_and(|b| b.0 - all[j].0 == step) {
            j += 1;
        }
        let last = all[j];
        match (step.abs(), j - i) {
            (1, 1..) => items.push(say!(t, "{first} to {last}", first, last)),
            (2, 2..) => items.push(say!(t, "every other from {first} to {last}", first, last)),
            (step @ 3.., 3..) => {
                let nth = ordinal(u32::from(step.unsigned_abs()), t);
                items.push(say!(t, "every {nth} from {first} to {last}", nth, first, last));
            }
            _ => {
                items.push(first.to_string());
                j = i;
            }
        }
        i = j + 1;
    }
    items.join(", ")
}

/// Needles bed by bed: main bed L3, R1 and ribber R2. Each bed keeps its order.
pub(crate) fn needles(all: &[Needle], t: Language) -> String {
    let of = |bed: Bed| all.iter().filter(|n| n.bed == bed).map(|n| n.slot).collect::<Vec<Slot>>();
    let (main, ribber) = (of(Bed::Main), of(Bed::Ribber));
    let both = (!main.is_empty(), !ribber.is_empty());
    let (main, ribber) = (slots(&main, t), slots(&ribber, t));
    match both {
        (true, false) => say!(t, "main bed {main}", main),
        (false, _) => say!(t, "ribber {ribber}", ribber),
        (true, true) => say!(t, "main bed {main} and ribber {ribber}", main, ribber),
    }
}

/// Needles in an order that may change beds: runs on one bed, joined by "then".
pub(crate) fn in_order(all: &[Needle], t: Language) -> String {
    let runs: Vec<String> = all.chunk_by(|a, b| a.bed == b.bed).map(|run| needles(run, t)).collect();
    runs.join(&say!(t, " then "))
}

/// A bed.
pub(super) fn bed_word(bed: Bed) -> &'static str {
    if bed == Bed::Main { "main bed" } else { "ribber" }
}

/// One needle: main bed R3.
pub(super) fn needle(n: Needle, t: Language) -> String {
    needles(&[n], t)
}

/// Needles sorted, where their order does not matter.
pub(super) fn sorted(all: &[Needle]) -> Vec<Needle> {
    let mut all = all.to_vec();
    all.sort_unstable();
    all.dedup();
    all
}

/// Which needles between the first and last of a bed are in work, if there are words for it.
pub(super) fn pattern(slots: &[i16]) -> Option<&'static str> {
    let (first, last) = (*slots.first()?, *slots.last()?);
    let known: [(&'static str, &[i16]); 5] = [
        ("every needle", &[1]),
        ("every other needle", &[2]),
        ("every third needle", &[3]),
        ("2 in, 1 out,", &[1, 2]),
        ("2 in, 2 out,", &[1, 3]),
    ];
    let fits = |gaps: &[i16]| {
        let mut x = first;
        let mut made = vec![x];
        for g in gaps.iter().cycle() {
            x = x.saturating_add(*g);
            if x > last {
                break;
            }
            made.push(x);
        }
        made == slots
    };
    known.iter().find(|(_, gaps)| slots.len() > 1 && fits(gaps)).map(|k| k.0)
}

/// Numbers in order, as briefly as is exact: 0 to 6, 9, 12 to 10.
pub(crate) fn numbers(all: &[u32], t: Language) -> String {
    let mut items: Vec<String> = Vec::new();
    let mut i = 0;
    while i < all.len() {
        let way = all.get(i + 1).map_or(0, |n| i64::from(*n) - i64::from(all[i]));
        let run = (i + 1..all.len()).take_while(|k| i64::from(all[*k]) - i64::from(all[*k - 1]) == way).count();
        if way.abs() == 1 && run >= 2 {
            let (first, last) = (all[i], all[i + run]);
            items.push(say!(t, "{first} to {last}", first, last));
            i += run + 1;
        } else {
            items.push(all[i].to_string());
            i += 1;
        }
    }
    items.join(", ")
}
