//! A plan file from elsewhere: its shape checked member by member against docs/plan.schema.json, with bounds on what it
//! may ask of a rehearsal.

use latchwork_machine::needle::{Needle, Pitch, Racking, Side, Slot};
use latchwork_machine::profile::{Limit, Profile, Source};
use latchwork_machine::steps::{
    Action, BedSetting, Claim, Dial, Holder, Leaves, Load, Mark, Move, Origin, Pass, Plan, Setting, Step, Way, Yarn,
};
use serde_json::{Map, Value};

use crate::vocabulary::{BEDS, PITCHES, SETTINGS, SIDES};

/// Largest plan file read, in bytes.
pub const LARGEST_PLAN: usize = 256_000_000;
/// Most steps, and most needles met in all passes of a piece.
const MOST_STEPS: usize = 1_000_000;
const MOST_MET: u64 = 100_000_000;

/// A plan file.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PlanFile {
    /// The design's title.
    pub title: String,
    /// The machine.
    pub profile: Profile,
    /// Every piece of every size.
    pub pieces: Vec<PlannedPiece>,
}

/// A piece of a plan file.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PlannedPiece {
    /// The size's name.
    pub size: String,
    /// The piece's name.
    pub piece: String,
    /// The names of its parts.
    pub parts: Vec<String>,
    /// The steps.
    pub plan: Plan,
}

/// What is wrong with a plan file, and where in it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PlanFault {
    /// The place, such as `sizes[0].pieces[0].steps[3].needles`.
    pub place: String,
    /// What is wrong.
    pub why: String,
}

impl std::fmt::Display for PlanFault {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "{}: {}", self.place, self.why)
    }
}

type Read<T> = Result<T, PlanFault>;

/// A value and its place.
#[derive(Clone)]
struct At<'a> {
    value: &'a Value,
    place: String,
}

/// An object whose members are read one by one; none may be left over.
struct Members<'a> {
    of: &'a Map<String, Value>,
    place: String,
    asked: Vec<&'static str>,
}

impl<'a> At<'a> {
    fn fault<T>(&self, why: impl Into<String>) -> Read<T> {
        Err(PlanFault { place: self.place.clone(), why: why.into() })
    }

    fn members(&self) -> Read<Members<'a>> {
        match self.value.as_object() {
            Some(of) => Ok(Members { of, place: self.place.clone(), asked: Vec::new() }),
            None => self.fault("an object was expected"),
        }
    }

    fn list(&self) -> Read<Vec<At<'a>>> {
        let Some(list) = self.value.as_array() else { return self.fault("a list was expected") };
        Ok(list.iter().enumerate().map(|(i, value)| At { value, place: format!("{}[{i}]", self.place) }).collect())
    }

    fn text(&self) -> Read<String> {
        self.value.as_str().map(str::to_string).map_or_else(|| self.fault("a text was expected"), Ok)
    }

    fn whole<T: TryFrom<i64>>(&self) -> Read<T> {
        let n = self.value.as_i64().and_then(|n| T::try_from(n).ok());
        n.map_or_else(|| self.fault("a whole number in its range was expected"), Ok)
    }

    fn flag(&self) -> Read<bool> {
        self.value.as_bool().map_or_else(|| self.fault("true or false was expected"), Ok)
    }

    fn one_of<T: Copy>(&self, known: &[(&str, T)]) -> Read<T> {
        let found = self.value.as_str().and_then(|w| known.iter().find(|k| k.0 == w));
        match found {
            Some(k) => Ok(k.1),
            None => {
                self.fault(format!("one of {} was expected", known.iter().map(|k| k.0).collect::<Vec<_>>().join(", ")))
            }
        }
    }

    fn or_null<T>(&self, read: impl Fn(&At<'a>) -> Read<T>) -> Read<Option<T>> {
        if self.value.is_null() { Ok(None) } else { read(self).map(Some) }
    }

    fn side(&self) -> Read<Side> {
        self.one_of(&SIDES)
    }

    fn pitch(&self) -> Read<Pitch> {
        self.one_of(&PITCHES)
    }

    fn needle(&self) -> Read<Needle> {
        match self.list()?.as_slice() {
            [bed, slot] => Ok(Needle { bed: bed.one_of(&BEDS)?, slot: Slot(slot.whole()?) }),
            _ => self.fault("a needle is a bed and a slot"),
        }
    }

    fn needles(&self) -> Read<Vec<Needle>> {
        self.list()?.iter().map(At::needle).collect()
    }

    fn leaves(&self) -> Read<Leaves> {
        self.one_of(&[("out", Leaves::Out), ("eyelet", Leaves::Eyelet), ("refill", Leaves::Refill)])
    }

    fn yarn(&self) -> Read<Yarn> {
        self.whole().map(Yarn)
    }

    fn load(&self) -> Read<Load> {
        self.one_of(&[("comb", Load::Comb), ("weights", Load::Weights)])
    }

    fn setting(&self) -> Read<BedSetting> {
        let mut m = self.members()?;
        let setting = m.get("setting")?.one_of(&SETTINGS)?;
        let setting = BedSetting { setting, hold: m.get("hold")?.flag()?, dial: Dial(m.get("thirds")?.whole()?) };
        m.end()?;
        Ok(setting)
    }

    fn one_move(&self) -> Read<Move> {
        let mut m = self.members()?;
        let found = m.one_move()?;
        m.end()?;
        Ok(found)
    }
}

