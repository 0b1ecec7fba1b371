//! What a run of passes does, in as few words as are exact.

use latchwork_machine::needle::Side;
use latchwork_machine::steps::{Pass, Setting};

type Settings = (Setting, Setting);

fn settings(p: &Pass) -> Settings {
    (p.main.setting, p.ribber.setting)
}

fn verb(s: Setting) -> &'static str {
    match s {
        Setting::Knit => "knits",
        Setting::Tuck => "tucks",
        Setting::Slip => "slips",
    }
}

fn one(s: Settings) -> String {
    match s {
        (Setting::Knit, Setting::Knit) => "both beds knit".to_string(),
        (Setting::Knit, Setting::Slip) => "main bed alone".to_string(),
        (Setting::Slip, Setting::Knit) => "ribber alone".to_string(),
        (m, r) => format!("main bed {}, ribber {}", verb(m), verb(r)),
    }
}

fn plural(s: Setting) -> &'static str {
    match s {
        Setting::Knit => "knit",
        Setting::Tuck => "tuck",
        Setting::Slip => "slip",
    }
}

/// One row in which needles knit that are in forward or in holding position, whatever their bed is set to; `beds`
/// says which beds have needles in work.
pub(super) fn pushed(p: &Pass, (forward, held): (bool, bool), beds: [bool; 2]) -> String {
    let which = match (forward, held) {
        (true, false) => "forward",
        (false, _) => "holding",
        (true, true) => "forward or holding",
    };
    let (main, ribber) = settings(p);
    let others = match beds {
        [true, true] if main != ribber => {
            format!("the others of the main bed {}, those of the ribber {}", plural(main), plural(ribber))
        }
        [true, _] => format!("the others {}", plural(main)),
        [false, _] => format!("the others {}", plural(ribber)),
    };
    format!("needles in {which} position knit, {others}")
}

/// Whether the last pass knits on both beds after passes that all tuck: it clears the tucks.
pub(super) fn clears(passes: &[&Pass]) -> bool {
    let tucks = |p: &&Pass| p.main.setting == Setting::Tuck || p.ribber.setting == Setting::Tuck;
    passes.split_last().is_some_and(|(last, before)| {
        settings(last) == (Setting::Knit, Setting::Knit) && before.len() > 1 && before.iter().all(tucks)
    })
}

/// The settings of a run of passes in turn, in words.
pub(super) fn phrase(passes: &[&Pass]) -> String {
    let Some(first) = passes.first() else { return String::new() };
    if passes.iter().all(|p| settings(p) == settings(first)) {
        return one(settings(first));
    }
    let going = |side: Side| passes.iter().find(|p| p.direction == side).map(|p| settings(p));
    let by_direction = passes.iter().all(|p| Some(settings(p)) == going(p.direction));
    if let (true, Some(left), Some(right)) = (by_direction, going(Side::Left), going(Side::Right)) {
        let (here, there) = (first.direction, first.direction.other());
        let (h, t) = if here == Side::Left { (left, right) } else { (right, left) };
        let pair = |bed: &str, h: Setting, t: Setting| {
            if h == t {
                format!("{bed} {}", verb(h))
            } else {
                format!("{bed} {} going {here}, {} going {there}", verb(h), verb(t))
            }
        };
        if let (Setting::Knit, Setting::Slip, Setting::Slip, Setting::Knit)
        | (Setting::Slip, Setting::Knit, Setting::Knit, Setting::Slip) = (h.0, h.1, t.0, t.1)
        {
            return format!("{} going {here}, {} going {there}", one(h), one(t));
        }
        return format!("{}; {}; the first row goes {here}", pair("main bed", h.0, t.0), pair("ribber", h.1, t.1));
    }
    let period = (1..=passes.len())
        .find(|p| (0..passes.len()).all(|i| settings(passes[i]) == settings(passes[i % p])))
        .unwrap_or(passes.len());
    let turn: Vec<String> = passes.iter().take(period).map(|p| one(settings(p))).collect();
    format!("{}, and so on", turn.join(", then "))
}