impl<'a> Members<'a> {
    fn get(&mut self, name: &'static str) -> Read<At<'a>> {
        self.asked.push(name);
        match self.of.get(name) {
            Some(value) => Ok(At { value, place: format!("{}.{name}", self.place) }),
            None => Err(PlanFault { place: self.place.clone(), why: format!("\"{name}\" is missing") }),
        }
    }

    /// An optional member.
    fn may<T>(&mut self, name: &'static str, read: impl Fn(&At<'a>) -> Read<T>) -> Read<Option<T>> {
        if self.of.contains_key(name) { self.get(name)?.or_null(read) } else { Ok(None) }
    }

    fn end(self) -> Read<()> {
        match self.of.keys().find(|k| !self.asked.contains(&k.as_str())) {
            Some(extra) => Err(PlanFault { place: self.place, why: format!("\"{extra}\" does not belong here") }),
            None => Ok(()),
        }
    }

    fn one_move(&mut self) -> Read<Move> {
        Ok(Move {
            from: self.get("from")?.needle()?,
            to: self.get("to")?.needle()?,
            leaves: self.get("leaves")?.leaves()?,
        })
    }
}

/// Reads a plan file.
///
/// # Errors
/// The first member that breaks the schema, or asks for more than can be rehearsed.
pub fn read_plan(source: &str) -> Read<PlanFile> {
    let whole = |why: String| PlanFault { place: "the file".to_string(), why };
    if source.len() > LARGEST_PLAN {
        return Err(whole(format!("it has {} bytes; at most {LARGEST_PLAN} are read", source.len())));
    }
    let value: Value = serde_json::from_str(source.trim_start_matches('\u{feff}'))
        .map_err(|e| whole(format!("it is not JSON: {e}")))?;
    let root = At { value: &value, place: "plan".to_string() };
    let mut m = root.members()?;
    m.get("format")?.one_of(&[("latchwork-plan", ())])?;
    let version = m.get("version")?;
    if version.whole::<u32>()? != 1 {
        return version.fault("only version 1 is read");
    }
    let title = m.get("title")?.text()?;
    let profile = machine(&m.get("machine")?)?;
    let mut pieces = Vec::new();
    for size in m.get("sizes")?.list()? {
        let mut s = size.members()?;
        let name = s.get("size")?.text()?;
        for piece in s.get("pieces")?.list()? {
            pieces.push(planned(&piece, &name)?);
        }
        s.end()?;
    }
    m.end()?;
    if pieces.is_empty() {
        return Err(whole("it has no piece".to_string()));
    }
    Ok(PlanFile { title, profile, pieces })
}

fn machine(at: &At<'_>) -> Read<Profile> {
    let mut m = at.members()?;
    m.get("class")?.text()?;
    let pitch = m.get("pitch_mm")?;
    if !pitch.value.as_f64().is_some_and(|p| (1.0..=30.0).contains(&p)) {
        return pitch.fault("a distance from 1 to 30 mm was expected");
    }
    let limit = |at: At<'_>, most: u32| {
        let value: u32 = at.whole()?;
        if value > most { at.fault(format!("at most {most}")) } else { Ok(Limit { value, source: Source::Owner }) }
    };
    let needles = |at: At<'_>| {
        let n: u16 = at.whole()?;
        if n > 4000 { at.fault("a bed has at most 4000 needles") } else { Ok(n) }
    };
    let profile = Profile {
        main_needles: needles(m.get("main_needles")?)?,
        ribber_needles: needles(m.get("ribber_needles")?)?,
        tucks: limit(m.get("most_tucks")?, 100)?,
        float: limit(m.get("longest_float")?, 4000)?,
        least_grams: limit(m.get("least_grams")?, 10_000)?,
        most_grams: limit(m.get("most_grams")?, 10_000)?,
    };
    m.end()?;
    if profile.least_grams.value > profile.most_grams.value {
        return at.fault("the least grams are more than the most");
    }
    Ok(profile)
}

fn planned(at: &At<'_>, size: &str) -> Read<PlannedPiece> {
    let mut m = at.members()?;
    let piece = m.get("piece")?.text()?;
    m.get("make")?.whole::<u32>()?;
    let yarns = m.get("yarns")?.list()?.iter().map(At::text).collect::<Read<Vec<_>>>()?.len();
    let mut parts = Vec::new();
    for part in m.get("parts")?.list()? {
        let mut p = part.members()?;
        parts.push(p.get("label")?.text()?);
        p.get("fabric")?.or_null(At::text)?;
        p.end()?;
    }
    let listed = m.get("steps")?;
    let steps = listed.list()?;
    if steps.is_empty() {
        return listed.fault("a piece has steps, the first of which is its start");
    }
    if steps.len() > MOST_STEPS {
        return listed.fault(format!("{} steps; at most {MOST_STEPS} are rehearsed", steps.len()));
    }
    let steps = steps.iter().enumerate().map(|(i, s)| step(s, i, parts.len(), yarns)).collect::<Read<Vec<Step>>>()?;
    let mut needles: u64 = 0;
    let mut met: u64 = 0;
    for s in &steps {
        match &s.action {
            // A bed has at most 4000 needles, however often they come into work.
            Action::IntoWork(n) => needles = (needles + n.len() as u64).min(8_000),
            Action::Pass(_) => met = met.saturating_add(needles),
            _ => {}
        }
    }
    if met > MOST_MET {
        return listed.fault(format!("its passes meet {met} needles in all; at most {MOST_MET} are rehearsed"));
    }
    m.end()?;
    Ok(PlannedPiece { size: size.to_string(), piece, parts, plan: Plan { steps } })
}

fn step(at: &At<'_>, index: usize, parts: usize, yarns: usize) -> Read<Step> {
    let mut m = at.members()?;
    let number = m.get("step")?;
    if number.whole::<u32>()? as usize != index + 1 {
        return number.fault(format!("steps are numbered in order; {} was expected", index + 1));
    }
    let part = m.get("part")?;
    let origin: u32 = part.whole()?;
    if origin as usize >= parts {
        return part.fault("there is no such part");
    }
    if at.value.get("tail_mm").is_some() {
        let tail = m.get("tail_mm")?;
        if !tail.value.as_f64().is_some_and(|t| t > 0.0 && t < 1e6) {
            return tail.fault("a length in millimetres was expected");
        }
    }
    let action = action(&mut m)?;
    m.end()?;
    if matches!(&action, Action::Pass(Pass { yarn: None, second: Some(_), .. })) {
        return at.fault("a pass with a second yarn has a first one too");
    }
    if let Action::Pass(Pass { laid: Some(_), yarn, second, main, .. }) = &action
        && (yarn.is_none() || second.is_some() || main.setting != Setting::Knit)
    {
        return at.fault("a yarn is laid in where the main bed knits, with one yarn in the feeder");
    }
    if let Action::HangEdge { needles, places } = &action
        && needles.len() != places.len()
    {
        return at.fault("an edge is hung with a place for each needle");
    }
    let unknown = |y: &Yarn| usize::from(y.0) >= yarns;
    let named: Vec<Yarn> = match &action {
        Action::Pass(p) => p.yarn.into_iter().chain(p.second).chain(p.laid).collect(),
        Action::Join { yarn, .. } | Action::Cut(yarn) | Action::Wrap { yarn, .. } | Action::TurnWrap { yarn, .. } => {
            vec![*yarn]
        }
        Action::Secure { cut_length, .. } => cut_length.iter().copied().collect(),
        _ => Vec::new(),
    };
    if let Some(y) = named.iter().find(|y| unknown(y)) {
        return at.fault(format!("there is no yarn {} in the piece's list", y.0));
    }
    Ok(Step { action, origin: Origin(origin) })
}

fn action(m: &mut Members<'_>) -> Read<Action> {
    let what = m.get("do")?;
    let name = what.text()?;
    Ok(match name.as_str() {
        "start" => Action::Start {
            carriage: m.get("carriage")?.side()?,
            pitch: m.get("pitch")?.pitch()?,
            racking: Racking(m.get("racking")?.whole()?),
        },
        "pass" => Action::Pass(Pass {
            direction: m.get("direction")?.side()?,
            main: m.get("main")?.setting()?,
            ribber: m.get("ribber")?.setting()?,
            yarn: m.get("yarn")?.or_null(At::yarn)?,
            second: m.get("second_yarn")?.or_null(At::yarn)?,
            laid: m.may("laid_yarn", At::yarn)?,
            counted: m.get("counted")?.flag()?,
            mark: m
                .get("mark")?
                .or_null(|a| a.one_of(&[("open-start", Mark::OpenStart), ("release", Mark::Release)]))?
                .unwrap_or(Mark::Plain),
        }),
        "into-work" => Action::IntoWork(m.get("needles")?.needles()?),
        "out-of-work" => Action::OutOfWork(m.get("needles")?.needles()?),
        "hold" => Action::Hold(m.get("needles")?.needles()?),
        "forward" => Action::Forward(m.get("needles")?.needles()?),
        "back-to-working" => Action::BackToWorking(m.get("needles")?.needles()?),
        "transfer" => Action::Transfer(m.one_move()?),
        "move-together" => {
            let moves = m.get("moves")?.list()?.iter().map(At::one_move).collect::<Read<Vec<_>>>()?;
            Action::MoveTogether { moves, carry: m.may("carry", At::whole)? }
        }
        "wrap" => Action::Wrap {
            needles: m.get("needles")?.needles()?,
            yarn: m.get("yarn")?.yarn()?,
            cut_length: m.may("cut_length", At::flag)?.unwrap_or(false),
        },
        "turn-wrap" => Action::TurnWrap { needle: m.get("needle")?.needle()?, yarn: m.get("yarn")?.yarn()? },
        "take-off" => {
            Action::TakeOff { needles: m.get("needles")?.needles()?, holder: Holder(m.get("holder")?.whole()?) }
        }
        "put-back" => {
            Action::PutBack { holder: Holder(m.get("holder")?.whole()?), needles: m.get("needles")?.needles()? }
        }
        "pick-up" => Action::PickUp { loop_number: m.get("loop")?.whole()?, needle: m.get("needle")?.needle()? },
        "hang-edge" => Action::HangEdge {
            needles: m.get("needles")?.needles()?,
            places: m.get("places")?.list()?.iter().map(At::whole).collect::<Read<Vec<u32>>>()?,
        },
        "rack" => Action::Rack(Racking(m.get("racking")?.whole()?)),
        "pitch" => Action::Pitch(m.get("pitch")?.pitch()?),
        "yarn-join" => Action::Join { yarn: m.get("yarn")?.yarn()?, side: m.get("side")?.side()? },
        "yarn-cut" => Action::Cut(m.get("yarn")?.yarn()?),
        "hang" => Action::Hang { load: m.get("what")?.load()?, grams: grams(&m.get("grams")?)? },
        "move-up" => Action::MoveUp(m.get("what")?.load()?),
        "unhang" => Action::Unhang { load: m.get("what")?.load()?, grams: grams(&m.get("grams")?)? },
        "counter" => Action::Counter(grams(&m.get("reading")?)?),
        "ribber-down" => Action::RibberDown,
        "ribber-up" => Action::RibberUp,
        "secure" => Action::Secure {
            needles: m.get("needles")?.needles()?,
            way: m.get("way")?.one_of(&[
                ("loop-through-loop", Way::LoopThroughLoop),
                ("chain", Way::Chain),
                ("sewn", Way::Sewn),
                ("gathered", Way::Gathered),
                ("waste", Way::Waste),
            ])?,
            cut_length: m.get("cut_length")?.or_null(At::yarn)?,
            onto: m.may("onto", At::needle)?,
        },
        "release" => Action::Release(m.get("needles")?.needles()?),
        "claim" => Action::Claim(Claim {
            counter: m.get("counter")?.or_null(At::whole)?,
            main: m.get("main_stitches")?.or_null(At::whole)?,
            ribber: m.get("ribber_stitches")?.or_null(At::whole)?,
            total: m.get("stitches")?.or_null(At::whole)?,
            carriage: m.get("carriage")?.or_null(At::side)?,
        }),
        _ => return what.fault("there is no such step"),
    })
}

/// Grams or a counter reading, small enough to add up.
fn grams(at: &At<'_>) -> Read<u32> {
    let n: u32 = at.whole()?;
    if n > 1_000_000 { at.fault("at most 1,000,000") } else { Ok(n) }
}
